package decay

import (
	"math"

	"gonum.org/v1/gonum/mat"
)

const nParam = n1 + n2 // terms of one hypothesis: first block, leak, slow heat

// detail is one hypothesis solved in full, for the curve and for saying where
// the width comes from; the bank itself needs only the leak.
type detail struct {
	h     hypothesis
	slope float64 // K/h
	theta [nParam]float64
	cov   *mat.SymDense
	// shares of the leak's variance inside this hypothesis
	heat, temperature, sensor float64
}

// column gives the columns of a row that belong to term i, and the drift column (-1 = none).
func (d *detail) column(i int) (c, drift int) {
	switch {
	case i < n1:
		c = combined[i]
	case i == n1:
		c = colLaw + d.h.law
	default:
		c = combined[atSlow+i-n1-1]
	}
	return c, driftOf(c)
}

// value is term i of a row.
func (d *detail) value(x *row, i int) float64 {
	c, drift := d.column(i)
	v := x[c]
	if drift >= 0 {
		v += d.slope * x[drift]
	}
	return v
}

// explain solves hypothesis h in full.
func (b *bank) explain(h hypothesis) detail {
	d := detail{h: h, slope: slopes[h.slope]}
	g := &b.grams[h.wander]
	blind := h.wander == len(b.grams)-1
	if blind {
		d.slope = 0
	}
	b.combine(g, d.slope)
	scale, prior := b.priors(h, blind)
	tie := 0.0
	if !blind {
		tie = 1 / b.tieVar
	}
	data := mat.NewSymDense(nParam, nil)
	prec := mat.NewSymDense(nParam, nil)
	rhs := mat.NewVecDense(nParam, nil)
	for i := range nParam {
		for j := i; j < nParam; j++ {
			v := scale[i] * scale[j] * b.combAt(d.slot(i), d.slot(j))
			data.SetSym(i, j, v)
			if i >= 1 && j <= nLag {
				v += tie * scale[i] * scale[j]
			}
			if i == j {
				v++
			}
			prec.SetSym(i, j, v)
		}
		r := scale[i]*b.combAt(d.slot(i), atY) + prior[i]
		if i >= 1 && i <= nLag {
			r += tie * scale[i]
		}
		rhs.SetVec(i, r)
	}
	var chol mat.Cholesky
	if !chol.Factorize(prec) {
		return d
	}
	var theta mat.VecDense
	if chol.SolveVecTo(&theta, rhs) != nil {
		return d
	}
	inv := mat.NewSymDense(nParam, nil)
	if chol.InverseTo(inv) != nil {
		return d
	}
	d.split(inv, data, scale, tie, g)
	for i := range nParam {
		d.theta[i] = scale[i] * theta.AtVec(i)
		for j := i; j < nParam; j++ {
			inv.SetSym(i, j, inv.At(i, j)*scale[i]*scale[j])
		}
	}
	d.cov = inv
	return d
}

// slot is the combined column of term i.
func (d *detail) slot(i int) int {
	switch {
	case i < n1:
		return i
	case i == n1:
		return atLaw + d.h.law
	default:
		return atSlow + i - n1 - 1
	}
}

func (b *bank) combAt(i, j int) float64 {
	if i > j {
		i, j = j, i
	}
	return b.work.comb[i][j]
}

// priors are the scales and scaled prior means of all terms of a hypothesis.
func (b *bank) priors(h hypothesis, blind bool) (scale, mean [nParam]float64) {
	for i := range n1 {
		scale[i], mean[i] = b.prior1(i, blind)
	}
	d, m := b.prior2(h.scale)
	for i := range n2 {
		scale[n1+i], mean[n1+i] = d[i], m[i]
	}
	return scale, mean
}

// split divides the leak's variance by where it comes from. The error of the
// estimate is inv * (noise in the rows - errors of the priors), so its variance
// is a sum over the sources. inv and data are in scaled terms.
func (d *detail) split(inv, data *mat.SymDense, scale [nParam]float64, tie float64, g *gram) {
	var prior [nParam]float64 // by term
	total, noise, tieSum := inv.At(n1, n1), 0.0, 0.0
	for i := range nParam {
		gi := inv.At(n1, i)
		prior[i] = gi * gi
		for j := range nParam {
			noise += gi * data.At(i, j) * inv.At(n1, j)
		}
		if i >= 1 && i <= nLag {
			tieSum += gi * scale[i]
		}
	}
	if total <= 0 {
		return
	}
	temperature := tie * tieSum * tieSum
	heat := 0.0
	for i := range nParam {
		switch {
		case i >= 1 && i <= nLag:
			temperature += prior[i]
		case i > nLag && i != n1:
			heat += prior[i]
		}
	}
	slow, fast := g.low()
	temperature += noise * slow / (slow + fast)
	d.sensor = noise * fast / (slow + fast) / total
	d.heat, d.temperature = heat/total, temperature/total
}

// low gives how much of the slow part of the row noise is wander and how much is
// reading noise: the spectral densities at frequency zero.
func (g *gram) low() (slow, fast float64) {
	for _, p := range g.w {
		slow += sq(p.sd/tRef) * 2 * p.length
	}
	return slow, math.Max(g.noiseDT, 1e-30)
}

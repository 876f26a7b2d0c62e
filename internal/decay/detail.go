package decay

import "math"

const nParam = n1 + n2 // terms of one hypothesis: first block, leak, slow heat

// detail is one hypothesis solved in full, for the curve and for saying where
// the width comes from; the bank itself needs only the leak.
type detail struct {
	h     hypothesis
	slope float64 // K/h
	theta [nParam]float64
	cov   [nParam][nParam]float64
	late  *late // what changed on the way; nil = nothing
	// shares of the leak's variance inside this hypothesis
	heat, temperature, sensor float64
}

// late is a leak that changed on the way.
type late struct {
	s0         float64 // h, the leak's integral until then
	jump, step float64 // 1/h and of ln P, what came to leak and level
}

// tell solves the story of a leak that changed at fork f, as far as curves need it.
func (b *bank) tell(f *fork) *detail {
	d := &detail{h: f.best}
	if !b.isBlind(f.best) {
		d.slope = slopes[f.best.slope]
	}
	b.combine(&b.grams[f.best.wander], d.slope)
	s := f.story(b, f.best, d.slope)
	theta, _ := s.factor()
	for i := range nParam {
		d.theta[i] = s.scale[i] * theta[i]
	}
	d.late = &late{s0: f.s0[f.best.law], jump: s.scale[nParam] * theta[nParam], step: s.scale[nParam+1] * theta[nParam+1]}
	return d
}

// leaked is what level and leak make of ln P against the start, with the leak's integrals s.
func (d *detail) leaked(s [nLaw]float64) float64 {
	at := s[d.h.law]
	v := d.theta[0] - d.theta[n1]*at
	if c := d.late; c != nil && at > c.s0 {
		v += c.step - c.jump*(at-c.s0)
	}
	return v
}

// value is term i of a row.
func (d *detail) value(x *row, i int) float64 {
	c := combinedColumn(slot(d.h.law, i))
	v := x[c]
	if drift := driftOf(c); drift >= 0 {
		v += d.slope * x[drift]
	}
	return v
}

// without is what all terms but level and leak make of a row: heat and room.
func (d *detail) without(x *row) (v float64) {
	for i := 1; i < nParam; i++ {
		if i != n1 {
			v += d.theta[i] * d.value(x, i)
		}
	}
	return v
}

// explain solves hypothesis h in full.
func (b *bank) explain(h hypothesis) *detail {
	d := &detail{h: h, slope: slopes[h.slope]}
	g := &b.grams[h.wander]
	blind := h.wander == len(b.grams)-1
	if blind {
		d.slope = 0
	}
	b.combine(g, d.slope)
	s := b.system(h, blind)
	theta, _ := s.factor()
	var inv [nParam][maxTerms]float64
	for i := range nParam {
		var unit [maxTerms]float64
		unit[i] = 1
		inv[i] = s.solve(unit)
	}
	d.split(&inv, s, g)
	for i := range nParam {
		d.theta[i] = s.scale[i] * theta[i]
		for j := range nParam {
			d.cov[i][j] = inv[i][j] * s.scale[i] * s.scale[j]
		}
	}
	return d
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

func (b *bank) combAt(i, j int) float64 {
	if i > j {
		i, j = j, i
	}
	return b.work.comb[i][j]
}

// split divides the leak's variance by where it comes from. The error of the
// estimate is inv * (noise in the rows - errors of the priors), so its variance
// is a sum over the sources.
func (d *detail) split(inv *[nParam][maxTerms]float64, s *system, g *gram) {
	gain := inv[n1]
	total := gain[n1]
	if total <= 0 {
		return
	}
	var noise, tie, temperature, heat float64
	for i := range nParam {
		for j := range nParam {
			noise += gain[i] * s.data[i][j] * gain[j]
		}
		switch {
		case isLag(i):
			temperature += gain[i] * gain[i]
			tie += gain[i] * s.scale[i]
		case i > nLag && i != n1:
			heat += gain[i] * gain[i]
		}
	}
	temperature += s.tie * tie * tie
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

// surprise is how far a row lies from what the bank's best hypothesis expects,
// with the variance of that expectation, the row's own noise included.
func (b *bank) surprise(d *detail, x *row, dt, noise float64) (off, variance float64) {
	g := b.grams[d.h.wander]
	g.predict(dt)
	e := g.innovation(x)
	var v [nParam]float64
	off = e[colY]
	for i := range nParam {
		v[i] = d.value(&e, i)
		off -= d.theta[i] * v[i]
	}
	variance = g.spread() + noise
	for i := range nParam {
		for j := range nParam {
			variance += v[i] * d.cov[i][j] * v[j]
		}
	}
	return off, variance
}

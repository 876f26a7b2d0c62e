package decay

import (
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/mat"
)

// reference solves one hypothesis the long way, with a general library: full
// covariance of all rows, priors as a normal distribution, no whitening, no
// blocks. It gives mean and standard deviation of the leak and the log evidence
// up to a constant that is the same for all hypotheses of one scale.
func reference(b *bank, h hypothesis, rows []row, times []float64, noise float64) (mean, sd, logE float64) {
	d := detail{h: h, slope: slopes[h.slope]}
	n := len(rows)
	scale, m0 := b.priors(h, false)
	prec := mat.NewSymDense(nParam, nil)
	for i := range nParam {
		for j := i; j < nParam; j++ {
			v := 0.0
			if i == j {
				v = 1 / sq(scale[i])
			}
			if isLag(i) && isLag(j) {
				v += 1 / b.tieVar
			}
			prec.SetSym(i, j, v)
		}
	}
	var chol mat.Cholesky
	chol.Factorize(prec)
	prior := mat.NewSymDense(nParam, nil)
	chol.InverseTo(prior)
	x := mat.NewDense(n, nParam, nil)
	resid := mat.NewVecDense(n, nil)
	cov := mat.NewSymDense(n, nil)
	for r := range rows {
		y := rows[r][colY]
		for i := range nParam {
			v := d.value(&rows[r], i)
			x.Set(r, i, v)
			y -= v * m0[i] * scale[i]
		}
		resid.SetVec(r, y)
		for q := r; q < n; q++ {
			v := 0.0
			for _, p := range b.grams[h.wander].w {
				v += sq(p.sd/tRef) * math.Exp(-math.Abs(times[r]-times[q])/p.length)
			}
			if r == q {
				v += noise
			}
			cov.SetSym(r, q, v)
		}
	}
	var xp, full mat.Dense
	xp.Mul(x, prior)
	full.Mul(&xp, x.T())
	for r := range n {
		for q := r; q < n; q++ {
			cov.SetSym(r, q, cov.At(r, q)+full.At(r, q))
		}
	}
	var c mat.Cholesky
	c.Factorize(cov)
	var w mat.VecDense
	c.SolveVecTo(&w, resid)
	logE = -0.5*mat.Dot(resid, &w) - 0.5*c.LogDet()
	gain := mat.NewVecDense(n, nil)
	for r := range n {
		gain.SetVec(r, xp.At(r, n1))
	}
	var back mat.VecDense
	c.SolveVecTo(&back, gain)
	return m0[n1]*scale[n1] + mat.Dot(gain, &w), math.Sqrt(prior.At(n1, n1) - mat.Dot(gain, &back)), logE
}

// The whitening, the two blocks and the sums of products must give what one
// large generalised least squares problem gives, solved by gonum.
func TestBankEqualsOneLargeRegression(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 4))
	b := newBank(Config{}, roomThermal(), 20e5, true)
	var rows []row
	var times []float64
	const noise = 1e-9
	for i := range 60 {
		at := 120 + 30*float64(i) + 5*rng.Float64()
		x := row{colOne: 1}
		for j := range nLag {
			x[colLag+j] = 0.003 * math.Sin(at/700-roomThermal().lag[j]/900)
			x[colDrift+j] = -roomThermal().lag[j] / 3600 * (math.Exp(-at/(1+roomThermal().lag[j])) - 1) / tRef
		}
		for k := range nTau {
			x[colHeat+k] = math.Exp(-at/tau[k]) / tRef
		}
		for l := range nLaw {
			x[colLaw+l] = -at / 3600 * (1 - 0.01*float64(l)*at/3600)
		}
		x[colY] = x[colLag+3] + 1.2*x[colHeat+2] + 0.01*x[colLaw] + 1e-4*rng.NormFloat64()
		dt := 0.0
		if i > 0 {
			dt = at - times[i-1]
		}
		rows, times = append(rows, x), append(times, at)
		b.take(&x, dt, noise)
	}
	var first [2]float64
	for i, h := range []hypothesis{{0, 3, 0, 1}, {2, 3, 1, 1}, {3, 5, 2, 1}, {4, 0, 0, 1}} {
		b.combine(&b.grams[h.wander], slopes[h.slope])
		logE := b.factor(false) - 0.5*b.grams[h.wander].logDet
		m := b.solve(h.law, h.scale)
		logE += m.logW
		mean, sd, want := reference(b, h, rows, times, noise)
		if math.Abs(m.mean-mean) > 1e-5*sd+1e-9 || math.Abs(m.sd/sd-1) > 1e-5 {
			t.Errorf("%v: bank %.9g ± %.6g, reference %.9g ± %.6g", h, m.mean, m.sd, mean, sd)
		}
		if i == 0 {
			first = [2]float64{logE, want}
		} else if d := (logE - first[0]) - (want - first[1]); math.Abs(d) > 1e-3 {
			t.Errorf("%v: log evidence off by %.3g against the first hypothesis", h, d)
		}
		if d := b.explain(h); math.Abs(d.theta[n1]-mean) > 1e-5*sd+1e-9 || math.Abs(math.Sqrt(d.cov[n1][n1])/sd-1) > 1e-5 {
			t.Errorf("%v: explained %.9g ± %.6g, reference %.9g ± %.6g", h, d.theta[n1], math.Sqrt(d.cov[n1][n1]), mean, sd)
		} else if s := d.heat + d.temperature + d.sensor; s < 0.9 || s > 1.05 {
			t.Errorf("%v: shares of the variance add up to %.3f", h, s)
		}
	}
}

package decay

import "math"

// Columns of a row: one per term of the model, then the observation.
const (
	colOne   = 0
	colLag   = colOne + 1      // the lagged temperatures
	colDrift = colLag + nLag   // what 1 K/h of room drift before the record adds to each
	colHeat  = colDrift + nLag // the fading filling heat
	colStep  = colHeat + nTau  // 1 once the sensor has stepped
	colLaw   = colStep + 1     // the leak under each flow law
	colY     = colLaw + nLaw   // ln P
	nCol     = colY + 1
)

// row is one bin as the regression sees it.
type row [nCol]float64

// gram holds the sums of products of whitened rows under one wander
// hypothesis. Whitening is the one-dimensional Kalman filter of the wander:
// every column is run through the same filter, which makes ordinary least
// squares on the result the exact generalised least squares on the data.
type gram struct {
	w       wander
	ahead   [2]row        // predicted wander of each column, per process
	cov     [2][2]float64 // its covariance
	sum     [nCol]row     // sums of products, upper triangle
	logDet  float64       // sum of ln S
	begun   bool
	dt      float64    // s, of the last prediction
	out     row        // the last whitened row
	scale   float64    // 1/sqrt(S) of it
	gain    [2]float64 // Kalman gains of it
	rho     [2]float64 // decay of the wanders over the last prediction
	noiseDT float64    // spectral density of the reading noise, running mean
}

// predict lets dt seconds pass.
func (g *gram) predict(dt float64) {
	g.dt = dt
	if !g.begun {
		for i, p := range g.w {
			g.cov[i][i] = sq(p.sd / tRef)
		}
		g.begun = true
		return
	}
	for i, p := range g.w {
		g.rho[i] = math.Exp(-dt / p.length)
		for c := range g.ahead[i] {
			g.ahead[i][c] *= g.rho[i]
		}
	}
	for i := range g.w {
		for j := range g.w {
			g.cov[i][j] *= g.rho[i] * g.rho[j]
		}
		g.cov[i][i] += sq(g.w[i].sd/tRef) * (1 - sq(g.rho[i]))
	}
}

// spread is the variance of the wander just predicted.
func (g *gram) spread() (v float64) {
	for i := range g.w {
		for j := range g.w {
			v += g.cov[i][j]
		}
	}
	return v
}

// innovation is what the row holds beyond the wander predicted, unscaled.
func (g *gram) innovation(x *row) (e row) {
	e = *x
	for i := range g.w {
		for c := range e {
			e[c] -= g.ahead[i][c]
		}
	}
	return e
}

// take adds a row with noise variance noise.
func (g *gram) take(x *row, noise float64) {
	g.noiseDT += 0.05 * (noise*g.dt - g.noiseDT)
	e := g.innovation(x)
	s := g.spread() + noise
	var gain [2]float64
	for i := range g.w {
		for j := range g.w {
			gain[i] += g.cov[i][j]
		}
	}
	for i := range g.w {
		k := gain[i] / s
		g.gain[i] = k
		for c := range e {
			g.ahead[i][c] += k * e[c]
		}
		for j := range g.w {
			g.cov[i][j] -= k * gain[j]
		}
	}
	g.logDet += math.Log(s)
	g.scale = 1 / math.Sqrt(s)
	for c := range e {
		e[c] *= g.scale
	}
	g.out = e
	for i := range e {
		d := &g.sum[i]
		for j := i; j < nCol; j++ {
			d[j] += e[i] * e[j]
		}
	}
}

// at is the sum of products of columns i and j.
func (g *gram) at(i, j int) float64 {
	if i > j {
		i, j = j, i
	}
	return g.sum[i][j]
}

func sq(x float64) float64 { return x * x }

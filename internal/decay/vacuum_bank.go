package decay

import "math"

// Columns of a bin of a vacuum rise: the start, settling that is always
// allowed, the levelling templates with what moves their time constant, the
// steady rise, the reading.
const (
	nSettle  = 5
	nRiseTau = 10
	nRiseLog = 3

	riseOne    = 0
	riseSettle = riseOne + 1
	riseAlone  = riseSettle + nSettle  // exponentials
	riseVapour = riseAlone + nRiseTau  // the same, following the vapour pressure of water
	riseFirst  = riseVapour + nRiseTau // first derivatives by ln tau
	riseSecond = riseFirst + nRiseTau
	riseLog    = riseSecond + nRiseTau
	riseSteady = riseLog + nRiseLog
	riseY      = riseSteady + 1
	nRise      = riseY + 1
)

type riseRow [nRise]float64

// Priors of a rise, from memory or chosen on simulated rises, but for nothing published.
var (
	settleTau   = [nSettle]float64{20, 60, 200, 600, 2000} // s
	settleSD    = [nSettle]float64{30, 20, 6, 4, 4}        // Pa
	riseLogTime = [nRiseLog]float64{60, 240, 700}          // s
	steadyScale = [...]float64{3, 30, 300, 3000, 30000}    // Pa/h; below the first there is none
	steadyPrior = [...]float64{0.5, 0.125, 0.125, 0.125, 0.125}
	riseWanders = [...]struct{ length, pa, rel float64 }{
		{600, 0.2, 3e-4}, {600, 0.5, 1.5e-3}, {2500, 0.5, 1e-3}, {2500, 1.5, 4e-3},
	}
)

const (
	riseTauFirst = 150.0 // s
	riseTauRatio = 1.5
)

// riseTau is the time constant of an exponential template, s.
func riseTau(k int) float64 { return riseTauFirst * math.Pow(riseTauRatio, float64(k)) }

// alone is the exponential template k at t; it starts at 0.
func alone(k int, t float64) float64 { return -math.Expm1(-t / riseTau(k)) }

// logarithm is the template of desorption from many sites: it slows down and never ends.
func logarithm(k int, t float64) float64 { return math.Log1p(t / riseLogTime[k]) }

// riseGram holds the sums of products of rows whitened under one hypothesis of
// how the gauge and small unmodelled flows wander (see gram). The wander is
// measured in units of pa + rel*p.
type riseGram struct {
	ahead  riseRow
	cov    float64
	begun  bool
	sum    [nRise]riseRow // upper triangle
	logDet float64
}

// take adds a row that comes dt s after the last; h is the size of the wander.
func (g *riseGram) take(x *riseRow, dt, length, h, noise float64) {
	if !g.begun {
		g.begun, g.cov = true, 1
	} else {
		rho := math.Exp(-dt / length)
		for c := range g.ahead {
			g.ahead[c] *= rho
		}
		g.cov = rho*rho*g.cov + 1 - rho*rho
	}
	s := h*h*g.cov + noise
	k := g.cov * h / s
	e := *x
	for c := range e {
		e[c] -= h * g.ahead[c]
		g.ahead[c] += k * e[c]
	}
	g.cov -= k * h * g.cov
	g.logDet += math.Log(s)
	scale := 1 / math.Sqrt(s)
	for c := range e {
		e[c] *= scale
	}
	for i := range e {
		row := &g.sum[i]
		for j := i; j < nRise; j++ {
			row[j] += e[i] * e[j]
		}
	}
}

// riseBank weighs the hypotheses about a rise by the evidence.
type riseBank struct {
	first  float64 // Pa absolute
	shapes []riseShape
	grams  [len(riseWanders)]riseGram
	n      int               // bins
	lastT  float64           // s
	wet    [nRiseTau]float64 // the templates of evaporation
	posts  []risePosterior   // of the last weighing
	edges  [steadyCells + 1]float64
}

// newRiseBank begins at first Pa absolute; water is its vapour pressure then, 0 = not known.
func newRiseBank(first, water float64) *riseBank {
	return &riseBank{first: first, shapes: riseShapes(water), edges: steadyEdges()}
}

// add takes a bin: s, Pa absolute, vapour pressure of water against the start, Pa^2.
func (b *riseBank) add(t, p, vapour, noise float64) {
	var x riseRow
	x[riseOne], x[riseSteady], x[riseY] = 1, t/3600, p-b.first
	for i, tau := range settleTau {
		x[riseSettle+i] = -math.Expm1(-t / tau)
	}
	for k := range nRiseTau {
		u := t / riseTau(k)
		rest := math.Exp(-u)
		x[riseAlone+k] = 1 - rest
		x[riseFirst+k] = -u * rest
		x[riseSecond+k] = u * (1 - u) * rest
		// What evaporates follows the vapour pressure as slowly as it levels.
		b.wet[k] += (vapour - b.wet[k]) * -math.Expm1(-(t-b.lastT)/riseTau(k))
		x[riseVapour+k] = b.wet[k]
	}
	for k := range nRiseLog {
		x[riseLog+k] = logarithm(k, t)
	}
	for i := range b.grams {
		w := riseWanders[i]
		b.grams[i].take(&x, t-b.lastT, w.length, w.pa+w.rel*p, noise)
	}
	b.lastT = t
	b.n++
}

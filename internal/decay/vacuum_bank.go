package decay

import "math"

// Columns of a bin of a vacuum rise: the start, the steady rise, small fast and
// slow settling that is always allowed, the levelling templates, the reading.
const (
	nSettle  = 5
	nRiseTau = 10
	nRiseLog = 3
	nLevel   = 2*nRiseTau + nRiseLog // each exponential alone and following water's vapour pressure

	riseOne     = 0
	riseSettle  = riseOne + 1
	riseLevel   = riseSettle + nSettle
	riseBetween = riseLevel + nLevel // derivatives of the exponentials by ln tau
	riseSteady  = riseBetween + 2*nRiseTau
	riseY       = riseSteady + 1
	nRise       = riseY + 1

	maxRise = riseSettle + nSettle + 3 // terms of one hypothesis
)

type riseRow [nRise]float64

// Priors of a rise, from memory or chosen on simulated rises, but for nothing published.
var (
	settleTau   = [nSettle]float64{20, 60, 200, 600, 2000} // s
	settleSD    = [nSettle]float64{30, 20, 6, 4, 4}        // Pa
	riseLogTime = [nRiseLog]float64{60, 240, 700}          // s
	levelScales = [...]float64{3, 15, 75, 400, 2000}       // Pa
	steadyScale = [...]float64{30, 300, 3000}              // Pa/h
	riseWanders = [...]struct{ length, pa, rel float64 }{
		{600, 0.2, 3e-4}, {600, 0.5, 1.5e-3}, {2500, 0.5, 1e-3}, {2500, 1.5, 4e-3},
	}
)

const (
	riseTauFirst = 150.0 // s
	riseTauRatio = 1.5
	settleShare  = 0.04 // of levelScales, more of every settling: few rises are one exponential
	betweenSD    = 0.15 // of ln tau: a time constant lies between two of the grid
	logShare     = 0.3  // of levelScales, for the logarithms
	positiveMean = 0.5  // of the priors of what cannot be negative, in standard deviations
	noneWeight   = 0.35
	levelWeight  = (1 - noneWeight) / nLevel
	steadyError  = 0.02  // relative, of the steady rise: span of the gauge
	driftPerHour = 0.004 // relative, of the pressure: drift of the gauge
)

// riseTau is the time constant of an exponential template, s.
func riseTau(k int) float64 { return riseTauFirst * math.Pow(riseTauRatio, float64(k)) }

// level is template k at t, without vapour pressure; it starts at 0.
func level(k int, t float64) float64 {
	if k < 2*nRiseTau {
		return -math.Expm1(-t / riseTau(k/2))
	}
	return math.Log1p(t / riseLogTime[k-2*nRiseTau])
}

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
		for j := i; j < nRise; j++ {
			g.sum[i][j] += e[i] * e[j]
		}
	}
}

// riseBank weighs the hypotheses about a rise by the evidence.
type riseBank struct {
	first float64 // Pa absolute
	grams [len(riseWanders)]riseGram
	lastT float64           // s
	wet   [nRiseTau]float64 // the templates of evaporation
	posts []risePosterior   // of the last weighing, in the order of each
}

func newRiseBank(first float64) *riseBank { return &riseBank{first: first} }

// add takes a bin: s, Pa absolute, vapour pressure of water against the start, Pa^2.
func (b *riseBank) add(t, p, vapour, noise float64) {
	var x riseRow
	x[riseOne], x[riseSteady], x[riseY] = 1, t/3600, p-b.first
	for i, tau := range settleTau {
		x[riseSettle+i] = -math.Expm1(-t / tau)
	}
	for k := range nLevel {
		x[riseLevel+k] = level(k, t)
		if k >= 2*nRiseTau {
			continue
		}
		x[riseBetween+k] = -t / riseTau(k/2) * math.Exp(-t/riseTau(k/2))
		if k%2 == 1 { // what evaporates follows water's pressure as slowly as it levels
			b.wet[k/2] += (vapour - b.wet[k/2]) * -math.Expm1(-(t-b.lastT)/riseTau(k/2))
			x[riseLevel+k] = b.wet[k/2]
		}
	}
	for i := range b.grams {
		w := riseWanders[i]
		b.grams[i].take(&x, t-b.lastT, w.length, w.pa+w.rel*p, noise)
	}
	b.lastT = t
}

// riseHypothesis is one combination; level < 0 is none.
type riseHypothesis struct {
	wander, level int
	scale, steady float64 // Pa, Pa/h
	prior         float64
}

// each gives every hypothesis to f.
func (b *riseBank) each(f func(riseHypothesis)) {
	const share = 1.0 / float64(len(riseWanders)*len(steadyScale))
	for w := range b.grams {
		for _, steady := range steadyScale {
			f(riseHypothesis{w, -1, 0, steady, share * noneWeight})
			for k := range nLevel {
				for _, scale := range levelScales {
					if k >= 2*nRiseTau {
						scale *= logShare
					}
					f(riseHypothesis{w, k, scale, steady, share * levelWeight / float64(len(levelScales))})
				}
			}
		}
	}
}

// risePosterior is what one hypothesis leaves: the steady rise L (Pa/h) is
// normal, and given L so are the sums that matter. Nothing is cut at 0 yet.
type risePosterior struct {
	log       float64 // evidence
	mean, sd  float64 // of L
	levelling given   // Pa, risen by levelling since the section had equalised
	plateau   given   // Pa absolute, where it would end without L
}

// given is a normal quantity at a steady rise l.
type given struct{ at0, by, sd float64 }

func (g given) mean(l float64) float64 { return g.at0 + g.by*l }

// riseTerms are the terms of one hypothesis: column, prior deviation, prior mean in deviations.
type riseTerms struct {
	n           int
	col         [maxRise]int
	scale, mean [maxRise]float64
}

func (t *riseTerms) add(col int, sd, mean float64) {
	t.col[t.n], t.scale[t.n], t.mean[t.n] = col, sd, mean
	t.n++
}

// terms lists them so that the levelling part and the steady rise come last.
func (b *riseBank) terms(h riseHypothesis) (t riseTerms) {
	t.add(riseOne, 200+0.2*b.first, 0)
	for i, sd := range settleSD {
		t.add(riseSettle+i, sd+settleShare*h.scale, 0)
	}
	if h.level >= 0 && h.level < 2*nRiseTau {
		t.add(riseBetween+h.level, betweenSD*h.scale, 0)
	}
	if h.level >= 0 {
		t.add(riseLevel+h.level, h.scale, positiveMean)
	}
	t.add(riseSteady, h.steady, positiveMean)
	return t
}

// riseFactor is the Cholesky factor of the scaled normal equations, with the
// right side brought through it.
type riseFactor struct {
	a           [maxRise][maxRise]float64
	z           [maxRise]float64
	logDet, fit float64
}

// factor sets up and factors, with the priors (1 on the diagonal) added.
func (f *riseFactor) factor(g *riseGram, t *riseTerms) {
	f.fit = g.sum[riseY][riseY]
	for i := range t.n {
		for j := range i + 1 {
			v := t.scale[i] * t.scale[j] * g.sum[min(t.col[i], t.col[j])][max(t.col[i], t.col[j])]
			for k := range j {
				v -= f.a[i][k] * f.a[j][k]
			}
			if i == j {
				f.a[i][i] = math.Sqrt(math.Max(v+1, 1e-12))
			} else {
				f.a[i][j] = v / f.a[j][j]
			}
		}
		v := t.scale[i]*g.sum[t.col[i]][riseY] + t.mean[i]
		for k := range i {
			v -= f.a[i][k] * f.z[k]
		}
		f.z[i] = v / f.a[i][i]
		f.logDet += math.Log(f.a[i][i])
		f.fit += sq(t.mean[i]) - sq(f.z[i])
	}
}

// solve makes the regression of one hypothesis as seen at t. One whose evidence
// is below least is left at that.
func (b *riseBank) solve(h riseHypothesis, t, least float64) (post risePosterior) {
	g := &b.grams[h.wander]
	terms := b.terms(h)
	var f riseFactor
	f.factor(g, &terms)
	post.log = math.Log(h.prior) - 0.5*(g.logDet+f.fit) - f.logDet
	if post.log < least {
		return post
	}
	last := terms.n - 1
	post.mean, post.sd = terms.scale[last]*f.z[last]/f.a[last][last], terms.scale[last]/f.a[last][last]
	var risen, end [maxRise]float64
	end[0] = 1
	for i, tau := range settleTau {
		if tau > moistureAfter {
			risen[1+i] = math.Exp(-moistureAfter/tau) - math.Exp(-t/tau)
		}
		end[1+i] = 1
	}
	if h.level >= 0 {
		risen[last-1] = level(h.level, t) - level(h.level, moistureAfter)
		end[last-1] = 1
	}
	post.levelling = f.sum(&terms, &risen)
	post.plateau = f.sum(&terms, &end)
	post.plateau.at0 += b.first
	return post
}

// sum is a weighted sum of all terms but the last, given the last.
func (f *riseFactor) sum(t *riseTerms, weight *[maxRise]float64) (q given) {
	last := t.n - 1
	var u [maxRise]float64
	for i := range last {
		v := weight[i] * t.scale[i]
		for k := range i {
			v -= f.a[i][k] * u[k]
		}
		u[i] = v / f.a[i][i]
		q.at0 += u[i] * f.z[i]
		q.by -= u[i] * f.a[last][i] / t.scale[last]
		q.sd += sq(u[i])
	}
	q.sd = math.Sqrt(q.sd)
	return q
}

package decay

import "math"

// riseShape is one hypothesis of what comes in beside a steady leak.
type riseShape struct {
	prior  float64
	parts  []risePart
	scale  float64 // Pa, of the parts
	settle float64 // Pa, more of every settling than settleSD: few rises are one exponential
	lnTau  float64 // of s, of the one process; 0 = several
	ends   bool    // levels off at a pressure that can be told
	cut    bool    // the part is not negative, and its prior was cut there
}

// risePart is one column with its prior.
type risePart struct {
	column   int
	mean, sd float64                 // of scale
	at       func(t float64) float64 // its template; nil = does not count as levelling
}

// Priors of the shapes, chosen on simulated rises.
const (
	noneWeight   = 0.35
	singleWeight = 0.35
	waterWeight  = 0.10
	broadWeight  = 0.15
	logWeight    = 0.05

	tauWithin    = 0.117  // of ln tau: a time constant lies anywhere between two of the grid
	tauWithin2   = 0.0068 // half its square
	positiveMean = 0.5    // of the priors of what cannot be negative, in standard deviations
	logShare     = 0.3    // of levelScales, for the logarithms
	waterSD      = 0.06   // of the vapour pressure: gauge, thermometer, water that is there already
)

var (
	levelScales  = [...]float64{3, 15, 75, 400, 2000} // Pa
	singleSettle = [...]float64{0.004, 0.05}          // of scale
	broadTaus    = [...]int{0, 2, 4, 6, 8}
)

// riseShapes lists the hypotheses, and is as long as they are many; water is its
// vapour pressure in Pa, 0 = not known.
func riseShapes(water float64) []riseShape {
	list := []riseShape{{prior: noneWeight}}
	within := func(k int, scale float64) []risePart {
		return []risePart{
			{riseFirst + k, 0, tauWithin * scale, nil},
			{riseSecond + k, tauWithin2 * scale, tauWithin2 * scale, nil},
		}
	}
	for k := range nRiseTau {
		at := func(t float64) float64 { return alone(k, t) }
		for _, scale := range levelScales {
			for _, settle := range singleSettle {
				for _, column := range []int{riseAlone + k, riseVapour + k} {
					list = append(list, riseShape{
						prior: singleWeight / float64(2*nRiseTau*len(levelScales)*len(singleSettle)),
						parts: append(within(k, scale), risePart{column, positiveMean * scale, scale, at}),
						scale: scale, settle: settle * scale, lnTau: math.Log(riseTau(k)), ends: true, cut: true,
					})
				}
			}
		}
		if water > 0 {
			list = append(list, riseShape{
				prior: waterWeight / nRiseTau,
				parts: append(within(k, water), risePart{riseVapour + k, water, waterSD * water, at}),
				scale: water, settle: singleSettle[0] * water, lnTau: math.Log(riseTau(k)), ends: true,
			})
		}
	}
	for _, scale := range levelScales {
		list = append(list, broadShape(scale))
		for k := range nRiseLog {
			list = append(list, riseShape{
				prior: logWeight / float64(nRiseLog*len(levelScales)),
				parts: []risePart{{riseLog + k, positiveMean * logShare * scale, logShare * scale, func(t float64) float64 { return logarithm(k, t) }}},
				scale: scale, settle: singleSettle[1] * scale, cut: true,
			})
		}
	}
	return list
}

// broadShape is many processes at once.
func broadShape(scale float64) riseShape {
	s := riseShape{prior: broadWeight / float64(len(levelScales)), scale: scale, settle: singleSettle[1] * scale, ends: true}
	for _, k := range broadTaus {
		s.parts = append(s.parts, risePart{riseAlone + k, 0.2 * scale, 0.2 * scale, func(t float64) float64 { return alone(k, t) }})
	}
	return s
}

// maxRise is how many terms a hypothesis has at most: start, settling, parts, steady rise.
const maxRise = 1 + nSettle + len(broadTaus) + 1

// riseTerms are the terms of one hypothesis: column, prior deviation, prior mean in deviations.
type riseTerms struct {
	n           int
	col         [maxRise]int
	scale, mean [maxRise]float64
}

func (t *riseTerms) add(col int, sd, mean float64) {
	t.col[t.n], t.scale[t.n], t.mean[t.n] = col, sd, mean/sd
	t.n++
}

// terms lists them; the steady rise comes last.
func (b *riseBank) terms(h *riseShape, steady float64) (t riseTerms) {
	t.add(riseOne, 200+0.2*b.first, 0)
	for i, sd := range settleSD {
		t.add(riseSettle+i, sd+h.settle, 0)
	}
	for _, p := range h.parts {
		t.add(p.column, p.sd, p.mean)
	}
	t.add(riseSteady, steady, positiveMean*steady)
	return t
}

// riseFactor is the Cholesky factor of the scaled normal equations, with the
// right side brought through it.
type riseFactor struct {
	a        [maxRise][maxRise]float64
	z        [maxRise]float64
	det, fit [maxRise + 1]float64 // square root of the determinant and misfit, before each row
}

// factor sets up and factors the rows from first on, with the priors (1 on the diagonal) added.
func (f *riseFactor) factor(g *riseGram, t *riseTerms, first int) {
	if first == 0 {
		f.det[0], f.fit[0] = 1, g.sum[riseY][riseY]
	}
	for i := first; i < t.n; i++ {
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
		f.det[i+1] = f.det[i] * f.a[i][i]
		f.fit[i+1] = f.fit[i] + sq(t.mean[i]) - sq(f.z[i])
	}
}

// risePosterior is what one hypothesis leaves: the steady rise L (Pa/h) is
// normal, and given L so are the sums that matter. Nothing is cut at 0 yet.
type risePosterior struct {
	shape     *riseShape
	log       float64 // evidence
	none      bool    // the smallest scale of L: as good as none
	mean, sd  float64 // of L
	levelling given   // Pa, risen by levelling since the section had equalised
	plateau   given   // Pa absolute, where it would end without L
}

// given is a normal quantity at a steady rise l.
type given struct{ at0, by, sd float64 }

func (g given) mean(l float64) float64 { return g.at0 + g.by*l }

// solve makes the regressions of one shape under wander w as seen at t, one for
// each scale of the steady rise. One whose evidence is below least is left at that.
func (b *riseBank) solve(w int, h *riseShape, t float64, least *float64) {
	g := &b.grams[w]
	var f riseFactor
	terms := b.terms(h, steadyScale[0])
	f.factor(g, &terms, 0)
	last := terms.n - 1
	var risen, end [maxRise]float64
	weighed := false
	for i, steady := range steadyScale {
		if i > 0 {
			terms.scale[last] = steady
			f.factor(g, &terms, last)
		}
		post := risePosterior{shape: h, none: i == 0, log: math.Log(h.prior*steadyPrior[i]) - 0.5*(g.logDet+f.fit[terms.n]) - math.Log(f.det[terms.n])}
		if post.log >= *least-negligible {
			if !weighed {
				risen, end = h.weights(t)
				weighed = true
			}
			post.mean, post.sd = terms.scale[last]*f.z[last]/f.a[last][last], terms.scale[last]/f.a[last][last]
			post.levelling, post.plateau = f.sum(&terms, &risen), f.sum(&terms, &end)
			post.plateau.at0 += b.first
			*least = math.Max(*least, post.log)
			b.posts = append(b.posts, post)
		}
	}
}

// weights are those of the terms in the sum of what has risen by levelling, and where it would end.
func (h *riseShape) weights(t float64) (risen, end [maxRise]float64) {
	end[0] = 1
	for i, tau := range settleTau {
		if tau > moistureAfter {
			risen[1+i] = math.Exp(-moistureAfter/tau) - math.Exp(-t/tau)
		}
		end[1+i] = 1
	}
	for i, p := range h.parts {
		if p.at != nil {
			risen[1+nSettle+i] = p.at(t) - p.at(moistureAfter)
			end[1+nSettle+i] = 1
		}
	}
	return risen, end
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

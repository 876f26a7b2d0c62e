package decay

import "math"

// riseSteps is how many places of the steady rise are looked at on each side of
// the tolerance; over six deviations to both sides that is better than 1e-4.
const riseSteps = 16

// negligible is the log evidence below the best from which a hypothesis is left out.
const negligible = 12.0

// moments sums a quantity over hypotheses.
type moments struct{ w, m, s float64 }

func (m *moments) add(w, v, variance float64) {
	m.w += w
	m.m += w * v
	m.s += w * (v*v + variance)
}

// interval is the mean and two standard deviations, not below lowest.
func (m moments) interval(lowest, unit float64) Interval {
	if m.w <= 0 {
		return Interval{}
	}
	v := m.m / m.w
	d := 1.96 * math.Sqrt(math.Max(m.s/m.w-v*v, 0))
	return Interval{v * unit, math.Max(v-d, lowest) * unit, (v + d) * unit}
}

// riseSum is the mixture over all hypotheses.
type riseSum struct {
	all, leak, moist float64 // masses
	steady           moments // Pa/h
	plateau          moments // Pa
	levelling        moments // Pa
}

// weigh adds up the hypotheses as seen at t s and p Pa absolute.
func (b *riseBank) weigh(cfg RiseConfig, t, p float64) RiseEstimate {
	best := math.Inf(-1)
	b.posts = b.posts[:0]
	b.each(func(h riseHypothesis) {
		post := b.solve(h, t, best-negligible)
		best = math.Max(best, post.log)
		b.posts = append(b.posts, post)
	})
	var sum riseSum
	next := 0
	b.each(func(h riseHypothesis) {
		post := b.posts[next]
		next++
		if post.log < best-negligible {
			return
		}
		extra := sq(steadyError*post.mean) + sq(driftPerHour*p)
		post.sd = math.Sqrt(sq(post.sd) + extra)
		sum.add(h, post, math.Exp(post.log-best), cfg)
	})
	if sum.all <= 0 {
		return RiseEstimate{}
	}
	e := RiseEstimate{PLeak: sum.leak / sum.all, PMoisture: sum.moist / sum.all}
	e.Leak = sum.steady.interval(0, 1.0/3600)
	if sum.levelling.w > 0 {
		e.Levelling = sum.levelling.m / sum.all
	}
	if sum.plateau.w > 0.5*sum.moist && e.PMoisture > 0.5 {
		e.Plateau = sum.plateau.interval(0, 1)
	}
	return e
}

// add integrates one hypothesis over the steady rise, which cannot be negative,
// and in closed form over the levelling part, which cannot either.
func (s *riseSum) add(h riseHypothesis, post risePosterior, weight float64, cfg RiseConfig) {
	weight /= upper(-positiveMean) // the priors are cut, too
	if h.level < 0 {
		weight /= upper(0)
	} else {
		weight /= upper(-positiveMean)
	}
	edge := cfg.Leak * 3600
	lo, hi := math.Max(post.mean-6*post.sd, 0), math.Max(post.mean, 0)+6*post.sd
	for _, part := range [2][2]float64{{lo, math.Min(edge, hi)}, {math.Max(edge, lo), hi}} {
		step := (part[1] - part[0]) / riseSteps
		if step <= 0 {
			continue
		}
		for i := range riseSteps {
			l := part[0] + (float64(i)+0.5)*step
			w := weight * step / post.sd * math.Exp(-0.5*sq((l-post.mean)/post.sd)) / math.Sqrt(2*math.Pi)
			s.place(h, post, w, l, cfg)
		}
	}
}

// place adds the mass w at steady rise l.
func (s *riseSum) place(h riseHypothesis, post risePosterior, w, l float64, cfg RiseConfig) {
	risen := post.levelling.mean(l)
	moist := w * upper((cfg.Moisture-risen)/post.levelling.sd)
	w *= upper(-risen / post.levelling.sd)
	s.all += w
	s.moist += moist
	s.steady.add(w, l, 0)
	s.levelling.add(w, math.Max(risen, 0), 0)
	if l > cfg.Leak*3600 {
		s.leak += w
	}
	if h.level < 2*nRiseTau {
		s.plateau.add(moist, post.plateau.mean(l), sq(post.plateau.sd))
	}
}

// upper is the probability that a standard normal variable exceeds x.
func upper(x float64) float64 { return 0.5 * math.Erfc(x/math.Sqrt2) }

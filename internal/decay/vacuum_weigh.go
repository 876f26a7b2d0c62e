package decay

import "math"

// riseSteps is how many places of the steady rise are looked at on each side of
// the tolerance; over five deviations to both sides.
const riseSteps = 10

// negligible is the log evidence below the best from which a hypothesis is left out.
const negligible = 10.0

const (
	steadyError  = 0.02  // relative, of the steady rise: span of the gauge
	driftPerHour = 0.004 // relative, of the pressure: drift of the gauge
)

// moments sums a quantity over hypotheses.
type moments struct{ w, m, s float64 }

func (m *moments) add(w, v, variance float64) {
	m.w += w
	m.m += w * v
	m.s += w * (v*v + variance)
}

// interval is the mean and two standard deviations, not below 0.
func (m moments) interval() Interval {
	if m.w <= 0 {
		return Interval{}
	}
	v := m.m / m.w
	d := 1.96 * math.Sqrt(math.Max(m.s/m.w-v*v, 0))
	return Interval{v, math.Max(v-d, 0), v + d}
}

// steadyMass is the distribution of the steady rise in cells that are even in
// asinh(L/steadyFine): fine near 0, of a constant share far from it.
type steadyMass struct {
	edges *[steadyCells + 1]float64
	cell  [steadyCells]float64
	moments
}

const (
	steadyCells = 512
	steadyFine  = 5.0  // Pa/h
	steadyCell  = 0.02 // of asinh
	steadyHeld  = 0.955
)

// steadyEdges is where the cells begin and the last one ends, Pa/h.
func steadyEdges() (e [steadyCells + 1]float64) {
	for i := range e {
		e[i] = steadyFine * math.Sinh(steadyCell*float64(i))
	}
	return e
}

// add spreads the mass w evenly from l-half to l+half; what lies beyond the cells goes into the last.
func (s *steadyMass) add(w, l, half float64) {
	s.moments.add(w, l, 0)
	last := len(s.cell) - 1
	lo, hi := l-half, l+half
	i := min(int(math.Asinh(lo/steadyFine)/steadyCell), last)
	for each := w / (hi - lo); i < last && lo < hi; i++ {
		to := math.Min(s.edges[i+1], hi)
		s.cell[i] += each * (to - lo)
		w -= each * (to - lo)
		lo = to
	}
	if lo < hi {
		s.cell[last] += w
	}
}

// interval is the mean and the shortest interval that holds 95 %: one that
// reaches down to 0 unless a leak is there.
func (s *steadyMass) interval() Interval {
	best := Interval{Value: s.m / s.w, Hi: math.Inf(1)}
	held, from := 0.0, 0
	for i, w := range s.cell {
		for held += w; held-s.cell[from] >= steadyHeld*s.w && from < i; from++ {
			held -= s.cell[from]
		}
		if lo, hi := s.edges[from], s.edges[i+1]; held >= steadyHeld*s.w && hi-lo < best.Hi-best.Lo {
			best.Lo, best.Hi = lo, hi
		}
	}
	return best
}

// riseSum is the mixture over all hypotheses.
type riseSum struct {
	all, leak, moist float64 // masses
	steady           steadyMass
	plateau          moments // Pa
	levelling        moments // Pa
}

// weigh adds up the hypotheses as seen at t s and p Pa absolute.
func (b *riseBank) weigh(cfg RiseConfig, t, p float64) RiseEstimate {
	best := math.Inf(-1)
	b.posts = b.posts[:0]
	for w := range b.grams {
		for i := range b.shapes {
			b.solve(w, &b.shapes[i], t, &best)
		}
	}
	sum := riseSum{steady: steadyMass{edges: &b.edges}}
	for _, post := range b.posts {
		if post.log < best-negligible {
			continue
		}
		post.sd = math.Sqrt(sq(post.sd) + sq(steadyError*post.mean) + sq(driftPerHour*p))
		sum.add(&post, math.Exp(post.log-best), cfg)
	}
	if sum.all <= 0 {
		return RiseEstimate{}
	}
	e := RiseEstimate{PLeak: sum.leak / sum.all, PMoisture: sum.moist / sum.all}
	l := sum.steady.interval()
	e.Leak = Interval{l.Value / 3600, l.Lo / 3600, l.Hi / 3600}
	if sum.levelling.w > 0 {
		e.Levelling = sum.levelling.m / sum.all
	}
	if sum.plateau.w > 0.5*sum.moist && e.PMoisture > 0.5 {
		e.Plateau = sum.plateau.interval()
	}
	return e
}

// add integrates one hypothesis over the steady rise, which cannot be negative,
// and in closed form over the levelling part, which cannot either.
func (s *riseSum) add(post *risePosterior, weight float64, cfg RiseConfig) {
	weight /= upper(-positiveMean) // the prior is cut, too
	switch {
	case len(post.shape.parts) == 0:
		weight /= upper(0)
	case post.shape.cut:
		weight /= upper(-positiveMean)
	}
	edge := cfg.Leak * 3600
	lo, hi := math.Max(post.mean-5*post.sd, 0), math.Max(post.mean, 0)+5*post.sd
	for _, part := range [2][2]float64{{lo, math.Min(edge, hi)}, {math.Max(edge, lo), hi}} {
		step := (part[1] - part[0]) / riseSteps
		if step <= 0 {
			continue
		}
		for i := range riseSteps {
			l := part[0] + (float64(i)+0.5)*step
			w := weight * step / post.sd * math.Exp(-0.5*sq((l-post.mean)/post.sd)) / math.Sqrt(2*math.Pi)
			s.place(post, w, l, step/2, cfg)
		}
	}
}

// place adds the mass w at steady rises l-half to l+half.
func (s *riseSum) place(post *risePosterior, w, l, half float64, cfg RiseConfig) {
	risen := post.levelling.mean(l)
	moist := w * upper((cfg.Moisture-risen)/post.levelling.sd)
	w *= upper(-risen / post.levelling.sd)
	s.all += w
	s.moist += moist
	s.steady.add(w, l, half)
	s.levelling.add(w, math.Max(risen, 0), 0)
	if l > cfg.Leak*3600 {
		s.leak += w
	}
	if post.shape.ends {
		s.plateau.add(moist, post.plateau.mean(l), sq(post.plateau.sd))
	}
}

// upper is the probability that a standard normal variable exceeds x.
func upper(x float64) float64 { return 0.5 * math.Erfc(x/math.Sqrt2) }

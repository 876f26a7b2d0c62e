package decay

import "math"

// riseSteps is how many places of the steady rise are looked at on each side of
// the tolerance, over riseReach deviations to both sides.
const (
	riseSteps = 8
	riseReach = 4.5
)

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

// interval is the mean and two standard deviations, not below lowest.
func (m moments) interval(lowest float64) Interval {
	if m.w <= 0 {
		return Interval{}
	}
	v := m.m / m.w
	d := 1.96 * math.Sqrt(math.Max(m.s/m.w-v*v, 0))
	return Interval{v, math.Max(v-d, lowest), v + d}
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

	riseBends = 6    // bins that it takes to see whether a rise bends; with fewer all of it may level off
	noneDoubt = 0.25 // the interval holds whether most sections are tight or most leak
)

// steadyEdges is where the cells begin and the last one ends, Pa/h.
func steadyEdges() (e [steadyCells + 1]float64) {
	for i := range e {
		e[i] = steadyFine * math.Sinh(steadyCell*float64(i))
	}
	return e
}

// cellOf is the cell that holds l Pa/h.
func (s *steadyMass) cellOf(l float64) int {
	return min(int(math.Asinh(l/steadyFine)/steadyCell), steadyCells-1)
}

// add spreads the mass w evenly from lo, in cell i, to hi, and gives the cell
// of hi. What lies beyond the cells goes into the last.
func (s *steadyMass) add(w, lo, hi float64, i int) int {
	s.moments.add(w, (lo+hi)/2, 0)
	for each := w / (hi - lo); i < steadyCells-1 && s.edges[i+1] < hi; i++ {
		s.cell[i] += each * (s.edges[i+1] - lo)
		w -= each * (s.edges[i+1] - lo)
		lo = s.edges[i+1]
	}
	s.cell[i] += w
	return i
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
	all, leak, moist float64    // masses
	steady, doubt    steadyMass // Pa/h; doubt: as if fewer were tight
	plateau          moments    // Pa
	levelling        moments    // Pa
	tau              moments    // ln s
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
	sum := riseSum{steady: steadyMass{edges: &b.edges}, doubt: steadyMass{edges: &b.edges}}
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
	l, d := sum.steady.interval(), sum.doubt.interval()
	l.Lo, l.Hi = math.Min(l.Lo, d.Lo), math.Max(l.Hi, d.Hi)
	if b.n < riseBends {
		l.Lo = 0
	}
	e.Leak = Interval{l.Value / 3600, l.Lo / 3600, l.Hi / 3600}
	if sum.levelling.w > 0 {
		e.Levelling = sum.levelling.m / sum.all
	}
	if sum.plateau.w > 0.5*sum.moist && e.PMoisture > 0.5 {
		e.Plateau = sum.plateau.interval(0)
		if sum.tau.w > 0 {
			e.Tau = math.Exp(sum.tau.m / sum.tau.w)
		}
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
	lo, hi := math.Max(post.mean-riseReach*post.sd, 0), math.Max(post.mean, 0)+riseReach*post.sd
	for _, part := range [2][2]float64{{lo, math.Min(edge, hi)}, {math.Max(edge, lo), hi}} {
		step := (part[1] - part[0]) / riseSteps
		if step <= 0 {
			continue
		}
		cell := s.steady.cellOf(part[0])
		for i := range riseSteps {
			from := part[0] + float64(i)*step
			l := from + step/2
			w := weight * step / post.sd * math.Exp(-0.5*sq((l-post.mean)/post.sd)) / math.Sqrt(2*math.Pi)
			w = s.place(post, w, l, cfg)
			s.steady.add(w, from, from+step, cell)
			if post.none {
				w *= noneDoubt
			}
			cell = s.doubt.add(w, from, from+step, cell)
		}
	}
}

// place adds the mass w at steady rise l and gives what is left of it where nothing falls.
func (s *riseSum) place(post *risePosterior, w, l float64, cfg RiseConfig) float64 {
	risen := post.levelling.mean(l)
	moist := w * upper((cfg.Moisture-risen)/post.levelling.sd)
	w *= upper(-risen / post.levelling.sd)
	s.all += w
	s.moist += moist
	s.levelling.add(w, math.Max(risen, 0), 0)
	if l > cfg.Leak*3600 {
		s.leak += w
	}
	if post.shape.ends {
		s.plateau.add(moist, post.plateau.mean(l), sq(post.plateau.sd))
	}
	if post.shape.lnTau > 0 {
		s.tau.add(moist, post.shape.lnTau, 0)
	}
	return w
}

// upper is the probability that a standard normal variable exceeds x.
func upper(x float64) float64 {
	switch { // most are far from the edge
	case x < -6:
		return 1
	case x > 6:
		return 0
	}
	return 0.5 * math.Erfc(x/math.Sqrt2)
}

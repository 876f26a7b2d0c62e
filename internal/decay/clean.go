package decay

import (
	"math"
	"slices"
)

// ringSize is how many recent second differences the noise is read from.
const ringSize = 61

// cleaner takes spikes out of the pressure and learns the sensor's noise, step
// and pace from the samples. Constant memory.
type cleaner struct {
	win    [5]Sample  // the last five samples, oldest first
	n      int        // how many of them there are
	last   [2]float64 // Pa, the last two raw pressures, newest first
	seen   int
	lastT  float64           // s
	gap    float64           // s, usual distance of samples
	diffs  [ringSize]float64 // |second differences| of the pressure, Pa
	nDiff  int
	cached float64  // Pa, noise from the ring
	still  [64]bool // ring: was this sample equal to the one before?
	nStill int      // how many of the ring are
	noted  int      // how many went into it
	step   float64  // Pa, smallest change seen; 0 = none yet
	moves  int      // how often the pressure changed
	wide   int      // how often by more than the smallest change
	same   int      // run of equal pressures
	sameT  float64  // s, when it began
	rest   float64  // s, the longest such run before this one
	dead   int      // samples of such runs in which the sensor was lifeless
	spikes int
}

// push takes a sample and returns the cleaned one that is two older, once it is
// known. Samples far apart pass straight through, and so does the first of
// all, whose pace is not known yet.
func (c *cleaner) push(s Sample) (Sample, bool) {
	c.learn(s)
	if c.gap >= sparse/2 {
		c.n = 0 // what waits in the window is older than what passes it by
		return s, true
	}
	copy(c.win[:], c.win[1:])
	c.win[4] = s
	c.n = min(c.n+1, 5)
	switch {
	case c.seen == 1:
		return s, true
	case c.n < 5:
		// The second has no two neighbours on its left: it is passed on as it is
		// when the fourth arrives.
		return c.win[2], c.n == 4
	}
	mid := c.win[2]
	far := math.Max(5*c.sigma(), 2*c.step)
	if math.Abs(mid.P-c.win[0].P) <= far && math.Abs(mid.P-c.win[4].P) <= far {
		return mid, true // in line with both ends: no need to sort
	}
	if m := median5(c.win); math.Abs(mid.P-m) > far {
		mid.P = m // Hampel filter: five samples, five sigma
		c.spikes++
	}
	return mid, true
}

// learn updates noise, step and pace.
func (c *cleaner) learn(s Sample) {
	if c.seen > 0 {
		if dt := s.T - c.lastT; c.seen == 1 {
			c.gap = dt
		} else {
			c.gap += 0.1 * (math.Min(dt, 4*c.gap+1) - c.gap)
		}
		c.learnStep(s)
	}
	if c.seen > 1 && !c.lifeless() {
		c.diffs[c.nDiff%ringSize] = math.Abs(s.P - 2*c.last[0] + c.last[1])
		c.nDiff++
		if c.nDiff%ringSize == 0 || c.nDiff <= 16 || c.nDiff <= 2*ringSize && c.nDiff%8 == 0 {
			c.learnNoise()
		}
	}
	c.last[1], c.last[0] = c.last[0], s.P
	c.lastT = s.T
	c.seen++
}

// learnStep watches equal neighbours and the smallest change.
func (c *cleaner) learnStep(s Sample) {
	d := math.Abs(s.P - c.last[0])
	if d == 0 {
		if c.same == 0 {
			c.sameT = c.lastT
		}
		c.same++
		if !c.lifeless() {
			c.note(true)
		}
		return
	}
	switch {
	case c.lifeless():
		c.dead += c.same
	case c.same > 0:
		c.rest = math.Max(c.rest, c.lastT-c.sameT)
	}
	c.same = 0
	c.moves++
	if c.step == 0 || d < c.step {
		c.step = d
	}
	if d > 1.5*c.step {
		c.wide++
	}
	c.note(false)
}

// note puts into the ring whether the last sample stood still.
func (c *cleaner) note(still bool) {
	i := c.noted % len(c.still)
	if c.still[i] {
		c.nStill--
	}
	if still {
		c.nStill++
	}
	c.still[i] = still
	c.noted++
}

// motion is the share of the samples that differ from the one before, while the sensor lives.
func (c *cleaner) motion() float64 {
	return float64(c.moves) / float64(max(c.seen-c.same-c.dead, 1))
}

// stillness is how many changes are missing in the present run of equal pressures.
func (c *cleaner) stillness() float64 { return c.motion() * float64(c.same) }

const (
	doubtful = 8.0  // changes missing: chance does it once in 3,000 runs, so what comes of it waits
	frozen   = 30.0 // changes missing that no chance explains
)

// lively reports noise that moves the display wherever the pressure lies. One
// whose noise only makes it flicker between two neighbours stands still midway
// between them, and is no less alive.
func (c *cleaner) lively() bool {
	return c.motion() >= 0.2 && 50*c.wide > c.seen-c.same-c.dead
}

// lifeless reports a lively sensor in a run of equal pressures from which nothing is to be learned.
func (c *cleaner) lifeless() bool {
	return c.same >= doubtful && c.stillness() > doubtful && c.lively()
}

// learnNoise takes the median absolute second difference, scaled for a normal
// distribution: 1.4826/sqrt(6), as a second difference has six times the variance.
func (c *cleaner) learnNoise() {
	n := min(c.nDiff, ringSize)
	r := c.diffs
	slices.Sort(r[:n])
	c.cached = 1.4826 / math.Sqrt(6) * r[n/2]
}

// sigma is the standard deviation of a single pressure, Pa, never below what
// the step alone makes (q/sqrt 12).
func (c *cleaner) sigma() float64 {
	return math.Max(c.cached, math.Max(c.step/math.Sqrt(12), 1e-3))
}

// coarse reports a display whose steps are so wide that it mostly stands still,
// be it lately or since the start: where it flickers between two steps, the
// readings share one error all the same.
func (c *cleaner) coarse() bool {
	n := min(c.noted, len(c.still))
	return n >= 16 && (float64(c.nStill) >= 0.9*float64(n) || c.noted > len(c.still) && c.motion() < 0.15)
}

func median5(w [5]Sample) float64 {
	var p [5]float64
	for i := range w {
		p[i] = w[i].P
	}
	slices.Sort(p[:])
	return p[2]
}

// thermometer follows one thermometer: no part and no room changes faster than
// 2.5 K/min as a whole, so what does is a touch or a draught on the bulb; and
// one that has moved before but stands still for ten minutes has died.
type thermometer struct {
	value   float64 // K, followed
	raw     float64 // K, last
	ok      bool
	lastT   float64 // s, of the last reading
	changed float64 // s, of the last change
	moves   int
	rest    float64 // s, longest time without a change
	step    float64 // K, smallest change seen; 0 = none yet
	slewed  float64 // s spent at the slew limit
	stuck   float64 // s of readings that stood still and were not used
}

const (
	slewLimit   = 2.5 / 60 // K/s
	deadAfter   = 600.0    // s
	quietAfter  = 240.0    // s
	movesToLive = 8
	fineStep    = 0.1 // K; what shows coarser steps may stand still for longer in proportion
)

// use takes a reading (NaN = none) and returns the temperature to work with (NaN = none).
func (m *thermometer) use(t, v float64) float64 {
	if math.IsNaN(v) {
		if m.ok && t-m.lastT < deadAfter/2 {
			return m.value // bridge a short silence
		}
		return v
	}
	if !m.ok {
		*m = thermometer{value: v, raw: v, ok: true, lastT: t, changed: t}
		return v
	}
	if d := math.Abs(v - m.raw); d > 0 {
		m.moves++
		m.rest = math.Max(m.rest, t-m.changed)
		m.changed = t
		if m.step == 0 || d < m.step {
			m.step = d
		}
	}
	dt := t - m.lastT
	m.raw, m.lastT = v, t
	want := v - m.value
	if most := slewLimit * dt; math.Abs(want) > most && dt < sparse {
		m.slewed += dt
		want = math.Copysign(most, want)
	}
	m.value += want
	if m.dead(t) {
		m.stuck += dt
		return math.NaN()
	}
	return m.value
}

// dead reports a thermometer that moved before and has stopped: for ten minutes,
// or for four times its longest rest so far; a fine one shows that sooner.
func (m *thermometer) dead(t float64) bool {
	rest, coarse := t-m.changed, m.step/fineStep
	if m.moves >= movesToLive && rest > deadAfter*math.Max(coarse, 1) && m.rate()*deadAfter > 6 {
		return true
	}
	return m.moves >= 4*movesToLive && rest > quietAfter*math.Max(coarse, 0.25) && rest > 4*m.rest
}

// rate is how often it used to change, 1/s.
func (m *thermometer) rate() float64 {
	if m.changed <= 0 {
		return 0
	}
	return float64(m.moves) / math.Max(m.changed, 1)
}

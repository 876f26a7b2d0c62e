package decay

import "math"

// Shape says what the rise of an evacuated, closed-off section looks like.
type Shape string

// The shapes of a rise. Undecided covers everything the data cannot tell apart yet.
const (
	RiseFlat       Shape = "flat"
	RiseLeak       Shape = "leak"       // a steady rise
	RiseMoisture   Shape = "moisture"   // levels towards a pressure that water has between -10 °C and the temperature
	RiseOutgassing Shape = "outgassing" // levels elsewhere: oil, dissolved refrigerant, hoses, adsorbed water
	RiseBoth       Shape = "both"       // levels and rises steadily
	RiseUndecided  Shape = "undecided"
)

// RiseConfig is what is known of a vacuum rise beforehand. Zero values mean unknown.
type RiseConfig struct {
	Water    func(tempK float64) float64 // Pa absolute, saturation pressure of water (ice below freezing); nil = not compared
	Leak     float64                     // Pa/s from which a steady rise counts as a leak; 0 = 60 Pa/h (chosen, no source)
	Moisture float64                     // Pa of levelling rise, from two minutes on, that counts; 0 = 50 Pa (chosen, no source)
}

// RiseEstimate is what a vacuum rise says so far.
type RiseEstimate struct {
	Valid     bool     // false: no twenty seconds of readings yet
	At        float64  // s since closing, of the last bin used
	Shape     Shape    // in a word
	Leak      Interval // Pa/s, steady rise; the mean and two standard deviations, not below 0
	Plateau   Interval // Pa absolute, where the levelling part would end without the leak; zero = none seen
	Levelling float64  // Pa, what the levelling part has risen since two minutes after closing
	Tau       float64  // s, about how fast the levelling part levels; 0 = none seen
	Temp      float64  // K, the last temperature; 0 = unknown
	Water     float64  // Pa absolute, saturation pressure of water at the last temperature; 0 = unknown
	WaterAt   float64  // K, where water or ice has the pressure of the plateau; 0 = none seen
	Start     float64  // Pa absolute, first bin
	End       float64  // Pa absolute, last bin
	PLeak     float64  // probability that the steady rise exceeds the tolerance
	PMoisture float64  // the same of the levelling part
	Gross     bool     // the pressure rose beyond what a vacuum can be judged by
}

// What the words of a rise demand. The second look is what keeps a slowly
// levelling wet section from being called a leak: a look at 97.5 % each time
// would be wrong 8.5 % of the time (simulated, see the study in the test).
const (
	riseEarliest  = 1200.0 // s, nothing is said before
	riseSure      = 1800.0 // s, from which a leak beside moisture may be called
	riseApart     = 600.0  // s between the looks that must agree
	riseLookEvery = 300.0  // s
	riseLooks     = 5      // looks remembered: more than riseApart of them

	sureNo        = 0.025
	sureMoisture  = 0.975
	sureLeakDry   = 0.975
	sureLeakWet   = 0.99
	sureLeakFirst = 0.5

	moistureAfter = 120.0  // s, before it the section only equalises
	coldestWet    = 263.15 // K
	coldestIce    = 220.0  // K
	hottestWater  = 370.0  // K

	grossRise = 20e3 // Pa absolute: no water below 60 °C reaches it

	binsBack = 60.0 // a bin is at least this part of the time since closing: a day has some three hundred
)

// look is what was thought at a time.
type look struct{ at, leak float64 }

// Rise judges the rise of pressure in an evacuated, closed-off section. It
// needs constant memory and, per bin, constant time. Not for several goroutines.
type Rise struct {
	cfg   RiseConfig
	clean cleaner
	first Sample // held back until the pace is known
	bank  *riseBank

	bin    riseBin
	tempK  float64 // K, last; 0 = never known
	tempK0 float64 // K, of the first bin that knew it
	start  float64 // Pa absolute
	end    float64
	at     float64 // s
	last   float64 // s, of the last reading
	gross  bool    // went beyond grossRise; nothing is taken any more

	looks  [riseLooks]look // newest last
	nextAt float64         // s, of the next look
	cache  RiseEstimate
	stale  bool
}

// riseBin collects the samples of twenty seconds.
type riseBin struct {
	n          int
	nT         int
	from       float64 // s
	t, p, temp float64 // sums
}

// NewRise gives a judge of a rise that has seen nothing.
func NewRise(c RiseConfig) *Rise {
	if c.Leak <= 0 {
		c.Leak = 60.0 / 3600
	}
	if c.Moisture <= 0 {
		c.Moisture = 50
	}
	return &Rise{cfg: c, nextAt: riseSure - riseApart - riseLookEvery, cache: RiseEstimate{Shape: RiseUndecided}}
}

// Add takes a reading: s since the section was closed off, Pa absolute, and the
// temperature in K (NaN = none). Readings that cannot be are left out.
func (r *Rise) Add(t, p, tempK float64) {
	if !(t >= 0) || !(p > 0) || math.IsInf(t, 0) || math.IsInf(p, 0) || t < r.bin.from {
		return
	}
	r.last = t
	raw := Sample{T: t, P: p, Ambient: tempK}
	s, ok := r.clean.push(raw)
	switch {
	case r.clean.seen == 1:
		r.first = raw
	case r.clean.seen == 2 && ok: // far apart, passed through: the first was held back
		r.take(r.first)
	}
	if ok {
		r.take(s)
	}
}

// take puts a cleaned reading into its bin.
func (r *Rise) take(s Sample) {
	if r.bin.n > 0 && s.T-r.bin.from >= math.Max(binLength, s.T/binsBack) {
		r.close()
	}
	if r.bin.n == 0 {
		r.bin.from = s.T
	}
	r.bin.n++
	r.bin.t += s.T
	r.bin.p += s.P
	if s.Ambient > 0 {
		r.bin.nT++
		r.bin.temp += s.Ambient
	}
	if r.clean.gap >= sparse/2 { // the next one is minutes away
		r.close()
	}
}

// close gives the bin to the bank.
func (r *Rise) close() {
	b := r.bin
	r.bin = riseBin{from: b.from}
	n := float64(b.n)
	t, p := b.t/n, b.p/n
	if b.nT > 0 {
		r.tempK = b.temp / float64(b.nT)
		if r.tempK0 == 0 {
			r.tempK0 = r.tempK
		}
	}
	if p > grossRise && r.bank != nil {
		r.gross, r.at, r.end, r.stale = true, t, p, true
		return
	}
	if r.bank == nil {
		water := 0.0
		if r.cfg.Water != nil && r.tempK > 0 {
			water = r.cfg.Water(r.tempK)
		}
		r.bank, r.start = newRiseBank(p, water), p
	}
	r.bank.add(t, p, r.vapour(), r.noise(p, n))
	r.at, r.end, r.stale = t, p, true
	if t >= r.nextAt {
		r.nextAt = math.Max(r.nextAt+riseLookEvery, t)
		copy(r.looks[:], r.looks[1:])
		r.looks[riseLooks-1] = look{r.last, r.Estimate().PLeak}
	}
}

// noise is the variance of a bin of n readings around p, Pa^2. Readings far
// apart differ by more than step and noise, so these are assumed.
func (r *Rise) noise(p, n float64) float64 {
	if r.clean.gap >= sparse/2 {
		return sq(0.5+0.003*p) / n
	}
	return sq(r.clean.sigma())/n + sq(0.15*r.clean.step) + sq(2e-4*p)
}

// vapour is by how much water's pressure at the temperature now exceeds that at the start.
func (r *Rise) vapour() float64 {
	if r.cfg.Water == nil || r.tempK0 == 0 {
		return 1
	}
	v := r.cfg.Water(r.tempK) / r.cfg.Water(r.tempK0)
	if !(v > 0) || math.IsInf(v, 0) {
		return 1
	}
	return v
}

// Estimate says what the rise looks like now.
func (r *Rise) Estimate() RiseEstimate {
	if !r.stale {
		return r.cache
	}
	r.stale = false
	e := r.bank.weigh(r.cfg, r.at, r.end)
	e.Valid, e.At, e.Start, e.End = true, r.at, r.start, r.end
	if r.cfg.Water != nil && r.tempK > 0 {
		e.Water = r.cfg.Water(r.tempK)
	}
	if e.Plateau.Value > 0 {
		e.WaterAt = r.waterAt(e.Plateau.Value)
	}
	e.Temp, e.Gross = r.tempK, r.gross
	if r.gross { // the mean slope: nothing finer is needed
		mean := (e.End - e.Start) / math.Max(e.At, binLength)
		e.Leak, e.PLeak = Interval{Value: mean, Lo: mean / 2, Hi: 2 * mean}, 1
	}
	e.Shape = r.word(e)
	r.cache = e
	return e
}

// waterAt is the temperature at which water or ice has the pressure p, K.
func (r *Rise) waterAt(p float64) float64 {
	lo, hi := coldestIce, hottestWater
	if r.cfg.Water == nil || p < r.cfg.Water(lo) || p > r.cfg.Water(hi) {
		return 0
	}
	for hi-lo > 0.05 {
		if mid := (lo + hi) / 2; r.cfg.Water(mid) < p {
			lo = mid
		} else {
			hi = mid
		}
	}
	return lo
}

// word applies the rule to the probabilities.
func (r *Rise) word(e RiseEstimate) Shape {
	if e.Gross {
		return RiseLeak
	}
	if r.last < riseEarliest {
		return RiseUndecided
	}
	wet, dry := e.PMoisture > sureMoisture, e.PMoisture < sureNo
	leak := dry && e.PLeak > sureLeakDry ||
		e.PLeak > sureLeakWet && r.last >= riseSure && r.before(r.last-riseApart) > sureLeakFirst
	switch {
	case leak && wet:
		return RiseBoth
	case leak: // whether it levels as well may be open: PMoisture says so
		return RiseLeak
	case e.PLeak >= sureNo || !wet && !dry:
		return RiseUndecided
	case dry:
		return RiseFlat
	case r.watery(e):
		return RiseMoisture
	}
	return RiseOutgassing
}

// before is what the newest look not after t thought of a leak.
func (r *Rise) before(t float64) (leak float64) {
	for _, l := range r.looks {
		if l.at > 0 && l.at <= t {
			leak = l.leak
		}
	}
	return leak
}

// watery reports whether the plateau can be the vapour pressure of water
// somewhere between a spot iced to -10 °C and the temperature of the section.
func (r *Rise) watery(e RiseEstimate) bool {
	return e.Water > 0 && e.Plateau.Hi >= r.cfg.Water(coldestWet) && e.Plateau.Lo <= 1.1*e.Water
}

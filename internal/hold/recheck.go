package hold

import (
	"fmt"
	"math"
	"time"

	"example.org/holdfast/internal/decay"
	"example.org/holdfast/internal/units"
)

// Changed says what a look at the time before and after a mark found.
type Changed string

// The findings.
const (
	CannotTell Changed = "cannot tell" // too little before or after it
	NoChange   Changed = "no change"   // none is seen; Hi and Lo say how large one could hide
	Less       Changed = "less"        // it leaks less since
	More       Changed = "more"        // it leaks more since
)

// Recheck compares the fall before and after the last mark: whether soap, a
// turned cap or a tap with a finger changed the leak. It says so within minutes,
// long before the hold as a whole can say how large the leak is now.
type Recheck struct {
	Mark          Mark
	Changed       Changed
	Value, Lo, Hi float64 // Pa/s, change of the loss with its 95 % interval; positive = more
	Confidence    float64 // that it changed to the side of Value, 0.5 to 1
	Before, After float64 // s, of the stretches compared
}

const (
	recheckMost  = 1800.0 // s of each stretch
	recheckLeast = 240.0  // s of each stretch, below which nothing is said
	recheckPause = 60.0   // s after the mark: a hand was there, the gas is warmed or squeezed
	recheckSure  = 0.975  // one-sided; the interval of 95 % then lies on one side of zero
	recheckRows  = 8      // points in a stretch
)

// strays is how the gas temperature wanders unseen: standard deviation, K, and
// memory, s, the middle one of what the fit assumes (see decay). Over a stretch much
// shorter than the memory it walks at random.
const (
	strayK      = 0.04
	strayMemory = 1200.0
)

// marked keeps how the pressure was corrected when a mark was made.
func (h *Hold) marked() {
	h.markedBy = decay.Correction{}
	if h.fit != nil {
		h.markedBy = h.fit.Correction()
	}
}

// recheck looks at the last mark of this segment; nil = there is none yet.
func (h *Hold) recheck() *Recheck {
	n := len(h.s.Marks)
	if n == 0 || h.fit == nil || h.s.Marks[n-1].Segment != h.s.Segment {
		return nil
	}
	r := &Recheck{Mark: h.s.Marks[n-1], Changed: CannotTell, Confidence: 0.5}
	at := r.Mark.Elapsed - h.s.SegmentStart
	from := math.Max(at-recheckMost, math.Max(h.settledAt, 0))
	if n > 1 && h.s.Marks[n-2].Segment == h.s.Segment {
		from = math.Max(from, h.s.Marks[n-2].Elapsed-h.s.SegmentStart+recheckPause)
	}
	if h.settledAt < 0 || !h.markedBy.Known() {
		return r
	}
	wander, curve := h.strayRate(), h.fit.CurveBy(h.markedBy)
	before, ok1 := stretchOf(curve, from, at, wander)
	after, ok2 := stretchOf(curve, at+recheckPause, at+recheckPause+recheckMost, wander)
	r.Before, r.After = before.length, after.length
	if !ok1 || !ok2 {
		return r
	}
	sd := math.Hypot(before.sd, after.sd)
	r.Value = before.slope - after.slope
	r.Lo, r.Hi = r.Value-1.96*sd, r.Value+1.96*sd
	r.Confidence = 0.5 * math.Erfc(-math.Abs(r.Value)/sd/math.Sqrt2)
	switch {
	case r.Confidence < recheckSure:
		r.Changed = NoChange
	case r.Value < 0:
		r.Changed = Less
	default:
		r.Changed = More
	}
	return r
}

// strayRate is the variance per second, Pa²/s, of the random walk that unseen
// temperature puts on the pressure: 2σ²/τ of an Ornstein-Uhlenbeck process, from memory.
func (h *Hold) strayRate() float64 {
	t := float64(h.limitAt)
	perKelvin := h.s.Estimate.Start / t
	return 2 * strayK * strayK / strayMemory * perKelvin * perKelvin
}

// stretch is a straight piece of the corrected curve.
type stretch struct{ slope, sd, length float64 } // Pa/s, Pa/s, s

// stretchOf fits a line to the corrected pressure between two times. The
// uncertainty of its slope has two parts: noise that is fresh in each point,
// taken from the points themselves, σ²/Σ(t-t̄)²; and the random walk of rate D,
// which a fit over the length T turns into 6D/(5T) (integral of the line's
// weights over the walk).
func stretchOf(curve []decay.Point, from, to, walk float64) (s stretch, ok bool) {
	var n, st, sp float64
	first, last := math.Inf(1), math.Inf(-1)
	inside := func(p decay.Point) bool { return p.T >= from && p.T <= to && p.Fit > 0 }
	for _, p := range curve {
		if inside(p) {
			n, st, sp = n+1, st+p.T, sp+p.Corrected
			first, last = math.Min(first, p.T), math.Max(last, p.T)
		}
	}
	if n < recheckRows || last-first < recheckLeast {
		return stretch{length: math.Max(last-first, 0)}, false
	}
	mt, mp := st/n, sp/n
	var stt, stp float64
	for _, p := range curve {
		if inside(p) {
			stt += (p.T - mt) * (p.T - mt)
			stp += (p.T - mt) * (p.Corrected - mp)
		}
	}
	s = stretch{slope: stp / stt, length: last - first}
	var rest float64
	for _, p := range curve {
		if inside(p) {
			d := p.Corrected - mp - s.slope*(p.T-mt)
			rest += d * d
		}
	}
	s.sd = math.Sqrt(rest/(n-2)/stt + 1.2*walk/s.length)
	return s, true
}

// Words say it for a line on a screen; unit is the pressure unit.
func (r *Recheck) Words(unit string) string {
	rate := func(v float64) string { return units.FormatPressureRate(units.PressureRate(math.Abs(v)), unit) }
	about := fmt.Sprintf("since the mark %q", r.Mark.Text)
	minutes := units.FormatDuration(time.Duration(r.After) * time.Second)
	switch r.Changed {
	case Less:
		return fmt.Sprintf("%s it leaks less, by %s (between %s and %s, %.0f %% sure, %s after it)", about, rate(r.Value), rate(r.Hi), rate(r.Lo), 100*r.Confidence, minutes)
	case More:
		return fmt.Sprintf("%s it leaks more, by %s (between %s and %s, %.0f %% sure, %s after it)", about, rate(r.Value), rate(r.Lo), rate(r.Hi), 100*r.Confidence, minutes)
	case NoChange:
		return fmt.Sprintf("%s no change is seen; one of less than %s could hide (%s after it)", about, rate(math.Max(-r.Lo, r.Hi)), minutes)
	}
	return about + " it cannot be told yet whether the leak changed: it takes a settled hold and five minutes before and after, without another touch"
}

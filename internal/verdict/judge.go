package verdict

import (
	"fmt"
	"math"
	"slices"

	"example.org/holdfast/internal/decay"
	"example.org/holdfast/internal/units"
)

// Input is what a verdict rests on.
type Input struct {
	Estimate decay.Estimate
	Limit    Limit
	Final    bool    // the set time is over: this look is the one that counts
	Elapsed  float64 // s since the filling
	Unread   float64 // s of it in which nothing was read, if a clock that may have been set is right
	Since    float64 // s since the last such time ended
	HoldFor  float64 // s the hold is meant to last
	ByHand   bool    // readings by eye
	OnPart   bool    // there is a thermometer on the part
	Leaked   bool    // earlier it lost more than the limit beyond doubt
	Slowed   float64 // s since the filling, from when it falls more slowly than before; 0 = it does not
	RangAt   float64 // s since the filling, when the bell rang for a leak; 0 = it did not
	Unit     string  // pressure unit of the words: "bar" or "psi"
	Figures  func(units.PressureRate) Figures
	Blank    *Blank  // the blank hold that Estimate is without; nil = none
	VolumeSE float64 // relative standard uncertainty of the volume; 0 = not known, taken as none
}

const (
	noWordBefore = 480.0  // s: no word before, unless gross
	tightFinal   = 2.0    // standard uncertainties below the limit, one look
	tightEarly   = 2.6    // the same, looked at all the time
	pauseShows   = 1200.0 // s of readings after an unread time until a leak that seemed to pause shows
	leakEarly    = 3.3    // above the limit, looked at all the time: nobody shall search for a leak that is none
)

// Judge gives the verdict.
func Judge(in Input) Verdict {
	v := Verdict{Word: Unproven, Limit: in.Limit, MoreHold: -1}
	e := in.Estimate
	for _, w := range e.Warnings {
		v.Warnings = append(v.Warnings, sentence(w.Text))
	}
	gross := e.CalledAt >= 0 && e.CalledWhy == "gross"
	if gross && !e.Valid {
		return grossVerdict(v, in)
	}
	if !e.Valid {
		v.Phrase = "too early to say"
		v.Reasons = []string{"Too few readings since the filling for any statement."}
		v.MoreHold = math.Max(noWordBefore-in.Elapsed, 60)
		v.Advice = []string{"Keep holding; do not touch the part or the valves."}
		return v
	}
	v.Leak = in.Figures(units.PressureRate(math.Max(e.Rate.Value, 0)))
	v.Hides = hides(in)
	v.Word = word(in, gross)
	v.Causes = causes(in)
	_, v.Narrower = widest(in)
	switch v.Word {
	case Leaking:
		v.MoreHold = 0
		sayLeaking(&v, in, gross)
	case Tight:
		v.MoreHold = 0
		sayTight(&v, in)
	default:
		v.MoreHold = more(in)
		sayUnproven(&v, in)
	}
	sayBlank(&v, in)
	return v
}

// word applies the rules.
func word(in Input, gross bool) Word {
	e := in.Estimate
	if in.Limit.ByVolume {
		e = ByVolume(e, in.VolumeSE)
	}
	limit := float64(in.Limit.Rate)
	called := e.CalledAt >= 0
	early := e.At-in.Unread < noWordBefore
	switch {
	case gross:
		return Leaking
	case slices.ContainsFunc(e.Warnings, decay.Warning.Voids):
		return Unproven
	case in.Limit.Set && called && e.Rate.Value > limit && e.Rate.Lo > 0:
		return Leaking
	case in.Limit.Set && !early && above(in, limit) && !e.Falling:
		return Leaking
	case !in.Limit.Set && called && e.Rate.Lo > 0:
		return Leaking
	case !in.Limit.Set || early:
		return Unproven
	}
	most := atMost(e)
	if !in.Final {
		most += (tightEarly - tightFinal) * e.SE
	}
	if !paused(in, 0) && !hidden(in) && most*stretch(in, e.At) < limit {
		return Tight
	}
	return Unproven
}

// stretch is by how much more was lost an hour than it looks after a time at, in s,
// if the unread time never was.
func stretch(in Input, at float64) float64 {
	return at / math.Max(at-in.Unread, 60)
}

// paused reports that a time later, in s, it will not have been read long enough since
// an unread time: if that never was, a leak seems to have paused.
func paused(in Input, later float64) bool { return in.Unread > 0 && in.Since+later < pauseShows }

// hidden reports what a small figure cannot be trusted beside: something lifts
// or holds the pressure, the sensor has died, something changed a moment ago,
// it leaked before and may be plugged, or it fell faster before and the gauge may be cut off.
func hidden(in Input) bool {
	e := in.Estimate
	return e.Z <= -risingZ || e.Levels() || e.Supplied() || e.Frozen || e.Changing > 0 || in.Leaked || in.Slowed > 0
}

// stepLoss is what was taken for steps of the sensor downwards, spread over the
// hold, Pa/s: had it been gas, it would have been a leak of that size.
func stepLoss(e decay.Estimate) (rate float64) {
	for _, s := range e.Steps {
		rate += math.Max(-s.By, 0) / e.At
	}
	return rate
}

// above reports that the loss is beyond doubt above the limit: at the end by the
// interval's lower end; on the way, where each row is another chance to err, by more.
func above(in Input, limit float64) bool {
	e := in.Estimate
	if in.Final {
		return e.Rate.Lo > limit
	}
	return e.Rate.Lo > limit && e.Rate.Value-leakEarly*e.SE > limit
}

// grossVerdict is for a fall so fast that there is no fit yet.
func grossVerdict(v Verdict, in Input) Verdict {
	e := in.Estimate
	fall := 0.0
	if e.Start > 0 {
		fall = 100 * (1 - e.End/e.Start)
	}
	v.Word, v.MoreHold = Leaking, 0
	v.Phrase = "large leak: the pressure is running out"
	v.Reasons = []string{fmt.Sprintf("The pressure fell %.0f %% since the filling and goes on falling; neither heat nor the room can do that.", fall)}
	v.Advice = []string{
		"Listen and feel for the leak, then soap: own fittings, hoses and caps first.",
		"Check that the service valve or the pinch is really closed.",
		"Let the pressure off before touching a joint.",
	}
	return v
}

// shrink is how the width of the interval goes down with the time held, the
// median of simulated holds: time in hours, width relative to one hour.
var shrink = []struct{ h, w float64 }{
	{0.25, 30}, {0.33, 13.6}, {0.5, 4.6}, {0.75, 1.84}, {1, 1}, {1.5, 0.46}, {2, 0.31}, {3, 0.18}, {4, 0.16}, {6, 0.14}, {24, 0.12},
}

// widthAt interpolates the table on logarithmic axes.
func widthAt(hours float64) float64 {
	t := shrink
	if hours <= t[0].h {
		return t[0].w * math.Pow(t[0].h/hours, 1.6)
	}
	for i := 1; i < len(t); i++ {
		if hours <= t[i].h {
			f := math.Log(hours/t[i-1].h) / math.Log(t[i].h/t[i-1].h)
			return math.Exp(math.Log(t[i-1].w)*(1-f) + math.Log(t[i].w)*f)
		}
	}
	return t[len(t)-1].w
}

// more estimates how much longer this same hold would need, s; -1 = longer
// would not help. A figure within its uncertainty says little of the leak yet: then
// the section is taken for a tight one, whose figure shrinks with the uncertainty.
func more(in Input) float64 {
	e := in.Estimate
	if e.At <= 0 || e.SE <= 0 {
		return -1
	}
	limit := float64(in.Limit.Rate)
	now := widthAt(e.At / 3600)
	for t := math.Ceil((e.At+1)/300) * 300; t <= 24*3600; t += 300 {
		se := e.SE * widthAt(t/3600) / now
		k := tightFinal
		if in.Elapsed+t-e.At < in.HoldFor {
			k = tightEarly
		}
		value := e.Rate.Value
		if in.Limit.Set && value < seenZ*e.SE {
			value = usualError * se
		}
		switch {
		case in.Limit.Set && !paused(in, t-e.At) && (value+k*se)*stretch(in, t) < limit,
			value > calledZ*se && (!in.Limit.Set || value > 1.05*limit),
			in.Limit.Set && value-k*se > limit:
			return t - e.At
		}
	}
	return -1
}

const (
	calledZ    = 3.6 // standard uncertainties above nothing ring, as internal/decay has it
	seenZ      = 3.0 // below so many a figure is more likely an error than a leak
	usualError = 0.7 // standard uncertainties: what every second error is smaller than
)

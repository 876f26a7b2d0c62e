package hold

import (
	"fmt"
	"math"
	"slices"

	"example.org/holdfast/internal/decay"
	"example.org/holdfast/internal/gas"
	"example.org/holdfast/internal/units"
	"example.org/holdfast/internal/verdict"
)

// vacuumKind is the kind of hold that watches an evacuated section.
const vacuumKind = "vacuum"

const (
	vacuumMost   = 20e3   // Pa absolute: above this nothing is evacuated yet
	pumpShare    = 0.02   // a fall by this share, and pumpStep, is the pump at work
	pumpStep     = 2.0    // Pa
	againShare   = 0.3    // of the highest: a fall by it means that the pump runs again
	againStep    = 10.0   // Pa
	stillMost    = 1800.0 // s for which a pump may hold the pressure before the valve closes unsaid
	stillLeast   = 60.0   // s of it that matter
	risePoints   = 512    // of the curve
	riseJudge    = 90.0   // s between looks, longer later: a look costs milliseconds
	riseJudgeBy  = 12.0   // a look each twelfth of the time held
	acceptHonour = 1.0    // s: readings do not fall on the minute
)

// rising is the part of a Hold that watches a vacuum: the pump, then the rise.
type rising struct {
	rise   *decay.Rise // nil while the pump runs
	low    float64     // Pa absolute, lowest so far
	since  float64     // s since the first record, of the last fall
	buffer []decay.Sample
	closed bool         // the next sample begins the rise
	pumped bool         // the record shows the pump at work, not when the valve closed
	left   bool         // the pressure has left the level of the pump
	still  decay.Sample // the last before it did
	peak   float64      // Pa absolute, highest of the rise
	last   float64      // Pa absolute
	next   float64      // s, of the next look
	high   bool         // the last reading was above the acceptance
	above  bool         // was above the acceptance within its time
	passed bool         // the time of the acceptance is over
	every  float64      // s between points of the curve
	curve  []decay.Point
}

// shift moves what was kept of the pump's time by some Pa.
func (v *rising) shift(by float64) {
	if len(v.buffer) > 0 {
		v.low += by
	}
	for i := range v.buffer {
		v.buffer[i].P += by
	}
}

func (h *Hold) vacuum() bool { return h.s.Header.Settings.Kind == vacuumKind }

// running reports a hold whose clock runs.
func (h *Hold) running() bool { return h.fit != nil || h.vac.rise != nil }

// evacuated takes a pressure of a vacuum hold.
func (h *Hold) evacuated(s decay.Sample) {
	v := &h.vac
	if v.rise != nil && s.P < v.peak*(1-againShare)-againStep {
		h.newFilling(s.T)
	}
	if v.rise != nil {
		h.rose(s)
		return
	}
	if s.P > vacuumMost && !v.closed {
		v.pumped = true
		v.buffer = v.buffer[:0]
		return
	}
	if len(v.buffer) == 0 || s.P < v.low*(1-pumpShare)-pumpStep {
		v.pumped = v.pumped || v.low > 0
		v.low, v.since = s.P, s.T
		v.buffer = v.buffer[:0]
	}
	if len(v.buffer) < bufferMost {
		v.buffer = append(v.buffer, s)
	}
	if v.closed || s.T-v.since >= fillQuiet {
		h.s.Segment++
		h.closedOff(v.buffer, !v.pumped || v.closed)
	}
}

// closedOff begins the rise with buf. Where it is not known when the valve
// closed, a pump may still hold the pressure down for a while.
func (h *Hold) closedOff(buf []decay.Sample, known bool) {
	h.vac = rising{
		rise:  decay.NewRise(decay.RiseConfig{Water: water}),
		low:   buf[0].P,
		left:  known,
		still: buf[0],
		every: 2,
	}
	h.s.SegmentStart = buf[0].T
	h.weather.begin(buf[0].T)
	h.unread = unread{}
	h.phase(Holding, buf[0].T)
	for _, s := range buf {
		h.rose(s)
	}
}

// closedByHand begins the rise anew when the valve is said to be closed.
func (h *Hold) closedByHand(t float64) {
	if h.vac.rise != nil {
		h.newFilling(t)
	}
	h.vac.closed, h.vac.buffer = true, nil
}

// water is the saturation pressure of water, Pa, at a temperature in K.
func water(k float64) float64 { return float64(gas.WaterSaturation(units.Temperature(k))) }

// rose gives a reading to the rise and looks at it now and then.
func (h *Hold) rose(s decay.Sample) {
	v := &h.vac
	if !v.left && h.leaves(s) {
		h.closedOff([]decay.Sample{v.still, s}, true)
		return
	}
	if v.last > 0 {
		v.peak = math.Max(v.peak, math.Min(s.P, v.last)) // one alone may be a spike
	}
	v.last = s.P
	h.unread.take(s.T, h.s.Interval, h.trusted())
	t := s.T - h.s.SegmentStart
	temp := s.Section
	if math.IsNaN(temp) {
		temp = s.Ambient
	}
	v.rise.Add(t, s.P, temp)
	v.point(t, s)
	after := h.setup.accept.After
	if after > 0 && !v.passed {
		high := s.P > float64(h.setup.accept.Most)
		v.above = v.above || high && v.high // one alone may be a spike
		v.high = high
		if t-h.unread.total >= after-acceptHonour {
			v.passed, v.next = true, t
		}
	}
	if t >= v.next {
		v.next = t + math.Max(riseJudge, t/riseJudgeBy)
		h.judge(s.T)
	}
}

// leaves reports that the pressure leaves a level that it has kept for so long
// that the pump must have held it: the rise begins only now.
func (h *Hold) leaves(s decay.Sample) bool {
	v := &h.vac
	if s.T-h.s.SegmentStart > stillMost {
		v.left = true
		return false
	}
	if s.P <= v.low*(1+pumpShare)+pumpStep {
		v.low, v.still = math.Min(v.low, s.P), s
		return false
	}
	v.left = true
	return v.still.T-h.s.SegmentStart > stillLeast
}

// point keeps the curve: when it is full every other point goes.
func (v *rising) point(t float64, s decay.Sample) {
	if n := len(v.curve); n > 0 && t-v.curve[n-1].T < v.every {
		return
	}
	if len(v.curve) == risePoints {
		half := v.curve[:0]
		for i := 0; i < risePoints; i += 2 {
			half = append(half, v.curve[i])
		}
		v.curve, v.every = half, 2*v.every
	}
	p := decay.Point{T: t, Raw: s.P, RawMin: s.P, RawMax: s.P, Corrected: s.P, Fit: s.P}
	if s.Ambient > 0 {
		p.Ambient = s.Ambient
	}
	if s.Section > 0 {
		p.Section = s.Section
	}
	v.curve = append(v.curve, p)
}

// judgeRise makes the verdict of a vacuum hold.
func (h *Hold) judgeRise(t float64) {
	v := &h.vac
	if v.rise == nil {
		h.s.Rise = nil
		h.s.Verdict = verdict.JudgeRise(h.riseInput(decay.RiseEstimate{}, t))
		h.s.Verdict.Phrase = "not closed off yet"
		return
	}
	e := v.rise.Estimate()
	h.s.Rise = &e
	h.s.Estimate.Start, h.s.Estimate.End, h.s.Estimate.At = e.Start, e.End, e.At
	in := h.riseInput(e, t)
	if v.passed {
		in.Elapsed = math.Max(in.Elapsed, in.After)
	}
	h.s.Verdict = verdict.JudgeRise(in)
	if text := h.unread.doubt(); text != "" {
		h.s.Verdict.Warnings = append(h.s.Verdict.Warnings, text)
	}
	h.s.Curve = slices.Clone(v.curve)
	h.ring(t)
}

// riseInput gathers what the verdict rests on.
func (h *Hold) riseInput(e decay.RiseEstimate, t float64) verdict.RiseInput {
	a := h.setup.accept
	return verdict.RiseInput{
		Rise: e, Elapsed: t - h.s.SegmentStart, Unread: h.unread.total, Unit: h.s.Header.Settings.Display,
		Text: a.Text, Start: a.Start, Most: a.Most, After: a.After, Within: h.vac.passed && !h.vac.above,
		Far: h.farSide(e),
	}
}

// A capillary of usual size, and the volume supposed where none is stated (common practice, no source).
const (
	usualBore   = 0.7e-3               // m
	usualLength = 3.0                  // m
	usualVolume = units.Volume(0.3e-3) // of each side
)

// farSide is how fast the stated capillary, or a usual one, would even out two
// sides at the pressure of the rise.
func (h *Hold) farSide(e decay.RiseEstimate) verdict.FarSide {
	if e.Plateau.Value <= 0 {
		return verdict.FarSide{}
	}
	near, far, temp := usualVolume, usualVolume, units.FromCelsius(20)
	if h.setup.volume > 0 {
		near, far = h.setup.volume, h.setup.volume
	}
	if v := h.s.Header.Settings.Behind; v > 0 {
		far = v
	}
	if e.Temp > 0 {
		temp = units.Temperature(e.Temp)
	}
	tube, err := gas.ParseTube(h.s.Header.Settings.Capillary)
	if err != nil {
		tube = gas.Tube{Bore: usualBore, Length: usualLength}
	}
	return verdict.FarSide{
		Level: tube.LevelTime(near, far, units.Absolute(e.Plateau.Value), temp, gas.Nitrogen()),
		Text: fmt.Sprintf("a capillary of %s mm and %s m between %s and %s",
			units.Significant(1000*tube.Bore, 2), units.Significant(tube.Length, 2), units.FormatVolume(near), units.FormatVolume(far)),
	}
}

package hold

import (
	"errors"
	"math"
	"slices"

	"example.org/holdfast/internal/decay"
	"example.org/holdfast/internal/holdlog"
	"example.org/holdfast/internal/units"
)

// Hold reduces records to a State. Not for several goroutines; the States it
// gives out are.
type Hold struct {
	s     State
	setup setup
	fill  filling
	fit   *decay.Hold // nil while filling
	vac   rising      // of a vacuum hold
	begun bool        // a record has come
	seen  int         // rows of the fit when the verdict was last made

	roomHistory []decay.Sample    // room temperatures before the filling ended, a bounded number
	markedBy    decay.Correction  // as it was at the last mark
	limitAt     units.Temperature // of the test gas, for the conversions
	settledAt   float64           // s since the filling; <0 = not yet
	release     release
	weather     weather
	unread      unread
	released    bool // the pressure was let out after the set time
	timeRung    bool
	tightRung   bool
	leaked      bool    // it lost more than the limit beyond doubt, since the filling or the last change of the settings
	slowed      float64 // s since the filling, from when it falls more slowly than before; 0 = it does not
	ceilingRung bool
	clear       clearCurve // of the capillary, at the pressure of this segment
}

const (
	eventsMost  = 64
	alarmsMost  = 64
	marksMost   = 256
	historyMost = 720
	projection  = 24 // places on the projection
)

// nothing is the estimate before there is one.
var nothing = decay.Estimate{CalledAt: -1, OpenedAt: -1, UpsetAt: -1, SettledAt: -1}

// New gives a hold that has seen nothing.
func New() *Hold {
	h := &Hold{}
	h.s.Phase = Waiting
	h.s.Estimate, h.s.Blank = nothing, nil
	h.apply(holdlog.Settings{})
	h.judge(0)
	return h
}

// apply takes settings, from the header or changed on the way. What cannot be
// resolved is left out and said in a warning; the command line refuses it before.
func (h *Hold) apply(set holdlog.Settings) {
	impossible := leaveOut(settingsBounds(&set))
	u, err := resolve(set)
	err = errors.Join(impossible, err)
	h.setup = u
	h.s.Header.Settings = set
	h.s.HoldFor = HoldFor(set)
	if h.weather.air == 0 && !h.running() {
		h.s.Atmosphere = u.atmosphere // afterwards it would be a step in the pressure
	}
	if err != nil {
		h.event(holdlog.Event{Kind: holdlog.EventSettings, Text: err.Error()})
	}
}

// Apply takes the next record.
func (h *Hold) Apply(r holdlog.Record) {
	if r.Kind == holdlog.KindCheck || r.Kind == holdlog.KindVerdict {
		return // written by the log beside the records, so a live hold never sees them
	}
	h.s.Records++
	if !(math.Abs(r.Elapsed) <= lastTime) {
		h.reject("a time that cannot be")
		return
	}
	if !h.begun && r.Kind != holdlog.KindHeader {
		h.begun, h.s.StartWall = true, r.Wall
	}
	if r.Elapsed > h.s.Elapsed {
		h.s.Elapsed = r.Elapsed
	}
	if r.Wall != 0 {
		h.s.Wall = r.Wall
	}
	switch r.Kind {
	case holdlog.KindHeader:
		h.header(r)
	case holdlog.KindSample:
		h.sample(r)
	case holdlog.KindReject:
		if r.Count > 0 {
			h.s.Rejected += r.Count
		} else {
			h.reject(r.Why)
		}
	case holdlog.KindMark:
		if len(h.s.Marks) < marksMost {
			h.s.Marks = append(slices.Clip(h.s.Marks), Mark{Elapsed: r.Elapsed, Text: r.Text, Segment: h.s.Segment})
			h.marked()
		}
	case holdlog.KindEvent:
		h.happened(r)
	}
	h.clock()
}

func (h *Hold) header(r holdlog.Record) {
	if r.Header == nil {
		return
	}
	h.s.Header = *r.Header
	devices, err := plausibleDevices(r.Header.Devices)
	if h.s.Header.Devices = devices; err != nil {
		h.event(holdlog.Event{Kind: holdlog.EventSettings, Text: err.Error()})
	}
	if h.s.StartWall == 0 {
		h.s.StartWall = r.Wall
	}
	for _, d := range devices {
		if h.s.Interval == 0 {
			h.s.Interval = d.Interval
		}
	}
	h.apply(r.Header.Settings)
	if h.vacuum() {
		h.judge(r.Elapsed) // until then the words were those of a hold under pressure
	}
}

// sample takes one measurement.
func (h *Hold) sample(r holdlog.Record) {
	m := r.Sample
	m.Ambient, m.Section = plausible(m.Ambient), plausible(m.Section)
	if b := m.Barometer; b > leastAtmosphere && b < mostAtmosphere {
		h.barometer(b, r.Elapsed)
	}
	if m.Ambient > 0 {
		h.s.Ambient, h.s.HasAmbient = m.Ambient, true
	}
	if m.Section > 0 {
		h.s.Section, h.s.HasSection = m.Section, true
	}
	p := units.Pressure{Pa: m.Pressure, Ref: m.Ref}.Abs(h.s.Atmosphere)
	if math.IsNaN(m.Pressure) {
		h.temperatureOnly(r)
		return
	}
	if p <= 0 || p > mostPressure {
		h.reject("an absolute pressure that cannot be")
		return
	}
	h.weather.vented = h.weather.vented || m.Ref == units.GaugeRef
	h.pace(r.Elapsed)
	h.s.Samples++
	h.s.LastSampleAt = r.Elapsed
	h.s.Pressure, h.s.Gauge, h.s.HasPressure = p, p.Gauge(h.s.Atmosphere), true
	h.ceiling(r.Elapsed)
	s := decay.Sample{T: r.Elapsed, P: float64(p), Ambient: known(m.Ambient), Section: known(m.Section), Step: float64(m.Step)}
	if h.s.Phase == Waiting {
		h.fill.begin()
		h.phase(Filling, r.Elapsed)
	}
	h.pressure(s)
}

// barometer takes the air pressure b at t, in s. What was kept of a filling on a
// vented gauge is put right where the air was thought to be another.
func (h *Hold) barometer(b units.Absolute, t float64) {
	air, jumped := h.weather.follow(b, h.s.Atmosphere, t, h.running())
	h.s.Atmosphere = air
	if jumped != 0 && h.weather.vented {
		h.fill.shift(float64(jumped))
		h.vac.shift(float64(jumped))
	}
}

// reject counts what could not be used.
func (h *Hold) reject(why string) {
	h.s.Rejected++
	h.s.LastReject = why
}

// temperatureOnly keeps room temperatures that come without a pressure.
func (h *Hold) temperatureOnly(r holdlog.Record) {
	if h.fit == nil {
		h.remember(decay.Sample{T: r.Elapsed, Ambient: known(plausible(r.Sample.Ambient)), Section: known(plausible(r.Sample.Section))})
	}
}

// remember keeps a room temperature from before the end of the filling.
func (h *Hold) remember(s decay.Sample) {
	n := len(h.roomHistory)
	if math.IsNaN(s.Ambient) || n > 0 && s.T-h.roomHistory[n-1].T < 10 {
		return
	}
	if n == historyMost {
		h.roomHistory = append(h.roomHistory[:0], h.roomHistory[n/2:]...)
	}
	h.roomHistory = append(h.roomHistory, s)
}

// pace learns the usual distance of samples.
func (h *Hold) pace(t float64) {
	if h.s.Samples == 0 {
		return
	}
	dt := t - h.s.LastSampleAt
	if dt <= 0 {
		return
	}
	if h.s.Interval == 0 {
		h.s.Interval = dt
	} else {
		h.s.Interval += 0.1 * (math.Min(dt, 4*h.s.Interval) - h.s.Interval)
	}
}

// pressure gives a sample to the filling or to the fit.
func (h *Hold) pressure(s decay.Sample) {
	if h.vacuum() {
		h.evacuated(s)
		return
	}
	if h.fit == nil {
		h.remember(s)
		if h.fill.watch(s, float64(h.s.Atmosphere)) {
			h.closed()
		} else {
			h.judge(s.T)
		}
		return
	}
	if h.fill.refill(s) && s.T > h.s.SegmentStart+fillQuiet {
		h.event(holdlog.Event{Kind: holdlog.EventRefill, Text: "the pressure jumped up: taken as a new filling"})
		h.newFilling(s.T)
		h.pressure(s)
		return
	}
	h.keep(s)
}

// closed ends the filling: the segment starts at the peak, with what was
// buffered since.
func (h *Hold) closed() {
	buf := h.fill.buffer
	if len(buf) == 0 {
		return
	}
	start := buf[0].T
	h.s.Segment++
	h.s.SegmentStart = start
	h.settledAt = -1
	h.weather.begin(start)
	h.unread = unread{}
	h.fit = decay.New(h.config())
	for _, s := range h.roomHistory {
		if s.T < start {
			h.fit.Ambient(s.T-start, s.Ambient, s.Section)
		}
	}
	h.limitAt = units.FromCelsius(20)
	if h.s.HasAmbient {
		h.limitAt = h.s.Ambient
	}
	h.phase(Settling, start)
	h.fill.active = false
	h.fill.buffer = nil
	h.roomHistory = h.roomHistory[:0]
	for _, s := range buf {
		h.keep(s)
	}
	h.judge(h.s.Elapsed)
}

// keep gives a sample to the fit and looks at what changed.
func (h *Hold) keep(s decay.Sample) {
	if h.released || h.release.watch(s) && h.s.Phase == Done {
		h.letOut(s.T)
		return
	}
	t := s.T
	h.unread.take(t, h.s.Interval, h.trusted())
	s.T -= h.s.SegmentStart
	h.fit.Add(s)
	if n := h.fit.Changes(); n != h.seen {
		h.seen = n
		h.judge(t)
	}
}

// happened takes an event.
func (h *Hold) happened(r holdlog.Record) {
	h.eventAt(r.Elapsed, r.Event)
	switch r.Event.Kind {
	case holdlog.EventRefill:
		h.newFilling(r.Elapsed)
	case holdlog.EventClosed:
		switch {
		case h.vacuum():
			h.closedByHand(r.Elapsed)
		case h.fit == nil:
			h.closed()
		}
	case holdlog.EventLost:
		if !slices.Contains(h.s.Lost, r.Event.Device) {
			h.s.Lost = append(slices.Clip(h.s.Lost), r.Event.Device)
		}
		h.alarm(r.Elapsed, AlarmLost, "no readings from "+r.Event.Device)
	case holdlog.EventBack:
		h.s.Lost = slices.DeleteFunc(slices.Clone(h.s.Lost), func(d string) bool { return d == r.Event.Device })
	case holdlog.EventMissing, holdlog.EventComplete:
		h.missing(r.Event)
		h.judge(r.Elapsed)
	case holdlog.EventStop:
		h.s.Ended = true
		h.judge(r.Elapsed)
	case holdlog.EventContinued:
		h.s.Ended = false
		h.s.Lost, h.s.Missing = nil, nil
		h.unread.continued = true
	case holdlog.EventSettings:
		if r.Header != nil {
			h.leaked = false // of another limit
			h.apply(r.Header.Settings)
			h.judge(r.Elapsed)
		}
	}
}

// newFilling starts over: what was proven before belongs to the segment before.
func (h *Hold) newFilling(t float64) {
	h.fit = nil
	h.vac = rising{}
	h.seen = 0
	h.fill.begin()
	h.s.Estimate, h.s.Blank, h.s.Service, h.s.RangAt = nothing, nil, nil, 0
	h.s.Curve, h.s.Projection, h.s.LimitLine = nil, nil, nil
	h.s.Recheck = nil
	h.timeRung, h.tightRung, h.ceilingRung, h.leaked = false, false, false, false
	h.slowed = 0
	h.released, h.release = false, release{}
	h.phase(Filling, t)
	h.judge(t)
}

// phase changes the phase.
func (h *Hold) phase(p Phase, t float64) {
	if h.s.Phase != p {
		h.s.Phase, h.s.PhaseSince = p, t
	}
}

// clock follows the set time.
func (h *Hold) clock() {
	h.s.Left = h.s.HoldFor
	if !h.running() {
		return
	}
	held := h.s.Elapsed - h.s.SegmentStart
	h.s.Left = math.Max(h.s.HoldFor-held, 0)
	if h.s.Left == 0 && !h.timeRung {
		h.timeRung = true
		h.phase(Done, h.s.SegmentStart+h.s.HoldFor)
		h.judge(h.s.Elapsed)
		h.alarm(h.s.Elapsed, AlarmTime, "the set time is over: "+string(h.s.Verdict.Word)+", "+h.s.Verdict.Phrase)
	}
}

func (h *Hold) event(e holdlog.Event) { h.eventAt(h.s.Elapsed, e) }

// State gives the picture after the last record.
func (h *Hold) State() *State {
	s := h.s
	return &s
}

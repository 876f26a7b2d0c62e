package holdscreen

import (
	"math"

	"example.org/holdfast/internal/decay"
	"example.org/holdfast/internal/hold"
	"example.org/holdfast/internal/holdlog"
	"example.org/holdfast/internal/units"
	"example.org/holdfast/internal/verdict"
)

// A bottle cooler's evaporator, closed off and filled to 10 bar. The numbers
// are made by hand so that every part of the screen has something to show; the
// engine is not asked.
const (
	startPa  = 1.112e6 // absolute
	segStart = 180.0
	holdFor  = 3600.0
)

// made builds a hold that has run for t s since the filling, losing rate Pa/s,
// known to half Pa/s. It is long because a State has that many parts.
func made(t, rate, half, limit float64, word verdict.Word, phrase string) *hold.State {
	st := &hold.State{
		Header: holdlog.Header{Zone: "+02:00",
			Devices:  []holdlog.Device{{Name: "line", Port: "ttyUSB0", Gives: "pressure_bar_abs,ambient_c", PressureStep: 100, Interval: 1}},
			Settings: holdlog.Settings{Section: "bottle cooler evaporator", Display: "bar", For: holdFor, Thermometer: "room"}},
		Records: int(t) + 20, Phase: hold.Holding, PhaseSince: segStart + 600, Elapsed: segStart + t, Segment: 1, SegmentStart: segStart,
		Wall: 1762000000000, StartWall: 1762000000000 - int64(1000*(segStart+t)), HoldFor: holdFor, Left: math.Max(holdFor-t, 0),
		HasPressure: true, Atmosphere: 101300, HasAmbient: true, Ambient: units.FromCelsius(21.4),
		Samples: int(t) + 12, LastSampleAt: segStart + t, Interval: 1, LimitRate: limit,
	}
	if t > holdFor {
		st.Phase, st.PhaseSince = hold.Done, segStart+holdFor
	}
	at := func(x, r float64) float64 { return startPa - r*x }
	for i, n := 0, int(t/12); i <= n; i++ {
		x := float64(i) * 12
		noise := 60 * math.Sin(float64(i)*1.7) * math.Cos(float64(i)*0.31)
		warm := 900*math.Sin(x/1500) + 4000*math.Exp(-x/300)
		fit := at(x, rate)
		st.Curve = append(st.Curve, decay.Point{T: x, Raw: fit + noise + warm, RawMin: fit + noise + warm - 80, RawMax: fit + noise + warm + 80,
			Corrected: fit + noise, Fit: fit, Ambient: 294.5 + 0.6*math.Sin(x/1500), Gap: x > 1500 && x < 1513})
	}
	last := st.Curve[len(st.Curve)-1]
	st.Pressure = units.Absolute(last.Raw)
	st.Gauge = st.Pressure.Gauge(st.Atmosphere)
	st.Estimate = decay.Estimate{Valid: true, At: t, Rate: decay.Interval{Value: rate, Lo: rate - half, Hi: rate + half}, SE: half / 2, Z: rate / (half / 2),
		Start: startPa, End: last.Raw, Corrected: last.Corrected, WidthSensor: 0.1, WidthTemperature: 0.6, WidthSettling: 0.3, SettledAt: 600, CalledAt: -1, OpenedAt: -1}
	for x := t; x < holdFor; x += 60 {
		d := (x - t + 60) * half
		st.Projection = append(st.Projection, hold.Band{T: x, Mid: at(x, rate), Lo: at(x, rate) - d, Hi: at(x, rate) + d})
	}
	if limit > 0 {
		st.LimitLine = []hold.XY{{T: 0, P: startPa}, {T: math.Max(holdFor, t), P: at(math.Max(holdFor, t), limit)}}
	}
	pct := func(r float64) verdict.Figures {
		return verdict.Figures{Rate: units.PressureRate(r), PercentPerHour: r * 3600 * 100 / startPa}
	}
	st.Verdict = verdict.Verdict{Word: word, Phrase: phrase, Leak: pct(rate), Hides: pct(rate + half),
		Limit:   verdict.Limit{Set: limit > 0, Rate: units.PressureRate(limit), Text: "0.5%/h"},
		Reasons: []string{"The corrected pressure was followed for " + "a while; the fit and the readings agree within the sensor's noise."},
		Advice:  []string{"Soap your own fittings and the valve cores first.", "Then the new joints, from high to low."}}
	st.Marks = []hold.Mark{{Elapsed: segStart + 900, Text: "door opened", Segment: 1}, {Elapsed: segStart + 2000, Text: "joint soaped", Segment: 1}}
	st.Events = []hold.EventAt{{Elapsed: segStart, Event: holdlog.Event{Kind: holdlog.EventClosed}}}
	return st
}

const perHour = 1.0 / 3600

func tightState() *hold.State {
	return made(2400, 300*perHour, 2400*perHour, 5560*perHour, verdict.Tight, "tight to 0.5 %/h: nothing above 0.24 %/h")
}

func leakingState() *hold.State {
	s := made(1300, 14000*perHour, 2600*perHour, 5560*perHour, verdict.Leaking, "leaks about 1.3 %/h, well above the limit")
	s.Estimate.CalledAt, s.RangAt = 1180, 1180
	s.Alarms = []hold.Alarm{{Elapsed: segStart + 1180, Kind: hold.AlarmLeak, Text: "leak called: steady fall"}}
	s.Verdict.Causes = []verdict.Cause{{Cause: "part still cooling", Evidence: "no: the fall is straight"}}
	return s
}

func earlyState() *hold.State {
	s := made(420, 2000*perHour, 16000*perHour, 5560*perHour, verdict.Unproven, "too early to say")
	s.Phase, s.PhaseSince, s.Estimate.SettledAt = hold.Settling, segStart, -1
	s.Verdict.MoreHold = 1500
	s.Marks = nil
	return s
}

func fillingState() *hold.State {
	return &hold.State{Header: tightState().Header, Phase: hold.Filling, Elapsed: 40, Records: 40, Segment: 1, HoldFor: holdFor, Left: holdFor, SegmentStart: 40,
		HasPressure: true, Pressure: 8.2e5, Gauge: 7.187e5, Atmosphere: 101300, Samples: 39, LastSampleAt: 40, Interval: 1}
}

func lostState() *hold.State {
	s := earlyState()
	s.Lost = []string{"line"}
	s.Alarms = []hold.Alarm{{Elapsed: s.Elapsed, Kind: hold.AlarmLost, Text: "no signal"}}
	return s
}

func doneState() *hold.State {
	s := made(5200, 300*perHour, 1200*perHour, 5560*perHour, verdict.Tight, "tight to 0.5 %/h: nothing above 0.14 %/h")
	s.Header.Settings.Display = "psi"
	return s
}

// riseState is a wet section forty minutes after the pump was shut off, made by hand as well.
func riseState() *hold.State {
	st := &hold.State{Header: holdlog.Header{Zone: "+02:00", Devices: []holdlog.Device{{Name: "line", Gives: "pressure_pa_abs,ambient_c", PressureStep: 1, Interval: 1}},
		Settings: holdlog.Settings{Kind: "vacuum", Accept: "80Pa@60min", Section: "bottle cooler circuit", For: holdFor}},
		Phase: hold.Holding, PhaseSince: 300, Elapsed: 2700, Segment: 1, SegmentStart: 300, Wall: 1762000000000, StartWall: 1761997300000,
		HoldFor: holdFor, Left: 1200, HasPressure: true, HasAmbient: true, Ambient: units.FromCelsius(20), Samples: 2700, LastSampleAt: 2700, Interval: 1}
	for x := 0.0; x <= 2400; x += 24 {
		pa := 40 - 900*math.Expm1(-x/1200)
		st.Curve = append(st.Curve, decay.Point{T: x, Raw: pa, RawMin: pa, RawMax: pa, Corrected: pa, Ambient: 293.15})
		st.Pressure = units.Absolute(pa)
	}
	st.Rise = &decay.RiseEstimate{Valid: true, At: 2400, Shape: decay.RiseMoisture, Leak: decay.Interval{Value: 5 * perHour, Hi: 60 * perHour},
		Plateau: decay.Interval{Value: 940, Lo: 900, Hi: 980}, Levelling: 700, Water: 2339, Start: 40, End: float64(st.Pressure), PMoisture: 0.999}
	st.Verdict = verdict.Verdict{Word: verdict.Unproven, Phrase: "wet or gassing: the rise levels off", Advice: []string{"Warm the section and pump on."},
		Reasons: []string{"The rise bends and levels off, as of water that evaporates."}}
	return st
}

// hostileState is what must not happen and must not hurt: numbers out of any range, texts full of control bytes.
func hostileState() *hold.State {
	s := leakingState()
	for i := range s.Curve {
		switch i % 5 {
		case 0:
			s.Curve[i].Corrected = math.NaN()
		case 1:
			s.Curve[i].Fit = math.Inf(1)
		case 2:
			s.Curve[i].Corrected = 1e300
		case 3:
			s.Curve[i].T = math.NaN()
		}
	}
	s.Projection = append(s.Projection, hold.Band{T: math.Inf(1), Mid: math.NaN(), Lo: -1e308, Hi: 1e308})
	s.LimitLine = append(s.LimitLine, hold.XY{T: math.NaN(), P: math.Inf(-1)})
	bad := "\x1b]0;gone\x07\x1b[2J\r\nzażółć 漢字漢字漢字 \u202e\x00\xff" + string(make([]byte, 40))
	s.Header.Settings.Section, s.Verdict.Phrase, s.LastReject = bad, bad+bad+bad, bad
	s.Rejected = 1 << 40
	s.Verdict.Reasons, s.Verdict.Advice, s.Verdict.Warnings = []string{bad, bad}, []string{bad}, []string{bad}
	s.Marks[0].Text = bad
	s.Marks[1].Elapsed = math.NaN()
	s.Left, s.HoldFor, s.Interval = math.Inf(1), 1e300, math.NaN()
	s.Estimate.Rate.Lo, s.Estimate.Rate.Hi = math.Inf(-1), math.Inf(1)
	return s
}

// still is a feed that does not move.
type still struct {
	st  *hold.State
	now float64
}

func (f still) State() *hold.State { return f.st }
func (f still) Now() float64       { return f.now }

func feedOf(st *hold.State, age float64) still {
	if st == nil {
		return still{}
	}
	return still{st, st.Elapsed + age}
}

func named() map[string]func() *hold.State {
	return map[string]func() *hold.State{"tight": tightState, "leaking": leakingState, "early": earlyState, "filling": fillingState,
		"lost": lostState, "done": doneState, "hostile": hostileState, "vacuum": vacuumState, "rise": riseState, "none": func() *hold.State { return nil }}
}

package serve

import (
	"encoding/json"
	"math"

	"example.org/holdfast/internal/hold"
	"example.org/holdfast/internal/units"
)

// report is the JSON of state.json and of every event, version 1. Numbers are
// SI with the unit in the key; times are s; unknown is null. Texts are ready to
// be shown.
type report struct {
	V        int       `json:"v"`
	Sections []section `json:"sections"`
}

// section is one hold.
type section struct {
	Section   string    `json:"section"`
	Simulated bool      `json:"simulated"`
	Kind      string    `json:"kind"`
	Phase     string    `json:"phase"`
	Elapsed   float64   `json:"elapsed_s"` // since the filling ended
	Left      float64   `json:"left_s"`
	Age       float64   `json:"age_s"`   // of the last reading
	Stale     bool      `json:"stale"`   // that is too old for what the instrument does
	Lost      []string  `json:"lost"`    // devices that are silent
	Ended     bool      `json:"ended"`   // nothing is recorded any more
	Reading   string    `json:"reading"` // "18.462 bar gauge"
	Unit      string    `json:"unit"`    // of pressures on the page
	UnitPa    float64   `json:"unit_pa"` // pascal in one of it
	Gauge     *float64  `json:"pressure_pa_gauge"`
	Absolute  *float64  `json:"pressure_pa_abs"`
	Ambient   *float64  `json:"ambient_c"`
	Part      *float64  `json:"section_c"`
	Verdict   string    `json:"verdict"`
	Phrase    string    `json:"phrase"`
	Reasons   []string  `json:"reasons"`
	Rate      *interval `json:"rate_pa_per_h"`
	Limit     *string   `json:"limit"`
	LimitRate *float64  `json:"limit_pa_per_h"`
	Chart     *chart    `json:"chart"`
}

type interval struct {
	Value float64 `json:"value"`
	Lo    float64 `json:"lo"`
	Hi    float64 `json:"hi"`
}

// chart holds lines as pairs of time (s since the filling) and absolute pressure (Pa).
type chart struct {
	End       float64      `json:"end_s"` // of the set time
	Corrected [][2]float64 `json:"corrected"`
	Fit       [][2]float64 `json:"fit"`
	Limit     [][2]float64 `json:"limit"`
}

// chartPoints is how many points of a line go to a phone.
const chartPoints = 120

// snapshot is what all the holds say at this moment.
func (s *Server) snapshot() report {
	r := report{V: 1, Sections: make([]section, 0, len(s.feeds))}
	for _, f := range s.feeds {
		if st := f.State(); st != nil {
			r.Sections = append(r.Sections, sectionOf(st, f.Now()))
		}
	}
	return r
}

// sectionOf puts a State into the terms of the page.
func sectionOf(st *hold.State, now float64) section {
	set, v, e := st.Header.Settings, st.Verdict, st.Estimate
	o := section{
		Section: set.Section, Simulated: st.Header.Truth != nil, Kind: set.Kind, Phase: string(st.Phase),
		Elapsed: math.Max(st.Elapsed-st.SegmentStart, 0), Left: st.Left, Age: age(st, now), Stale: stale(st, now),
		Lost: append([]string{}, st.Lost...), Verdict: string(v.Word), Phrase: v.Phrase, Reasons: append([]string{}, v.Reasons...),
	}
	if o.Kind == "" {
		o.Kind = "pressure"
	}
	o.Ended = st.Ended
	o.Unit, o.UnitPa = unitOf(st)
	if st.HasPressure {
		o.Reading = reading(st)
		o.Gauge, o.Absolute = pointer(float64(st.Gauge)), pointer(float64(st.Pressure))
	}
	if st.HasAmbient {
		o.Ambient = pointer(st.Ambient.Celsius())
	}
	if st.HasSection {
		o.Part = pointer(st.Section.Celsius())
	}
	if v.Limit.Set {
		o.Limit, o.LimitRate = &v.Limit.Text, pointer(v.Limit.Rate.PerHour())
	}
	if e.Valid {
		const h = units.SecondsPerHour
		o.Rate = &interval{e.Rate.Value * h, e.Rate.Lo * h, e.Rate.Hi * h}
	}
	o.Chart = chartOf(st)
	return o
}

// reading writes the last pressure as people read it from their gauge.
func reading(st *hold.State) string {
	unit, _ := unitOf(st)
	if st.Header.Settings.Kind == vacuum {
		return units.FormatPressureFine(float64(st.Pressure), unit) + " abs"
	}
	return units.FormatPressureFine(float64(st.Gauge), unit) + " gauge"
}

const vacuum = "vacuum"

// unitOf is the unit of the pressures, as the settings want it.
func unitOf(st *hold.State) (name string, pa float64) {
	name = "bar"
	if st.Header.Settings.Kind == vacuum {
		name = "Pa"
	}
	if d := st.Header.Settings.Display; d != "" {
		name = d
	}
	pa, _, name, err := units.PressureUnit(name)
	if err != nil {
		return "bar", 1e5
	}
	return name, pa
}

func pointer(v float64) *float64 { return &v }

// age is how old the last reading is, s.
func age(st *hold.State, now float64) float64 { return math.Max(now-st.LastSampleAt, 0) }

// staleAfter is the age from which a reading is old whatever the instrument, s.
// It is no shorter because a demonstration runs sixty times faster than life.
const staleAfter = 20.0

// stale reports that what is shown is no longer what is: a device is silent,
// or several readings, or one asked for by hand, should have come and did not.
func stale(st *hold.State, now float64) bool {
	if len(st.Lost) > 0 {
		return true
	}
	usual := math.Max(3*st.Interval, 1.5*st.Header.Settings.AskEvery)
	return !st.Ended && st.HasPressure && age(st, now) > math.Max(staleAfter, usual)
}

// chartOf thins the curve to what a phone can show. The points of a State lie
// evenly enough for every n-th to do; the last one always goes along.
func chartOf(st *hold.State) *chart {
	n := len(st.Curve)
	if n < 2 {
		return nil
	}
	c := &chart{End: st.HoldFor, Fit: [][2]float64{}, Limit: [][2]float64{}}
	every := (n + chartPoints - 1) / chartPoints
	for i := 0; i < n; i += every {
		c.add(st, i)
	}
	if (n-1)%every != 0 {
		c.add(st, n-1)
	}
	for _, p := range st.LimitLine {
		c.Limit = append(c.Limit, [2]float64{p.T, p.P})
	}
	return c
}

func (c *chart) add(st *hold.State, i int) {
	p := st.Curve[i]
	c.Corrected = append(c.Corrected, [2]float64{p.T, p.Corrected})
	if p.Fit > 0 {
		c.Fit = append(c.Fit, [2]float64{p.T, p.Fit})
	}
}

func (s *Server) stateReply() reply {
	body, err := json.Marshal(s.snapshot())
	if err != nil {
		return problem(503, "no state can be shown at present") // a number that JSON has no word for
	}
	return reply{200, "application/json", append(body, '\n')}
}

package report

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"example.org/holdfast/internal/hold"
	"example.org/holdfast/internal/holdlog"
	"example.org/holdfast/internal/job"
	"example.org/holdfast/internal/units"
	"example.org/holdfast/internal/verdict"
	"example.org/holdfast/refdata"
)

// HoldInput is what the report of one hold is made of.
type HoldInput struct {
	File      string
	State     *hold.State
	Integrity holdlog.Integrity
}

// OfHold makes the report of one hold.
func OfHold(in HoldInput) *Document {
	st := in.State
	d := &Document{Title: "Record of a hold", Phrase: st.Verdict.Phrase, Word: string(st.Verdict.Word), Mood: mood(st.Verdict.Word)}
	if s := st.Header.Settings.Section; s != "" {
		d.Title += ": " + s
	}
	d.Lead = append(d.Lead, plainResult(st))
	d.Lead = append(d.Lead, st.Verdict.Reasons...)
	if st.Header.Truth != nil {
		d.Lead = append(d.Lead, "SIMULATED: this hold was made by a program, so it is an example and no proof of anything real.")
	}
	d.holdParts(in)
	d.add(Part{Heading: "What to do next", Items: st.Verdict.Advice})
	d.cautions("Cautions", stepsOf(st)...)
	return d
}

// holdParts are the parts that stand in the report of a job for each hold as well.
func (d *Document) holdParts(in HoldInput) {
	st := in.State
	d.add(Part{Heading: "The hold", Chart: chartOf(st), Facts: d.figures(st)})
	d.add(Part{Heading: "What was tested, with what, when, how", Facts: d.setup(in)})
	d.add(Part{Heading: "Marks and events", Table: &Table{Head: []string{"no.", "time", "what"}, Rows: happened(st)}})
	d.add(Part{Heading: "Doubts, and what else could look like this", Items: append(append([]string{}, st.Verdict.Warnings...), causes(st.Verdict.Causes)...)})
	if leak := st.Verdict.Leak; st.Verdict.Word == verdict.Leaking && leak.HasThroughput {
		d.add(Part{Heading: "Finding it", Text: []string{job.SoapWords(leak.Throughput, st.Atmosphere) + d.cite(soapSource)}})
		d.add(Part{Heading: "What such a leak means in service" + d.cite(lossSource), Items: st.Service.Words()})
	}
}

func mood(w verdict.Word) Mood {
	switch w {
	case verdict.Tight:
		return Good
	case verdict.Leaking:
		return Bad
	}
	return Open
}

// plainResult is the verdict for who never saw a hold.
func plainResult(st *hold.State) string {
	if st.Rise != nil {
		switch st.Verdict.Word {
		case verdict.Tight:
			return "The section was pumped empty and stayed so: it is dry."
		case verdict.Leaking:
			return "The section was pumped empty and did not stay so: gas comes in."
		}
		return "The section was pumped empty. What was seen is not enough to call it dry and tight."
	}
	switch st.Verdict.Word {
	case verdict.Tight:
		return "The section kept its pressure. A leak as large as the limit would have been seen; there was none."
	case verdict.Leaking:
		return "The section does not keep its pressure: it leaks more than is allowed."
	}
	return "Not proven: a leak larger than is allowed could still hide. This is no statement that it leaks, nor that it is tight."
}

const (
	soapSource     = "Volume of the gas expanded to the air pressure, and the volume of a sphere; 3 minutes and 2 mm are common practice, no source."
	intervalSource = "95 % intervals of a regression on pressure, temperature and the heat of filling; how often they hold the true value was found with simulated holds."
	lossSource     = "Leak of the test gas carried over to the refrigerant at standstill, 25 °C, by the laws of laminar and of molecular flow, the worse counts: standard results as in EN 1779 annex B, from memory."
	realGasSource  = "Pressure per kelvin and amount of gas by the real gas: virial equation with coefficients fitted to published equations of state."
	hermeticSource = "For comparison: a hermetically sealed system is one with a tested leakage below 3 g a year under at least a quarter of the allowable pressure, EN 378-1:2016, 3.1.7."
	vacuumSource   = "A rise under vacuum shows dryness better than tightness: 100 micron an hour in 2 l is about what 9e-3 mbar.l/s is at 10 bar (laminar leak, computed)."
	shaSource      = "Fingerprint: SHA-256 (FIPS 180-4) of the log up to its last check line. It has no key; it shows an altered log to who has this report."
)

// figures are what was measured, with intervals and limits.
func (d *Document) figures(st *hold.State) (out []Fact) {
	add := func(name, format string, args ...any) { out = append(out, Fact{name, fmt.Sprintf(format, args...)}) }
	if st.Rise != nil {
		return d.riseFigures(st)
	}
	e, v := st.Estimate, st.Verdict
	if v.Limit.Set {
		add("Limit", "%s, here %s", v.Limit.Text, units.FormatPressureRate(v.Limit.Rate, unitOf(st)))
	} else {
		add("Limit", "none was set, so nothing can be called tight")
	}
	if e.Start > 0 {
		add("Pressure", "%s to %s gauge", gauge(st, e.Start), gauge(st, e.End))
	}
	if !e.Valid {
		return out
	}
	if e.Level > 0 {
		add("Corrected", "%s to %s gauge, room and heat of filling taken off%s", gauge(st, e.Level), gauge(st, e.Corrected), d.cite(realGasSource))
	}
	rate := func(x float64) string { return units.FormatPressureRate(units.PressureRate(x), unitOf(st)) }
	add("Leak, as pressure", "%s, between %s and %s (95 %%)%s", rate(e.Rate.Value), rate(e.Rate.Lo), rate(e.Rate.Hi), d.cite(intervalSource))
	out = append(out, d.amounts(st)...)
	if b := st.Blank; b != nil {
		add("Hose and valve", "%s held alone; what they lose is taken off: %s, at most %s (95 %%)", b.File, rate(b.Loss.Value), rate(b.Loss.Hi))
	}
	if r := st.Recheck; r != nil {
		add("The last mark", "%s", r.Words(unitOf(st)))
	}
	if text := promised(st); text != "" {
		add("What could be expected", "%s%s", text, d.cite(promiseSource))
	}
	add("Uncertainty from", "sensor %.0f %%, temperature %.0f %%, heat of filling %.0f %%", 100*e.WidthSensor, 100*e.WidthTemperature, 100*e.WidthSettling)
	return out
}

// amounts are the leak as an amount of gas and of refrigerant, where the volume is known.
func (d *Document) amounts(st *hold.State) (out []Fact) {
	add := func(name, format string, args ...any) { out = append(out, Fact{name, fmt.Sprintf(format, args...)}) }
	e, per := st.Estimate, st.PerPascal
	if per.HasThroughput {
		q := func(x float64) string { return units.FormatLeakRate(units.LeakRate(x) * per.Throughput) }
		add("Leak of the test gas", "%s, between %s and %s (95 %%)", q(e.Rate.Value), q(e.Rate.Lo), q(e.Rate.Hi))
	}
	if per.HasRefrigerant {
		m := func(x float64) string { return units.FormatMassRate(units.MassRate(x) * per.Refrigerant) }
		add("Leak of "+st.Header.Settings.Refrigerant, "%s at standstill, at most %s (95 %%)%s%s", m(math.Max(e.Rate.Value, 0)), m(math.Max(e.Rate.Hi, 0)), d.cite(lossSource), d.cite(hermeticSource))
	}
	return out
}

func (d *Document) riseFigures(st *hold.State) (out []Fact) {
	add := func(name, format string, args ...any) { out = append(out, Fact{name, fmt.Sprintf(format, args...)}) }
	r := st.Rise
	if a := st.Header.Settings.Accept; a != "" {
		add("Acceptance", "%s", d.acceptance(a))
	}
	if !r.Valid {
		return out
	}
	pa := func(v float64) string { return units.Significant(v, 3) }
	add("Pressure", "%s to %s Pa absolute", pa(r.Start), pa(r.End))
	add("Steady rise", "%s Pa/h, between %s and %s (95 %%)", pa(r.Leak.Value*units.SecondsPerHour), pa(r.Leak.Lo*units.SecondsPerHour), pa(r.Leak.Hi*units.SecondsPerHour))
	add("What it means", "shape: %s%s", r.Shape, d.cite(vacuumSource))
	return out
}

// acceptance is what a vacuum has to meet; a published one with its source.
func (d *Document) acceptance(text string) string {
	for _, a := range refdata.VacuumAcceptances() {
		if strings.EqualFold(a.Name, strings.TrimSpace(text)) {
			from := "any pressure"
			if a.Start > 0 {
				from = units.Significant(a.Start, 3) + " Pa"
			}
			return fmt.Sprintf("%s: from %s, at most %s Pa absolute after %s%s", a.Name, from, units.Significant(a.Most, 3),
				units.FormatDuration(time.Duration(a.After)*time.Second), d.cite(citation(a.Cite)))
		}
	}
	return text
}

func unitOf(st *hold.State) string {
	name, _ := pressureUnit(st)
	return name
}

func gauge(st *hold.State, pa float64) string {
	return units.FormatPressureFine(float64(units.Absolute(pa).Gauge(st.Atmosphere)), unitOf(st))
}

// setup says what was tested, with what, when and how.
func (d *Document) setup(in HoldInput) []Fact {
	return slices.Concat(tested(in.State), watched(in.State), conditions(in.State), d.fingerprint(in), simulated(in.State))
}

// tested are the section and what was in it.
func tested(st *hold.State) (out []Fact) {
	set := st.Header.Settings
	add := func(name, format string, args ...any) { out = append(out, Fact{name, fmt.Sprintf(format, args...)}) }
	if set.Section != "" {
		add("Section", "%s", set.Section)
	}
	if set.Volume > 0 {
		text := units.FormatVolume(set.Volume)
		if set.VolumeError > 0 {
			text += " ±" + units.FormatShare(set.VolumeError)
		}
		add("Volume", "%s", text)
	}
	gas := orElse(set.Gas, "nitrogen")
	if set.Kind == "vacuum" {
		gas = "none: under vacuum"
	}
	add("Test gas", "%s", gas)
	if set.Refrigerant != "" {
		text := set.Refrigerant
		if set.Charge > 0 {
			text += ", " + units.FormatMass(set.Charge)
		}
		add("Refrigerant", "%s", text)
	}
	if set.Ceiling > 0 {
		add("Ceiling", "%s gauge, of the weakest part as stated", units.FormatPressure(float64(set.Ceiling), unitOf(st)))
	}
	if set.OverCeiling != "" {
		add("Above the ceiling", "the reason given: %s", set.OverCeiling)
	}
	return out
}

// watched are the time and the instruments.
func watched(st *hold.State) (out []Fact) {
	add := func(name, format string, args ...any) { out = append(out, Fact{name, fmt.Sprintf(format, args...)}) }
	zone := zoneOf(st.Header)
	clock := func(elapsed float64) string {
		return time.UnixMilli(st.StartWall + int64(math.Round(1000*elapsed))).In(zone).Format("2006-01-02 15:04:05 -07:00")
	}
	add("When", "%s to %s, held %s", clock(st.SegmentStart), clock(st.LastSampleAt), units.FormatDuration(time.Duration(st.LastSampleAt-st.SegmentStart)*time.Second))
	if st.Segment > 1 {
		add("Fillings", "%d; the last one counts", st.Segment)
	}
	for _, dev := range st.Header.Devices {
		add("Instrument", "%s", device(dev, unitOf(st)))
	}
	add("Readings", "%d, of which %d could not be used", st.Samples+st.Rejected, st.Rejected)
	return out
}

// simulated says so of a hold that was.
func simulated(st *hold.State) []Fact {
	if st.Header.Truth == nil {
		return nil
	}
	return []Fact{{"Simulated", "this hold was made by a program, with a leak of " + units.FormatPressureRate(st.Header.Truth.Rate, unitOf(st))}}
}

func orElse(s, other string) string {
	if s == "" {
		return other
	}
	return s
}

func zoneOf(h holdlog.Header) *time.Location {
	t, err := time.Parse("-07:00", h.Zone)
	if err != nil {
		return time.UTC
	}
	return t.Location()
}

// device says what an instrument is known to be.
func device(dev holdlog.Device, unit string) string {
	parts := []string{dev.Name + " gives " + strings.ReplaceAll(dev.Gives, ",", ", ")}
	diff := func(name string, v units.PressureDiff) {
		if v > 0 {
			parts = append(parts, name+" "+units.FormatPressure(float64(v), unit))
		}
	}
	diff("span", dev.PressureRange)
	diff("accuracy ±", dev.PressureAccuracy)
	if dev.PressureStep > 0 {
		parts = append(parts, "step "+units.Significant(float64(dev.PressureStep), 2)+" Pa")
	}
	if dev.TemperatureStep > 0 {
		parts = append(parts, "step "+units.FormatTempDiff(dev.TemperatureStep))
	}
	if dev.Interval > 0 {
		parts = append(parts, "every "+units.Significant(dev.Interval, 3)+" s")
	}
	return strings.Join(parts, ", ")
}

// conditions are the room and the part while it was held.
func conditions(st *hold.State) (out []Fact) {
	lo, hi := math.Inf(1), math.Inf(-1)
	plo, phi := math.Inf(1), math.Inf(-1)
	for _, p := range st.Curve {
		if p.Ambient > 0 {
			lo, hi = math.Min(lo, p.Ambient), math.Max(hi, p.Ambient)
		}
		if p.Section > 0 {
			plo, phi = math.Min(plo, p.Section), math.Max(phi, p.Section)
		}
	}
	span := func(lo, hi float64) string {
		return fmt.Sprintf("%.1f to %.1f °C", units.Temperature(lo).Celsius(), units.Temperature(hi).Celsius())
	}
	if lo <= hi {
		out = append(out, Fact{"Air", span(lo, hi)})
	} else {
		out = append(out, Fact{"Air", "not measured"})
	}
	if plo <= phi {
		out = append(out, Fact{"On the part", span(plo, phi)})
	}
	return append(out, Fact{"Air pressure used", units.FormatPressure(float64(st.Atmosphere), "mbar") + " absolute"})
}

// fingerprint says in what state the log is.
func (d *Document) fingerprint(in HoldInput) []Fact {
	text := in.File + ", " + in.Integrity.String()
	if in.Integrity.State() == holdlog.None {
		text += ": a change in it would not be seen"
	}
	out := []Fact{{"Log", text}}
	if in.Integrity.SHA256 != "" {
		out = append(out, Fact{"SHA-256", in.Integrity.SHA256 + " up to line " + fmt.Sprint(in.Integrity.Checked) + d.cite(shaSource)})
	}
	return out
}

// happened lists marks, numbered as in the chart, events and alarms, in the order of time.
func happened(st *hold.State) (rows [][]string) {
	type line struct {
		at       float64
		no, text string
	}
	var all []line
	for i, m := range st.Marks {
		all = append(all, line{m.Elapsed, fmt.Sprint(i + 1), m.Text})
	}
	for _, e := range st.Events {
		all = append(all, line{e.Elapsed, "", eventWords(e.Event)})
	}
	for _, a := range st.Alarms {
		all = append(all, line{a.Elapsed, "", "rang: " + a.Text})
	}
	slices.SortStableFunc(all, func(a, b line) int { return cmp.Compare(a.at, b.at) })
	zone := zoneOf(st.Header)
	for _, l := range all {
		clock := time.UnixMilli(st.StartWall + int64(1000*l.at)).In(zone).Format("15:04:05")
		rows = append(rows, []string{l.no, clock, l.text})
	}
	return rows
}

// eventWords says an event with what is known of it.
func eventWords(e holdlog.Event) string {
	text := strings.ReplaceAll(string(e.Kind), "_", " ")
	for _, more := range []string{e.Device, e.Text} {
		if more != "" {
			text += ", " + more
		}
	}
	if e.Seconds > 0 {
		text += ", " + units.FormatDuration(time.Duration(e.Seconds)*time.Second)
	}
	return text
}

func causes(all []verdict.Cause) (out []string) {
	for _, c := range all {
		out = append(out, c.Cause+": "+c.Evidence)
	}
	return out
}

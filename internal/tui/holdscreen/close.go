package holdscreen

import (
	"fmt"
	"math"
	"slices"

	tea "github.com/charmbracelet/bubbletea"

	"example.org/holdfast/internal/tui/ui"
	"example.org/holdfast/internal/units"
)

// closeBy is the numbers of the page that is read from close by: every estimate
// with its interval, how well the fit meets the points, the instruments, the record.
func (m *Model) closeBy(w int) []string {
	var out []string
	part := func(title string, lines []string) {
		if len(lines) == 0 {
			return
		}
		out = append(out, "", m.th.Strong.Render(title))
		for _, l := range lines {
			out = append(out, ui.Wrap(clean(l), w, 3)...)
		}
	}
	part("Numbers; in brackets where it lies 95 times in 100", m.estimates())
	if lines := m.misses(); len(lines) > 0 {
		part("How well the fit meets the points", lines)
		if w >= 40 {
			out = append(out, m.missPlot(min(w, 120)).Render(m.th)...)
		}
	}
	part("Instruments", m.instruments())
	part("Record", m.record())
	return out
}

// estimates are the results with their intervals, in every unit that is known.
func (m *Model) estimates() []string {
	if m.vacuum() {
		return m.riseNumbers()
	}
	e := m.st.Estimate
	if !e.Valid || !(e.Start > 0) {
		return nil
	}
	u := m.unit()
	leak := func(factor float64, unit string) string {
		return "leak " + interval(e.Rate.Value, e.Rate.Lo, e.Rate.Hi, factor, unit)
	}
	out := []string{leak(units.SecondsPerHour/u.FinePa, u.Fine+"/h"), leak(units.SecondsPerHour*100/e.Start, "%/h")}
	if f := m.st.PerPascal; f.HasThroughput {
		out = append(out, fmt.Sprintf("leak %s (%s to %s)", m.flow(e.Rate.Value), m.flow(e.Rate.Lo), m.flow(e.Rate.Hi)))
	}
	if f := m.st.PerPascal; f.HasRefrigerant {
		out = append(out, leak(f.Refrigerant.GramsPerYear(), "g/yr"))
	}
	out = append(out, fmt.Sprintf("the fall is %s times its own uncertainty", ui.Number(e.Z, 1)), m.pressures(), m.doubt())
	return append(out, m.called()...)
}

// pressures are those at both ends, to the readable step of the gauge.
func (m *Model) pressures() string {
	e, u, step := m.st.Estimate, m.unit(), m.step()
	p := func(pa float64) string { return u.Reading(m.shown(pa)*u.Pa, step) + " " + u.Name }
	return fmt.Sprintf("pressure at the start %s, now %s, now as warm as at the start %s; air pressure %s mbar",
		p(e.Start), p(e.End), p(e.Corrected), ui.Number(float64(m.st.Atmosphere)/100, 0))
}

// doubt is where the width of the intervals comes from.
func (m *Model) doubt() string {
	e, u := m.st.Estimate, m.unit()
	return fmt.Sprintf("why it is not known better: sensor %.0f %%, temperature %.0f %%, heat of filling %.0f %%, which still moves the pressure by %s %s/h",
		100*e.WidthSensor, 100*e.WidthTemperature, 100*e.WidthSettling, units.Significant(e.HeatRate*units.SecondsPerHour/u.FinePa, 2), u.Fine)
}

// called is what was called and when, and the blank hold that was taken off.
func (m *Model) called() (out []string) {
	e := m.st.Estimate
	if b := m.st.Blank; b != nil {
		out = append(out, fmt.Sprintf("blank hold %s %s: %.0f %% of the width", b.File, b.Date, 100*b.Share))
	}
	if t := m.st.RangAt; t > 0 {
		out = append(out, fmt.Sprintf("leak called at %s: %s", ui.Clock(t), calledWhy(e.CalledWhy)))
	}
	if e.OpenedAt >= 0 {
		out = append(out, "leak opened at "+ui.Clock(e.OpenedAt))
	}
	return out
}

// calledWhy puts the engine's reason for a call into words.
func calledWhy(why string) string {
	switch why {
	case "gross":
		return "it fell at once"
	case "steady":
		return "it falls steadily"
	case "opened":
		return "it began to fall during the hold"
	case "":
		return "it loses more than the limit"
	}
	return why
}

// flow is a loss of pressure in Pa/s as a leak of the test gas.
func (m *Model) flow(paPerSecond float64) string {
	return units.FormatLeakRate(m.st.PerPascal.Throughput * units.LeakRate(paPerSecond))
}

// residuals is what the fit leaves of the corrected pressure, Pa, broken at
// gaps, and their standard deviation by the median, which the first minutes do
// not spoil (0.6745: the median of the absolute value of a normal variable).
func (m *Model) residuals() (pts []ui.Pt, sd float64) {
	var sizes []float64
	for _, c := range m.st.Curve {
		if c.Gap {
			pts = append(pts, ui.Pt{X: c.T, Y: math.NaN()})
		}
		if c.Fit == 0 || c.Corrected == 0 {
			continue
		}
		d := c.Corrected - c.Fit
		if math.IsNaN(d) || math.Abs(d) > 1e12 {
			continue
		}
		pts = append(pts, ui.Pt{X: c.T, Y: d})
		sizes = append(sizes, math.Abs(d))
	}
	if len(sizes) == 0 {
		return nil, 0
	}
	slices.Sort(sizes)
	return pts, sizes[len(sizes)/2] / 0.6745
}

// misses says how far the points lie from the fit, beside what the noise of the readings alone would make of it.
func (m *Model) misses() []string {
	pts, sd := m.residuals()
	if len(pts) < 8 || m.vacuum() {
		return nil
	}
	u := m.unit()
	fine := func(pa float64) string { return units.Significant(pa/u.FinePa, 2) + " " + u.Fine }
	s := fmt.Sprintf("%d points, typically %s off the fit", len(pts), fine(sd))
	noise, per := m.noise()
	if noise > 0 {
		s += fmt.Sprintf("; by the noise of the readings alone it would be %s, the rest is temperature", fine(noise/math.Sqrt(per)))
	}
	return []string{s}
}

// missPlot draws the residuals over time.
func (m *Model) missPlot(w int) ui.Plot {
	pts, sd := m.residuals()
	u := m.unit()
	for i := range pts {
		pts[i].Y /= u.FinePa
	}
	most := math.Max(4*sd/u.FinePa, 1e-6)
	x0, x1 := m.timeRange()
	zero := []ui.Pt{{X: x0, Y: 0}, {X: x1, Y: 0}}
	return ui.Plot{W: w, H: 5, Gutter: gutter, Margin: margin, X0: x0, X1: x1, Y0: -most, Y1: most, NoX: true,
		YTick: func(v, step float64) string { return ui.Number(v, ui.StepDecimals(step)) + " " + u.Fine },
		Lines: []ui.Line{{Pts: zero, On: 1, Off: 3, Char: '.', Style: m.th.Dim}, {Pts: pts, Char: 'o', Style: m.th.Plain}},
		Notes: []ui.Note{{Y: 0, Text: "fit", Style: m.th.Dim}}}
}

// noise is the standard deviation of one reading in Pa, from the spread of the
// readings behind each point of the curve, and how many there are; 0 = it cannot be told.
//
// The mean range of n normal values is about 2 z(n) standard deviations, z(n)
// the expected largest of n (Blom's approximation of normal order statistics, from memory).
func (m *Model) noise() (sd, per float64) {
	var ranges []float64
	for _, c := range m.st.Curve {
		if r := c.RawMax - c.RawMin; r >= 0 && r < 1e9 {
			ranges = append(ranges, r)
		}
	}
	if len(ranges) < 8 || !(m.st.Interval > 0) {
		return 0, 0
	}
	per = m.st.Estimate.At / m.st.Interval / float64(len(m.st.Curve))
	if !(per >= 2) {
		return 0, 0
	}
	slices.Sort(ranges)
	z := math.Sqrt2 * math.Erfinv(2*(per-0.375)/(per+0.25)-1)
	return ranges[len(ranges)/2] / (2 * z), per
}

// instruments is the health of the sensors.
func (m *Model) instruments() []string {
	st, u := m.st, m.unit()
	var out []string
	for _, d := range st.Header.Devices {
		s := fmt.Sprintf("%s %s gives %s", d.Name, d.Port, d.Gives)
		if d.PressureStep > 0 {
			s += ", step " + units.Significant(float64(d.PressureStep)/u.FinePa, 3) + " " + u.Fine
		}
		if slices.Contains(st.Lost, d.Name) {
			s += ": SILENT"
		}
		out = append(out, s)
	}
	if noise, _ := m.noise(); noise > 0 {
		out = append(out, "noise of one reading about "+units.Significant(noise/u.FinePa, 2)+" "+u.Fine)
	}
	s := m.age()
	if st.Interval > 0 {
		s += ", one every " + ui.Span(st.Interval)
	}
	out = append(out, s)
	s = fmt.Sprintf("%s, %d not usable", units.FormatCount(st.Samples, "reading"), st.Rejected)
	if st.LastReject != "" {
		s += ", the last: " + st.LastReject
	}
	return append(out, s)
}

// kept is what the caller says of the record.
type kept []string

// askRecord asks for it beside the screen, which never waits for a disk.
func (m *Model) askRecord() tea.Cmd {
	if m.opts.Record == nil {
		return nil
	}
	return func() tea.Msg { return kept(m.opts.Record()) }
}

// record is what is kept, and where.
func (m *Model) record() []string {
	out := []string{fmt.Sprintf("%s in %s", units.FormatCount(m.st.Records, "record"), ui.Clock(m.st.Elapsed))}
	return append(out, m.kept...)
}

package holdscreen

import (
	"fmt"
	"math"
	"strings"

	"example.org/holdfast/internal/hold"
	"example.org/holdfast/internal/tui/ui"
	"example.org/holdfast/internal/units"
	"example.org/holdfast/refdata"
)

// vacuumUnit is the unit of a vacuum hold where none is set.
const vacuumUnit = "Pa"

// vacuumReading writes an absolute pressure of pa pascal: three digits, or as
// fine as the gauge's readable step in Pa deserves (0 = unknown).
func vacuumReading(u ui.Unit, pa, step float64) string {
	v := pa / u.Pa
	d := 2 - int(math.Floor(math.Log10(math.Max(math.Abs(v), 1e-9))))
	if step > 0 {
		d = min(d, int(math.Ceil(-math.Log10(step/u.Pa)-0.05)))
	}
	return ui.Number(v, min(max(d, 0), 3))
}

// phaseName is the word of a phase: a vacuum is pumped down, then rises.
func (m *Model) phaseName(p hold.Phase) string {
	if m.vacuum() {
		switch p {
		case hold.Filling:
			return "pumping down"
		case hold.Holding:
			return "closed off, rise"
		}
	}
	return string(p)
}

// rises reports that there is something to say of the rise.
func (m *Model) rises() bool { return m.st != nil && m.st.Rise != nil && m.st.Rise.Valid }

// amount writes a pressure in Pa in the unit of the screen.
func (m *Model) amount(pa float64) string {
	u := m.unit()
	return units.Significant(pa/u.Pa, 3) + " " + u.Name
}

// riseText is the steady part of the rise in w cells.
func (m *Model) riseText(w int) string {
	if !m.rises() {
		return "rise: not known yet"
	}
	r := m.st.Rise
	s := "steady rise " + interval(r.Leak.Value, r.Leak.Lo, r.Leak.Hi, units.SecondsPerHour/m.unit().Pa, m.unit().Name+"/h")
	if r.Levelling > 1 {
		s = joinIf(s, m.amount(r.Levelling)+" levelling off", w)
	}
	return s
}

// acceptText is what has to be met, and where the rise would end, in w cells.
func (m *Model) acceptText(w int) string {
	s := "no acceptance set"
	if a, ok := m.acceptance(); ok {
		s = fmt.Sprintf("accepted: %s for %s", m.amount(float64(a.Most)), ui.Span(a.After))
		if !strings.Contains(a.Text, "@") {
			s = joinIf(s, clean(a.Text), w)
		}
	}
	if m.rises() && m.st.Rise.Plateau.Value > 0 {
		s = joinIf(s, "would level off at "+m.amount(m.st.Rise.Plateau.Value), w)
	}
	return s
}

// vacuumLegend names the lines of the chart, as many as fit into w cells.
func (m *Model) vacuumLegend(w int) string {
	parts := []string{m.th.Say("⣿", "o") + " pressure, absolute"}
	if _, ok := m.acceptance(); ok {
		parts = append(parts, m.th.Alarm.Render("x")+" accepted at most")
	}
	if _, ok := m.waterLevel(); ok {
		parts = append(parts, m.th.Dim.Render(".")+" vapour pressure of water")
	}
	return ui.Joined(parts, "  ", w)
}

// acceptance is what has to be met, if there is something.
func (m *Model) acceptance() (a hold.Acceptance, ok bool) {
	if m.st == nil {
		return a, false
	}
	a, err := hold.ParseAcceptance(m.st.Header.Settings.Accept)
	return a, err == nil
}

// waterLevel is the vapour pressure of water, Pa, where the rise comes near it.
func (m *Model) waterLevel() (pa float64, ok bool) {
	if !m.rises() {
		return 0, false
	}
	r := m.st.Rise
	return r.Water, r.Water > 0 && math.Max(r.End, r.Plateau.Value) > r.Water/3
}

// vacuumLines adds the levels that mean something to the chart.
func (m *Model) vacuumLines(p *ui.Plot, x1 float64) {
	if a, ok := m.acceptance(); ok {
		y := float64(a.Most) / m.unit().Pa
		p.Lines = append(p.Lines, ui.Line{Pts: []ui.Pt{{X: 0, Y: y}, {X: math.Min(a.After, x1), Y: y}}, On: 2, Off: 2, Char: 'x', Mark: 'x', Style: m.th.Alarm})
		p.Notes = append(p.Notes, ui.Note{Y: y, Text: "accepted", Style: m.th.Alarm})
	}
	if pa, ok := m.waterLevel(); ok {
		y := pa / m.unit().Pa
		p.Lines = append(p.Lines, ui.Line{Pts: []ui.Pt{{X: 0, Y: y}, {X: x1, Y: y}}, On: 1, Off: 3, Char: '.', Style: m.th.Dim})
		p.Notes = append(p.Notes, ui.Note{Y: y, Text: "water", Style: m.th.Dim})
	}
}

// vacuumRange is the range of the axis: from 0 up, so that a flat rise looks flat.
func (m *Model) vacuumRange(r span) (y0, y1 float64) {
	if a, ok := m.acceptance(); ok {
		r.add(float64(a.Most) / m.unit().Pa)
	}
	if pa, ok := m.waterLevel(); ok {
		r.add(pa / m.unit().Pa)
	}
	least := 10 / m.unit().Pa
	return 0, 1.1 * math.Max(r.hi, least)
}

// pumping is what to do while the pump runs, in place of the chart, in at most h lines.
func (m *Model) pumping(w, h int) []string {
	c := column{w: w, th: m.th, lines: []string{"", m.th.Strong.Render("Pump down, then close the valve to the pump and leave it closed.")}}
	if m.act.Close == nil {
		c.say("The rise begins when the pressure stands still or leaves the level of the pump.")
	} else {
		c.say("The rise begins by itself when the pressure stands still or leaves the level of the pump; key c says that the valve is closed now.")
	}
	c.say("Pump from both sides where a capillary lies between: through it the far side takes hours, and its gas looks like a rise afterwards.")
	c.lines = append(c.lines, "")
	return append(c.lines, ui.Cautions(min(w, 100), h-len(c.lines), refdata.Vacuum)...)
}

// riseNumbers are the figures of the page of details.
func (m *Model) riseNumbers() []string {
	if !m.rises() {
		return nil
	}
	r := m.st.Rise
	out := []string{
		fmt.Sprintf("start %s, end %s, shape: %s", m.amount(r.Start), m.amount(r.End), r.Shape),
		m.riseText(plain),
		fmt.Sprintf("a leak: %.1f %% likely; moisture or outgassing: %.1f %% likely", 100*r.PLeak, 100*r.PMoisture),
	}
	if r.Water > 0 {
		out = append(out, fmt.Sprintf("vapour pressure of water at %s: %s", units.FormatTemperature(units.Temperature(r.Temp), "C"), m.amount(r.Water)))
	}
	return out
}

// vacuumHelp explains the chart of a vacuum.
func vacuumHelp() []string {
	return []string{
		"Absolute pressure since the valve to the pump was closed. Flat: dry, and no leak of a size that shows here. A straight line that never bends: a leak. A line that bends and levels off: moisture, gas out of oil, or the far side of a capillary.",
		"The line with x is the most that is accepted until its time is over. The dotted line is the vapour pressure of water at the temperature now: liquid water levels off there, ice at 611 Pa or below.",
		"Tight is only said of a flat rise within the acceptance. It never overrules the hold under nitrogen pressure.",
	}
}

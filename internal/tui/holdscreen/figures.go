package holdscreen

import (
	"fmt"
	"math"

	"example.org/holdfast/internal/tui/ui"
	"example.org/holdfast/internal/units"
	"example.org/holdfast/internal/verdict"
)

// leakText is the leak rate with its interval in w cells: "leak 0.4 (0.1 to 0.7) %/h, 9 mbar/h".
func (m *Model) leakText(w int) string {
	if m.vacuum() {
		return m.riseText(w)
	}
	if m.st == nil || !m.st.Estimate.Valid || !(m.st.Estimate.Start > 0) {
		return "leak rate: not known yet"
	}
	e, unit, pa := m.st.Estimate.Rate, m.unit().Fine, m.unit().FinePa
	if math.Abs(e.Value)*units.SecondsPerHour >= 1000*pa {
		unit, pa = m.unit().Name, m.unit().Pa
	}
	s := "leak " + interval(e.Value, e.Lo, e.Hi, units.SecondsPerHour*100/m.st.Estimate.Start, "%/h")
	if f := m.st.PerPascal; f.HasRefrigerant {
		s = joinIf(s, rounded(e.Value, e.Half(), f.Refrigerant.GramsPerYear(), "g/yr"), w)
	}
	return joinIf(s, rounded(e.Value, e.Half(), units.SecondsPerHour/pa, unit+"/h"), w)
}

// interval writes an estimate with its interval, times a factor, in a unit.
func interval(value, lo, hi, factor float64, unit string) string {
	half := (hi - lo) / 2 * factor
	return fmt.Sprintf("%s (%s to %s) %s", units.Rounded(value*factor, half), units.Rounded(lo*factor, half), units.Rounded(hi*factor, half), unit)
}

// rounded writes an estimate alone, times a factor, with the digits that its uncertainty of half deserves.
func rounded(value, half, factor float64, unit string) string {
	return units.Rounded(value*factor, half*factor) + " " + unit
}

// joinIf adds a part where w cells have room for it.
func joinIf(s, part string, w int) string {
	if t := s + ", " + part; ui.Width(t) <= w {
		return t
	}
	return s
}

// hidesText is what could still hide (how large a called leak is at most), beside the limit, in w cells.
func (m *Model) hidesText(w int) string {
	if m.vacuum() {
		return m.acceptText(w)
	}
	if m.st == nil || !m.st.Estimate.Valid || !(m.st.Estimate.Start > 0) {
		return m.limitText()
	}
	e := m.st.Estimate
	f := m.st.Verdict.Hides
	pct := f.PercentPerHour
	if pct == 0 {
		pct = math.Max(e.Rate.Hi, 0) * units.SecondsPerHour * 100 / e.Start
	}
	what := "could hide"
	if m.word() == verdict.Leaking {
		what = "at most"
	}
	s := fmt.Sprintf("%s %s %%/h", what, units.Significant(pct, 2))
	short := m.limitName()
	if f.HasRefrigerant {
		s = joinIf(s, units.FormatMassRate(f.Refrigerant), w-ui.Width(short)-2)
	}
	if t := s + ", " + m.limitText(); ui.Width(t) <= w {
		return t
	}
	return s + ", " + short
}

// limitName is the acceptance limit as it was typed.
func (m *Model) limitName() string {
	switch {
	case m.st == nil:
	case m.st.Verdict.Limit.Set:
		return "limit " + clean(m.st.Verdict.Limit.Text)
	case m.st.Header.Settings.Limit != "":
		return "limit " + clean(m.st.Header.Settings.Limit)
	}
	return "no limit set"
}

// limitText is the acceptance limit as it is understood here.
func (m *Model) limitText() string {
	s := m.limitName()
	if m.st != nil && m.st.LimitRate > 0 {
		s += " (" + units.FormatPressureRate(units.PressureRate(m.st.LimitRate), m.unit().Name) + ")"
	}
	return s
}

// moreText says whether holding on would help.
func (m *Model) moreText() string {
	if m.vacuum() && m.word() == verdict.Unproven && m.st.Verdict.MoreHold > 0 && m.st.Rise != nil {
		return "About " + ui.Span(m.st.Verdict.MoreHold) + " more would decide."
	}
	if m.st == nil || m.word() != verdict.Unproven || !m.st.Estimate.Valid || !m.st.Verdict.Limit.Set {
		return "" // nothing to go by yet, or nothing to decide
	}
	switch more := m.st.Verdict.MoreHold; {
	case more > 300: // as coarsely as the advice says it
		return "About " + ui.Span(math.Ceil(more/300)*300) + " more would decide."
	case more > 0:
		return "About " + ui.Span(more) + " more would decide."
	case more < 0:
		return "A longer hold would not help."
	}
	return ""
}

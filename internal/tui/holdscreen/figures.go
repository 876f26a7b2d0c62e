package holdscreen

import (
	"fmt"
	"math"

	"example.org/holdfast/internal/tui/ui"
	"example.org/holdfast/internal/units"
	"example.org/holdfast/internal/verdict"
)

// leakText is the leak rate with its interval in w cells: "leak 0.41 %/h (0.12 to 0.70), 8.6 mbar/h".
func (m *Model) leakText(w int) string {
	if m.vacuum() {
		return m.riseText(w)
	}
	if m.st == nil || !m.st.Estimate.Valid || !(m.st.Estimate.Start > 0) {
		return "leak rate: not known yet"
	}
	e := m.st.Estimate
	pct := units.SecondsPerHour * 100 / e.Start
	d := ui.Decimals(e.Rate.Half() * pct)
	u := m.unit()
	fine := units.SecondsPerHour / u.FinePa
	fd := ui.Decimals(e.Rate.Half() * fine)
	s := fmt.Sprintf("leak %s %%/h (%s to %s)", ui.Number(e.Rate.Value*pct, d), ui.Number(e.Rate.Lo*pct, d), ui.Number(e.Rate.Hi*pct, d))
	if f := m.st.Verdict.Leak; f.HasRefrigerant {
		s = joinIf(s, grams(f), w)
	}
	return joinIf(s, ui.Number(e.Rate.Value*fine, fd)+" "+u.Fine+"/h", w)
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
	s := fmt.Sprintf("%s %s %%/h", what, ui.Number(pct, ui.Decimals(pct)))
	short := "no limit set"
	if m.st.Verdict.Limit.Set {
		short = "limit " + clean(m.st.Verdict.Limit.Text)
	}
	if f.HasRefrigerant {
		s = joinIf(s, grams(f), w-ui.Width(short)-2)
	}
	if t := s + ", " + m.limitText(); ui.Width(t) <= w {
		return t
	}
	return s + ", " + short
}

func grams(f verdict.Figures) string {
	g := f.Refrigerant.GramsPerYear()
	return ui.Number(g, ui.Decimals(math.Abs(g))) + " g/yr"
}

// limitText is the acceptance limit as it is understood here.
func (m *Model) limitText() string {
	if m.st == nil || !m.st.Verdict.Limit.Set {
		return "no limit set"
	}
	l := m.st.Verdict.Limit
	s := "limit " + clean(l.Text)
	if m.st.LimitRate > 0 {
		u := m.unit()
		v := m.st.LimitRate * units.SecondsPerHour / u.FinePa
		s += fmt.Sprintf(" (%s %s/h)", ui.Number(v, ui.Decimals(v)), u.Fine)
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
	case more > 0:
		return "About " + ui.Span(more) + " more would decide."
	case more < 0:
		return "A longer hold would not help."
	}
	return ""
}

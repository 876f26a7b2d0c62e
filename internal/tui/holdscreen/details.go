package holdscreen

import (
	"fmt"

	"example.org/holdfast/internal/tui/ui"
)

// panel is the reasons and what to do next, for the space beside or under the chart.
func (m *Model) panel(w int) []string {
	if m.st == nil {
		return nil
	}
	v := m.st.Verdict
	var out []string
	add := func(s string) { out = append(out, ui.Wrap(clean(s), w, 6)...) }
	item := func(s string) {
		for i, l := range ui.Wrap(clean(s), w-2, 6) {
			out = append(out, [...]string{"- ", "  "}[min(i, 1)]+l)
		}
	}
	for _, r := range v.Reasons {
		add(r)
	}
	if s := m.moreText(); s != "" {
		add(s)
	}
	for i, a := range v.Advice {
		if i == 0 {
			out = append(out, m.th.Strong.Render("Next"))
		}
		item(a)
	}
	for i, c := range v.Causes {
		if i == 0 {
			out = append(out, m.th.Strong.Render("Evidence"))
		}
		item(c.Cause + ": " + c.Evidence)
	}
	for i, x := range v.Warnings {
		if i == 0 {
			head := "Doubts"
			if m.vacuum() {
				head = "Caution"
			}
			out = append(out, m.th.Strong.Render(head))
		}
		item(x)
	}
	return out
}

// empty tells whether there is no curve yet.
func (m *Model) empty() bool { return m.st == nil || len(m.st.Curve) == 0 }

// filling is what to do while there is no curve, in place of the chart.
func (m *Model) filling(w int) []string {
	if m.vacuum() {
		return m.pumping(w)
	}
	out := []string{"", m.th.Strong.Render("Fill in small steps, then close the valve at the part.")}
	out = append(out, ui.Wrap("The clock of the hold starts when the pressure stands still.", w, 2)...)
	out = append(out, "")
	return append(out, ui.CautionLines(min(w, 100), 40)...)
}

// detailLines is everything the screen knows, for the page of details.
func (m *Model) detailLines() []string {
	w := max(m.w, 1)
	if m.st == nil {
		return []string{"no reading yet"}
	}
	out := ui.Wrap(m.verdictWord()+": "+m.phrase(), w, 3)
	out = append(out, ui.Wrap(m.leakText(400), w, 3)...)
	out = append(out, ui.Wrap(m.hidesText(400), w, 3)...)
	out = append(out, m.panel(w)...)
	out = append(out, m.service(w)...)
	out = append(out, m.closeBy(w)...)
	out = append(out, "", m.th.Strong.Render("What happened"))
	return append(out, m.history(w)...)
}

// service is what the leak, or the bound on it, means in service.
func (m *Model) service(w int) []string {
	s := m.st.Service
	if s == nil {
		return nil
	}
	title := "The leak in service"
	if s.Bound {
		title = "If all that could still hide leaked"
	}
	out := []string{m.th.Strong.Render(title)}
	for _, text := range s.Words() {
		out = append(out, ui.Wrap(clean(text), w, 4)...)
	}
	return out
}

// history lists marks, events and alarms, newest first.
func (m *Model) history(w int) []string {
	var out []string
	for i := len(m.st.Marks) - 1; i >= 0; i-- {
		k := m.st.Marks[i]
		out = append(out, ui.Cut(fmt.Sprintf("%8s  mark: %s", ui.Clock(k.Elapsed), clean(k.Text)), w))
	}
	for i := len(m.st.Alarms) - 1; i >= 0; i-- {
		a := m.st.Alarms[i]
		out = append(out, ui.Cut(fmt.Sprintf("%8s  bell: %s", ui.Clock(a.Elapsed), clean(a.Text)), w))
	}
	for i := len(m.st.Events) - 1; i >= 0; i-- {
		e := m.st.Events[i]
		out = append(out, ui.Cut(clean(fmt.Sprintf("%8s  %s %s %s", ui.Clock(e.Elapsed), e.Event.Kind, e.Event.Device, e.Event.Text)), w))
	}
	return out
}

// helpLines is the help page, made from the bindings.
func (m *Model) helpLines() []string {
	out := ui.KeyPage(m.th, m.keys.all())
	out = append(out, "", m.th.Strong.Render("The chart"))
	chart, cautions := []string{
		"Pressure corrected to the temperature of the start, the fit through it, and its projection to the end of the set time; the dotted area holds it 95 times in 100.",
		"The line with x is where the pressure would go if it leaked at exactly the limit. The dotted wedge between it and the level of the start is tight, below it is leaking.",
		"Tight is only said when the whole interval is below the limit.",
	}, ui.Cautions()
	if m.vacuum() {
		chart, cautions = vacuumHelp(), ui.VacuumCautions()
	}
	for _, s := range chart {
		out = append(out, ui.Wrap(s, m.w, 6)...)
	}
	out = append(out, "", m.th.Strong.Render("The closer look (z)"))
	out = append(out, ui.KeyPage(m.th, newLenskeys().all())...)
	out = append(out, "", m.th.Strong.Render("Cautions"))
	return append(out, ui.Dashed(cautions, m.w, 60)...)
}

package holdscreen

import (
	"fmt"

	"example.org/holdfast/internal/hold"
	"example.org/holdfast/internal/tui/ui"
	"example.org/holdfast/internal/verdict"
	"example.org/holdfast/refdata"
)

// column collects paragraphs and lists in lines of w cells.
type column struct {
	w     int
	th    ui.Theme
	lines []string
}

func (c *column) say(text string) { c.lines = append(c.lines, ui.Wrap(clean(text), c.w, 6)...) }

// list adds items under a heading, or nothing where there are none.
func (c *column) list(head string, items []string) {
	for i, text := range items {
		if i == 0 {
			c.lines = append(c.lines, c.th.Strong.Render(head))
		}
		for j, l := range ui.Wrap(clean(text), c.w-2, 6) {
			c.lines = append(c.lines, [...]string{"- ", "  "}[min(j, 1)]+l)
		}
	}
}

// panel is the reasons and what to do next, for the space beside or under the chart.
func (m *Model) panel(w int) []string {
	if m.st == nil {
		return nil
	}
	v := m.st.Verdict
	c := column{w: w, th: m.th}
	for _, r := range v.Reasons {
		c.say(r)
	}
	if len(v.Advice) == 0 {
		c.say(m.moreText())
	}
	c.list("Next", v.Advice)
	var evidence []string
	for _, x := range v.Causes {
		evidence = append(evidence, x.Cause+": "+x.Evidence)
	}
	c.list("Evidence", evidence)
	if m.opensNext() {
		c.list("Before you loosen anything", textsOf(refdata.CautionsOf(refdata.Venting)))
	}
	doubts := "Doubts"
	if m.vacuum() {
		doubts = "Caution"
	}
	c.list(doubts, v.Warnings)
	return c.lines
}

// opensNext tells whether the pressure is let down next: the hold is over, or a leak is to be mended.
func (m *Model) opensNext() bool {
	return !m.vacuum() && m.act.Player == nil && (m.st.Phase == hold.Done || m.word() == verdict.Leaking)
}

func textsOf(cautions []refdata.Caution) (out []string) {
	for _, c := range cautions {
		out = append(out, c.Text)
	}
	return out
}

// empty tells whether there is no curve yet.
func (m *Model) empty() bool { return m.st == nil || len(m.st.Curve) == 0 }

// filling is what to do while there is no curve, in place of the chart, in at most h lines.
func (m *Model) filling(w, h int) []string {
	if m.vacuum() {
		return m.pumping(w, h)
	}
	c := column{w: w, th: m.th, lines: []string{"", m.th.Strong.Render("Fill in small steps, then close the valve at the part.")}}
	c.say("The clock of the hold starts when the pressure stands still.")
	c.lines = append(c.lines, "")
	return append(c.lines, ui.Cautions(min(w, 100), h-len(c.lines), refdata.Filling)...)
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
	out := ui.KeyPage(m.th, m.w, m.keys.all())
	out = append(out, "", m.th.Strong.Render("The chart"))
	chart, steps := []string{
		"Pressure corrected to the temperature of the start, the fit through it, and its projection to the end of the set time; the dotted area holds it 95 times in 100.",
		"The line with x is where the pressure would go if it leaked at exactly the limit. The dotted wedge between it and the level of the start is tight, below it is leaking.",
		"Tight is only said when the whole interval is below the limit.",
	}, []refdata.Step{refdata.Opening, refdata.Filling, refdata.Venting, refdata.Brazing}
	if m.vacuum() {
		chart, steps = vacuumHelp(), []refdata.Step{refdata.Vacuum}
	}
	for _, s := range chart {
		out = append(out, ui.Wrap(s, m.w, 6)...)
	}
	out = append(out, "", m.th.Strong.Render("The closer look (z)"))
	out = append(out, ui.KeyPage(m.th, m.w, newLenskeys().all())...)
	out = append(out, "", m.th.Strong.Render("Cautions"))
	return append(out, ui.CautionPage(m.w, steps...)...)
}

package holdscreen

import (
	"fmt"
	"strings"

	"example.org/holdfast/internal/tui/ui"
)

// dots is the length of the strip whose mark moves once per sample.
const dots = 8

// dataAge is the time since the last sample, s; negative without one.
func (m *Model) dataAge() float64 {
	if m.st == nil || m.st.Samples == 0 {
		return -1
	}
	return max(m.now-m.st.LastSampleAt, 0)
}

// stale tells whether the next sample is overdue: more than two intervals, and
// nothing new at the last two looks (in a hold that runs faster than life the
// age of data jumps by several intervals between two looks).
func (m *Model) stale() bool {
	if m.st == nil || m.st.Ended || m.paused() {
		return false
	}
	return m.same >= 2 && m.dataAge() > 2*max(m.st.Interval, m.askEvery(), 0.5)
}

func (m *Model) paused() bool { return m.act.Player != nil && m.act.Player.Status().Paused }

func (m *Model) age() string {
	a := m.dataAge()
	if a < 0 {
		return "no reading yet"
	}
	return "last reading " + ui.Span(a) + " ago"
}

// healthLine says how the sensors are; a notice takes its place for a moment,
// never that of a fault.
func (m *Model) healthLine() string {
	if t := m.trouble(); t != "" {
		return ui.Hatch(m.th, t, m.w)
	}
	if m.noticed > 0 {
		return ui.Cut(m.th.Strong.Render(m.notice), m.w)
	}
	if m.st == nil {
		return "no reading yet"
	}
	parts := []string{m.alive() + " " + m.age()}
	if t := m.moreText(); t != "" {
		parts = append(parts, strings.ToLower(strings.TrimSuffix(t, ".")))
	}
	if t := m.temperatures(); t != "" {
		parts = append(parts, t)
	}
	if every := m.askEvery(); every > 0 {
		parts = append(parts, "asks every "+ui.Span(every))
	} else if m.st.Interval > 0 {
		parts = append(parts, "every "+ui.Span(m.st.Interval))
	}
	if m.st.Rejected > 0 {
		parts = append(parts, fmt.Sprintf("%d not usable (%s)", m.st.Rejected, clean(m.st.LastReject)))
	}
	if w := m.firstWarning(); w != "" {
		parts = append(parts, w)
	}
	return ui.Cut(strings.Join(parts, m.th.Say(" · ", ", ")), m.w)
}

// trouble is what must be seen at once, "" = nothing.
func (m *Model) trouble() string {
	switch {
	case m.st == nil && m.due():
		return "A READING IS DUE: press e"
	case m.st == nil:
		return ""
	case m.st.Ended && m.act.Player == nil:
		return "RECORDING HAS ENDED"
	case len(m.st.Missing) > 0 && m.st.Samples == 0:
		return "NO READING YET from " + clean(strings.Join(m.st.Missing, "; "))
	case len(m.st.Lost) > 0:
		return "NO SIGNAL from " + clean(strings.Join(m.st.Lost, ", ")) + " for " + ui.Span(max(m.dataAge(), 0)) +
			": check cable and port; still recording"
	case m.due():
		return "A READING IS DUE: press e"
	case m.stale():
		return "NO NEW READING for " + ui.Span(m.dataAge()) + ": what you see is old"
	}
	return ""
}

// alive is a strip with a mark that moves one place per sample, so that a frozen screen looks frozen.
func (m *Model) alive() string {
	n := m.st.Samples % dots
	on, off := string(m.th.Pick('●', '*')), string(m.th.Pick('·', '.'))
	return strings.Repeat(off, n) + on + strings.Repeat(off, dots-1-n)
}

func (m *Model) temperatures() string {
	var t []string
	if m.st.HasAmbient {
		t = append(t, "air "+ui.Number(m.st.Ambient.Celsius(), 1))
	}
	if m.st.HasSection {
		t = append(t, "part "+ui.Number(m.st.Section.Celsius(), 1))
	}
	if len(t) == 0 {
		return ""
	}
	return strings.Join(t, ", ") + " " + m.th.Say("°C", "C")
}

func (m *Model) firstWarning() string {
	if w := m.st.Verdict.Warnings; len(w) > 0 {
		return clean(w[0])
	}
	if w := m.st.Estimate.Warnings; len(w) > 0 {
		return clean(w[0].Text)
	}
	return ""
}

// bottom is the last line: a question, the line for typing, or the keys.
func (m *Model) bottom() string {
	switch m.mode {
	case choosingMark:
		return m.markMenu()
	case typingMark:
		return m.prompt("mark: ", "Enter: keep, Esc: leave")
	case typingReading:
		example := "19.8 bar 21.5C"
		if m.vacuum() {
			example = "67 Pa 21.5C, or 500 micron"
		}
		return m.prompt("reading: ", "for example "+example+"   Enter: record, Esc: later")
	case typingLimit:
		q, example := "limit: ", "0.4%/h or 3g/yr"
		if m.vacuum() {
			q, example = "accepted: ", "80Pa@60min"
		}
		return m.prompt(q, "for example "+example+"   Enter: from now on, Esc: leave")
	case confirmRefill:
		return m.ask("refill? this filling ends here and a new one begins. y/n")
	case confirmClose:
		return m.ask("is the valve to the pump closed now? the rise begins anew. y/n")
	case confirmStop:
		return m.ask("stop recording? y/n")
	}
	if m.bell.nagging && !m.quiet() {
		return ui.Cut(m.th.Strong.Render("BELL: any key stops it")+"  "+m.keyLine(), m.w)
	}
	if m.lens.on && !m.far {
		return m.lensLine()
	}
	return m.keyLine()
}

func (m *Model) keyLine() string { return ui.KeyLine(m.th, m.keys.line(), m.w) }

func (m *Model) ask(q string) string { return m.th.Bar.Render(ui.Pad("> "+q, m.w)) }

func (m *Model) markMenu() string {
	s := "mark:"
	for i, t := range m.marks() {
		s += fmt.Sprintf(" %d %s ", i+1, t)
	}
	s += " t type it"
	if ui.Width(s) > m.w {
		s = "mark:"
		for i, t := range m.marks() {
			word, _, _ := strings.Cut(t, " ")
			s += fmt.Sprintf(" %d %s", i+1, word)
		}
		s += " t type"
	}
	return m.th.Bar.Render(ui.Pad(s, m.w))
}

// prompt is the line for typing: question, text, and what became of it or a hint.
func (m *Model) prompt(q, hint string) string {
	note := hint
	if m.input.say != "" {
		note = m.input.say
		if m.input.bad {
			note = "! " + note
		}
	}
	room := max(m.w-ui.Width(q)-ui.Width(note)-3, min(12, m.w-ui.Width(q)))
	return m.th.Bar.Render(ui.Pad(q+m.input.show(max(room, 1))+"   "+note, m.w))
}

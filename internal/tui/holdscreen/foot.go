package holdscreen

import (
	"fmt"
	"strings"

	"example.org/holdfast/internal/tui/ui"
)

// foot is the last two lines: how the sensors are, and below it a question, the
// line for typing, or the keys. A question that needs more room takes both.
func (m *Model) foot() []string {
	above, line := m.asking()
	if line == "" {
		line = m.keyLine()
	}
	if above == "" {
		above = m.healthLine()
	}
	return []string{above, line}
}

// asking is the question under way and what stands above it; both may be empty.
func (m *Model) asking() (above, line string) {
	switch m.mode {
	case choosingMark:
		return m.markMenu()
	case typingMark:
		return m.prompt("mark: ", "in your own words", "Enter: keep", "Esc: leave")
	case typingReading:
		return m.prompt("reading: ", m.exampleReading(), "Enter: record", "Esc: later")
	case typingLimit:
		if m.vacuum() {
			return m.prompt("accepted: ", "for example 80Pa@60min", "Enter: from now on", "Esc: leave")
		}
		return m.prompt("limit: ", "for example 0.4%/h or 3g/yr", "Enter: from now on", "Esc: leave")
	case confirmRefill:
		return "", m.ask("refill? this filling ends here and a new one begins. y/n", "end this filling, begin anew? y/n")
	case confirmClose:
		return "", m.ask("is the valve to the pump closed now? the rise begins anew. y/n", "valve to the pump closed now? y/n")
	case confirmStop:
		return "", m.ask("stop recording? y/n")
	}
	return "", ""
}

// exampleReading shows how a reading is typed, and since when none was.
func (m *Model) exampleReading() string {
	s := "for example 9.8 bar 21.5C"
	if m.vacuum() {
		s = "for example 67 Pa 21.5C, or 500 micron"
	}
	if age := m.dataAge(); m.due() && age >= 0 {
		s = "due, last " + ui.Span(age) + " ago; " + s
	}
	return s
}

// keyLine is the keys that are of use now.
func (m *Model) keyLine() string {
	switch {
	case m.bell.nagging && !m.quiet():
		bell := "BELL: any key stops it  "
		return m.th.Strong.Render(bell) + ui.KeyLine(m.th, m.keys.line(), m.w-ui.Width(bell))
	case m.lens.on && !m.far:
		return m.lensLine()
	}
	return ui.KeyLine(m.th, m.keys.line(), m.w)
}

// ask is a question across the screen, in the longest of the wordings that fits.
func (m *Model) ask(wordings ...string) string {
	q := ""
	for _, q = range wordings {
		if ui.Width(q)+2 <= m.w {
			break
		}
	}
	return m.th.Bar.Render(ui.Pad("> "+q, m.w))
}

// markMenu is the usual marks by number, on two lines where one has no room.
func (m *Model) markMenu() (above, line string) {
	full, short := []string{"mark:"}, []string{"mark:"}
	for i, t := range m.marks() {
		word, _, _ := strings.Cut(t, " ")
		full = append(full, fmt.Sprintf("%d %s", i+1, t))
		short = append(short, fmt.Sprintf("%d %s", i+1, word))
	}
	full, short = append(full, "t type it", "Esc leave"), append(short, "t type", "Esc")
	for _, items := range [][]string{full, short} {
		for _, between := range []string{"  ", " "} {
			n := len(items)
			for n > 1 && ui.Width(strings.Join(items[:n], between)) > m.w {
				n--
			}
			first, rest := strings.Join(items[:n], between), strings.Join(items[n:], between)
			switch {
			case rest == "":
				return "", m.th.Bar.Render(ui.Pad(first, m.w))
			case ui.Width(rest) <= m.w:
				return m.th.Bar.Render(ui.Pad(first, m.w)), m.th.Bar.Render(ui.Pad(rest, m.w))
			}
		}
	}
	return "", m.th.Bar.Render(ui.Pad(strings.Join(short, " "), m.w))
}

// prompt is the line for typing: question, text and keys, and what became of
// the text, or an example, in the same line if it fits, else above it.
func (m *Model) prompt(q, example string, keys ...string) (above, line string) {
	note := example
	switch say := m.input.say; {
	case say != "" && m.input.bad:
		note = "! " + say
	case say != "":
		note = "read as " + say
	}
	typed := q + m.input.show(max(m.w-ui.Width(q), 1))
	if one := strings.Join([]string{typed, note, keys[0]}, "   "); ui.Width(one) <= m.w {
		return "", m.th.Bar.Render(ui.Pad(ui.Joined(append([]string{one}, keys[1:]...), "   ", m.w), m.w))
	}
	line = ui.Joined(append([]string{typed}, keys...), "   ", m.w)
	return m.th.Bar.Render(ui.Pad(note, m.w)), m.th.Bar.Render(ui.Pad(line, m.w))
}

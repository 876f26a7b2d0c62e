package start

import (
	"strings"

	"example.org/holdfast/internal/tui/ui"
	"example.org/holdfast/refdata"
)

// View draws the screen into exactly the size of the terminal.
func (m *Model) View() string {
	if m.w <= 0 || m.h <= 0 {
		return ""
	}
	var lines []string
	switch m.page {
	case logsPage:
		lines = m.logsView()
	case formPage:
		lines = m.formView()
	case cautionsPage:
		lines = m.cautionsView()
	case jobsPage:
		lines = m.jobsView()
	default:
		lines = m.menuView()
	}
	return strings.Join(ui.Block(lines, m.w, m.h), "\n")
}

// cursor marks the line that has the keyboard, without needing any colour.
func (m *Model) cursor(on bool, text string) string {
	if !on {
		return "  " + text
	}
	return m.th.Strong.Render(m.th.Say("› ", "> ") + text)
}

func (m *Model) menuView() []string {
	lines := []string{m.th.Strong.Render("holdfast") + "  does this section hold?", ""}
	if m.h < 9 {
		lines = lines[:0]
	}
	for i, e := range menu() {
		text := e.key + "  " + ui.Pad(e.name, 12) + e.what
		lines = append(lines, m.cursor(i == m.at, ui.Cut(text, m.w-2)))
	}
	foot := "up, down, Enter; or the letter"
	if room := m.h - len(lines) - 3; room > 2 {
		lines = append(lines, "", m.th.Strong.Render("Cautions"))
		lines = append(lines, ui.Cautions(min(m.w, 100), room-1, refdata.Opening, refdata.Filling, refdata.Venting)...)
	}
	return m.foot(lines, foot)
}

// foot puts a line at the bottom of the screen: as many of the texts as fit, the first ones first.
func (m *Model) foot(lines []string, texts ...string) []string {
	text := texts[0]
	for _, t := range texts[1:] {
		if ui.Width(text)+3+ui.Width(t) <= m.w {
			text += "   " + t
		}
	}
	lines = ui.Block(lines, m.w, max(min(len(lines), m.h-1), 0))
	for len(lines) < m.h-1 {
		lines = append(lines, "")
	}
	return append(lines, ui.Cut(text, m.w))
}

func (m *Model) logsView() []string {
	lines := []string{m.th.Strong.Render("Open a log"), ""}
	room := max(m.h-len(lines)-3, 1)
	first := max(m.at-room+1, 0)
	for i, l := range m.opts.Logs {
		if i < first || i >= first+room {
			continue
		}
		lines = append(lines, m.cursor(i == m.at, ui.Cut(ui.Clean(l.Label, 200)+"  "+ui.Clean(l.Path, 300), m.w-2)))
	}
	last := m.at >= len(m.opts.Logs)
	lines = append(lines, m.cursor(last, "file: "+m.path.show(max(m.w-8, 1), last)))
	return m.foot(lines, "up, down; type a file; Enter: open, Esc: back")
}

// formView draws the questions, and below them the hint or the error of the one in hand.
func (m *Model) formView() []string {
	f := &m.form
	var rows []string
	at := 0
	for i := range f.fields {
		q := &f.fields[i]
		if !f.shown(q.name) {
			continue
		}
		if i == f.at {
			at = len(rows)
		}
		rows = append(rows, m.row(q, i == f.at))
	}
	q := &f.fields[f.at]
	tail := m.explain(q)
	room := max(m.h-2-len(tail), 1)
	first := max(min(at-room+2, len(rows)-room), 0)
	if at < first {
		first = at
	}
	head := "New hold"
	if f.job != "" {
		head += " of " + ui.Clean(f.section, 40) + " in " + ui.Clean(f.job, 60)
	}
	if first > 0 || len(rows) > room {
		head += "   (more: up, down)"
	}
	lines := []string{m.th.Strong.Render(head)}
	lines = append(lines, rows[first:min(first+room, len(rows))]...)
	for len(lines) < m.h-1-len(tail) {
		lines = append(lines, "")
	}
	lines = append(lines, tail...)
	return m.foot(lines, "Enter: next", "up, down: move", "left, right: choose", "ctrl-s: start", "Esc: back")
}

// row is one question with its answer.
func (m *Model) row(q *field, on bool) string {
	if q.name == startField {
		text := m.th.Say("── START ──", "-- START --") + "  " + "more answers below, if you like"
		if on {
			return m.th.Bar.Render(ui.Pad("> START: press Enter", min(m.w, 40)))
		}
		return ui.Cut("  "+text, m.w)
	}
	label := ui.Pad(q.label, 13)
	var answer string
	switch {
	case q.options != nil && q.name != portField && on:
		answer = "< " + q.options[q.pick].show + " >"
	case q.options != nil && q.name != portField:
		answer = q.options[q.pick].show
	default:
		answer = q.text.show(max(m.w-16, 1), on)
	}
	note := ""
	if q.note != "" {
		note = "   " + ui.Clean(q.note, 200)
		if q.bad {
			note = "   ! " + ui.Clean(q.note, 200)
		}
	}
	return m.cursor(on, ui.Cut(label+answer+note, m.w-2))
}

// explain is the help for the question in hand; at the ceiling the cautions come with it.
func (m *Model) explain(q *field) []string {
	w := min(m.w, 100)
	room := max(min(m.h-10, 10), 1)
	lines := ui.Wrap(q.hint, w, room)
	if q.bad {
		lines = append(ui.Wrap("! "+ui.Clean(q.note, 200), w, 2), lines...)
	}
	if q.name == ceilingField {
		lines = append(lines, ui.Cautions(w, max(room-len(lines), 0), refdata.Filling)...)
	}
	return lines
}

// cautionsView shows what the hold can show and every caution; where the screen is too small for all, it scrolls.
func (m *Model) cautionsView() []string {
	var lines []string
	w := min(m.w, 100)
	all := append(m.planLines(w), m.th.Strong.Render(ui.Cut("Before you open the regulator", m.w)))
	all = append(all, ui.Cautions(w, 200, refdata.Opening, refdata.Filling, refdata.Venting)...)
	room := max(m.h-1, 1)
	m.scroll = max(min(m.scroll, len(all)-room), 0)
	foot := []string{"Enter: understood, start the hold", "Esc: back"}
	if len(all) > room {
		foot = append(foot, "up, down: all of it")
	}
	lines = append(lines, all[m.scroll:min(m.scroll+room, len(all))]...)
	return m.foot(lines, foot...)
}

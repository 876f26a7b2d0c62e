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
	return strings.Join(ui.Block(m.lines(), m.w, m.h), "\n")
}

func (m *Model) lines() []string {
	if f := m.form(); f != nil {
		return m.formView(f)
	}
	switch m.page {
	case logsPage:
		return m.filesView("Open a log", "open", m.opts.Logs)
	case logPage:
		return m.logView()
	case besidePage:
		return m.filesView("Beside "+ui.Clean(m.log.Label, 60), "compare", m.opts.Logs)
	case profilesPage:
		return m.filesView("Calibrate a sensor: its profile", "calibrate", m.opts.Profiles)
	case cautionsPage:
		return m.cautionsView()
	case jobsPage:
		return m.jobsView()
	case helpPage:
		return m.helpView()
	}
	return m.menuView()
}

// cursor marks the line that has the keyboard, without needing any colour.
func (m *Model) cursor(on bool, text string) string {
	if !on {
		return "  " + text
	}
	return m.th.Strong.Render(m.th.Say("› ", "> ") + text)
}

func (m *Model) menuView() []string {
	items := m.menu()
	lines := []string{m.th.Strong.Render("holdfast") + "  does this section hold?", ""}
	if m.h < len(items)+4 {
		lines = lines[:0]
	}
	for i, e := range items {
		text := e.key + "  " + ui.Pad(e.name, 12) + e.what
		lines = append(lines, m.cursor(i == m.at, ui.Cut(text, m.w-2)))
	}
	if room := m.h - len(lines) - 3; room > 2 {
		lines = append(lines, "", m.th.Strong.Render("Cautions"))
		lines = append(lines, ui.Cautions(min(m.w, 100), room-1, refdata.Opening, refdata.Filling, refdata.Venting)...)
	}
	return m.foot(lines, "up, down, Enter; or the letter")
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

// formView draws the questions, and below them the hint or the error of the one in hand.
func (m *Model) formView(f *form) []string {
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
		rows = append(rows, m.row(f, q, i == f.at))
	}
	tail := m.explain(f, &f.fields[f.at])
	room := max(m.h-2-len(tail), 1)
	first := max(min(at-room+2, len(rows)-room), 0)
	if at < first {
		first = at
	}
	head := f.title
	if first > 0 || len(rows) > room {
		head += "   (more: up, down)"
	}
	lines := []string{m.th.Strong.Render(head)}
	lines = append(lines, rows[first:min(first+room, len(rows))]...)
	for len(lines) < m.h-1-len(tail) {
		lines = append(lines, "")
	}
	k := m.keys
	return m.foot(append(lines, tail...), foot(k.On, k.Turn, k.Back, as(k.Send, "to "+f.end), k.Help, as(k.Down, "move"))...)
}

// row is one question with its answer.
func (m *Model) row(f *form, q *field, on bool) string {
	if q.name == endField {
		text := m.th.Say("── "+f.end+" ──", "-- "+f.end+" --")
		if f.end == "START" {
			text += "  more answers below, if you like"
		}
		if on {
			return m.th.Bar.Render(ui.Pad("> "+f.end+": press Enter", min(m.w, 40)))
		}
		return ui.Cut("  "+text, m.w)
	}
	label := ui.Pad(q.label, 13)
	var answer string
	switch {
	case !q.typable() && on:
		answer = "< " + q.options[q.pick].show + " >"
	case !q.typable():
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

// explain is what is wrong, and the help for the question in hand; at the ceiling the cautions come with it.
func (m *Model) explain(f *form, q *field) []string {
	w := min(m.w, 100)
	room := max(min(m.h-10, 10), 1)
	lines := ui.Wrap(q.hint, w, room)
	if q.bad {
		lines = append(ui.Wrap("! "+ui.Clean(q.note, 200), w, 2), lines...)
	}
	if f.problem != "" {
		lines = append(ui.Wrap("! "+ui.Clean(f.problem, 400), w, 4), lines...)
	}
	if q.name == ceilingField {
		lines = append(lines, ui.Cautions(w, max(room-len(lines), 0), refdata.Filling)...)
	}
	return lines
}

// cautionsView shows what the hold can show and every caution; where the screen is too small for all, it scrolls.
func (m *Model) cautionsView() []string {
	w := min(m.w, 100)
	head, steps := "Before you open the regulator", []refdata.Step{refdata.Opening, refdata.Filling, refdata.Venting}
	if m.filling == m.vacuumForm {
		head, steps = "Before you pump", []refdata.Step{refdata.Vacuum}
	}
	all := append(m.planLines(w), m.th.Strong.Render(ui.Cut(head, m.w)))
	all = append(all, ui.Cautions(w, 200, steps...)...)
	return m.scrolled(all, as(m.keys.On, "understood, start the hold"), m.keys.Back)
}

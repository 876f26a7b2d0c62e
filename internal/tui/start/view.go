package start

import (
	"slices"
	"strings"

	"github.com/charmbracelet/bubbles/key"

	"example.org/holdfast/internal/tui/ui"
	"example.org/holdfast/refdata"
)

// View draws the screen into exactly the size of the terminal.
func (m *Model) View() string {
	if m.w <= 0 || m.h <= 0 {
		return ""
	}
	if m.w < ui.LeastWidth || m.h < ui.LeastHeight {
		return strings.Join(ui.TooSmall(m.w, m.h), "\n")
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
		lines = append(lines, m.cursor(i == m.at, e.in(m.w-2)))
	}
	if room := m.h - len(lines) - 3; room > 2 {
		lines = append(lines, "", m.th.Strong.Render("Cautions"))
		lines = append(lines, ui.Cautions(min(m.w, 100), room-1, refdata.Opening, refdata.Filling, refdata.Venting)...)
	}
	return m.foot(lines, "up, down, Enter; or the letter")
}

// foot puts a line at the bottom of the screen: as many of the texts as fit, the first ones first.
func (m *Model) foot(lines []string, texts ...string) []string {
	between := "   "
	if ui.Width(strings.Join(texts, between)) > m.w {
		between = "  "
	}
	return append(ui.Block(lines, m.w, max(m.h-1, 0)), ui.Joined(texts, between, m.w))
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
	gap := min(max(room-len(rows), 0), 1) // a line between the questions and the hint, if there is one to spare
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
	lines = append(lines, ui.Block(nil, m.w, gap)...)
	k := m.keys
	keys := []key.Binding{k.On, k.Back, k.Help, as(k.Send, "to "+f.end), as(k.Down, "move")}
	if len(f.fields[f.at].options) > 0 {
		keys = slices.Insert(keys, 1, k.Turn)
	}
	return m.foot(append(lines, tail...), foot(keys...)...)
}

// row is one question with its answer.
func (m *Model) row(f *form, q *field, on bool) string {
	if q.name == endField {
		return m.endRow(f, on)
	}
	const label = 13
	room := m.w - 2 - label
	var answer string
	switch {
	case q.typable():
		answer = q.text.show(max(room-1, 1), on)
	case on:
		answer = "< " + ui.Short(q.options[q.pick].show, room-4) + " >"
	default:
		answer = ui.Short(q.options[q.pick].show, room)
	}
	note := ""
	if q.note != "" && !q.bad { // what is wrong stands below
		note = ui.Clean(q.note, 200)
	}
	return m.cursor(on, ui.Pad(q.label, label)+ui.Joined([]string{answer, note}, "   ", room))
}

// endRow is the place in a form where Enter ends it.
func (m *Model) endRow(f *form, on bool) string {
	if on {
		return m.th.Bar.Render(ui.Pad("> "+f.end+": press Enter", min(m.w, 40)))
	}
	text := "  " + m.th.Say("── "+f.end+" ──", "-- "+f.end+" --")
	if f.end != "START" {
		return ui.Cut(text, m.w)
	}
	if long := text + "  more answers below, if you like"; ui.Width(long) <= m.w {
		return long
	}
	return ui.Joined([]string{text, "more answers below"}, "  ", m.w)
}

// explain is what is wrong or how the answer was read, and the help for the
// question in hand; at the ceiling the cautions come with it.
func (m *Model) explain(f *form, q *field) (lines []string) {
	w := min(m.w, 100)
	room := max(min(m.h-8, 10), 1)
	switch {
	case q.bad:
		lines = ui.Wrap("! "+ui.Clean(q.note, 200), w, 2)
	case q.note != "" && ui.Width(q.text.value())+ui.Width(q.note)+19 > m.w: // it has no room beside the answer
		lines = ui.Wrap(ui.Clean(q.note, 200), w, 1)
	}
	if f.problem != "" {
		lines = append(ui.Wrap("! "+ui.Clean(f.problem, 400), w, 4), lines...)
	}
	lines = append(lines, ui.Wrap(q.hint, w, max(room-len(lines), 1))...)
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
	return m.scrolled(all, as(m.keys.On, "start"), m.keys.Back)
}

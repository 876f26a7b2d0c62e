package start

import (
	"github.com/charmbracelet/bubbles/key"
	tea "github.com/charmbracelet/bubbletea"

	"example.org/holdfast/internal/tui/ui"
)

// Log is a file that is offered: a saved hold, or the profile of a sensor.
type Log struct {
	Path   string
	Label  string // what it is, in words
	GoesOn bool   // it was cut off, and can be gone on with
}

// file is the one that the keyboard is at: of the list, or typed.
func (m *Model) file(list []Log) (l Log, found bool) {
	if m.at < len(list) {
		return list[m.at], true
	}
	l = Log{Path: m.path.value(), Label: m.path.value(), GoesOn: true} // whether it can be is told when it is tried
	return l, l.Path != ""
}

// keyFiles moves in a list of files and calls chosen with the one that was; the last place is the line for another.
func (m *Model) keyFiles(list []Log, k tea.KeyMsg, back page, chosen func(Log) tea.Cmd) tea.Cmd {
	last := len(list)
	m.says = ""
	switch {
	case key.Matches(k, m.keys.Back):
		m.page, m.at = back, 0
	case key.Matches(k, m.keys.Up):
		m.at = max(m.at-1, 0)
	case key.Matches(k, m.keys.Down):
		m.at = min(m.at+1, last)
	case key.Matches(k, m.keys.On):
		if l, found := m.file(list); found {
			return chosen(l)
		}
	default: // typing goes to the line for another file
		m.at = last
		m.path.update(k)
	}
	return nil
}

// openLog asks what to do with a log.
func (m *Model) openLog(l Log) tea.Cmd {
	m.log, m.page, m.at = l, logPage, 0
	if l.GoesOn && m.opts.GoOn && l.Path != m.path.value() {
		m.at = 1
	}
	return nil
}

// compareWith puts a second log beside the first.
func (m *Model) compareWith(l Log) tea.Cmd {
	return m.end(Choice{Kind: Compare, Path: m.log.Path, With: l.Path})
}

func (m *Model) calibrate(l Log) tea.Cmd { return m.end(Choice{Kind: Calibrate, Path: l.Path}) }

// logDoors are what can be done with the log in hand.
func (m *Model) logDoors() []entry {
	doors := []entry{{"l", "look", "at it again: play it, go through it, ask what if"}}
	if m.opts.GoOn && m.log.GoesOn {
		doors = append(doors, entry{"g", "go on", "it was cut off: record on in the same file, with the gap marked"})
	}
	return append(doors, entry{"b", "beside", "another hold of the section, as before and after a joint was remade"})
}

// keyLog chooses what to do with the log in hand.
func (m *Model) keyLog(k tea.KeyMsg) tea.Cmd {
	doors := m.logDoors()
	letter := k.String()
	switch {
	case key.Matches(k, m.keys.Back):
		m.page, m.at = logsPage, 0
		return nil
	case key.Matches(k, m.keys.Up):
		m.at = max(m.at-1, 0)
	case key.Matches(k, m.keys.Down):
		m.at = min(m.at+1, len(doors)-1)
	case key.Matches(k, m.keys.On):
		letter = doors[m.at].key
	}
	switch letter {
	case "l":
		return m.end(Choice{Kind: OpenLog, Path: m.log.Path})
	case "g":
		if m.opts.GoOn && m.log.GoesOn {
			return m.end(Choice{Kind: GoOn, Path: m.log.Path})
		}
	case "b":
		m.page, m.at = besidePage, 0
		m.path = newLine("")
	}
	return nil
}

func (m *Model) logView() []string {
	lines := []string{m.th.Strong.Render(ui.Cut(ui.Clean(m.log.Label, 200), m.w)), ui.Cut(ui.Clean(m.log.Path, 300), m.w), ""}
	for i, e := range m.logDoors() {
		lines = append(lines, m.cursor(i == m.at, e.in(m.w-2)))
	}
	if m.says != "" {
		lines = append(append(lines, ""), ui.Wrap(m.says, m.w, 4)...)
	}
	return m.foot(lines, foot(as(m.keys.On, "choose, or the letter"), m.keys.Back, as(m.keys.Down, "move"), m.keys.Help)...)
}

// filesView is a list of files with the line for another below it.
func (m *Model) filesView(title, does string, list []Log) []string {
	var rows []string
	for _, l := range list {
		rows = append(rows, ui.Clean(l.Label, 200)+"  "+ui.Clean(l.Path, 300))
	}
	rows = append(rows, "file: "+m.path.show(max(m.w-8, 1), m.at >= len(list)))
	var says []string
	if m.says != "" {
		says = ui.Wrap(m.says, m.w, 3)
	}
	lines := m.list(title, rows, len(says))
	return m.foot(append(lines, says...), foot(as(m.keys.On, does), m.keys.Back, as(m.keys.Down, "move"), m.keys.Help)...)
}

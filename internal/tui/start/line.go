package start

import (
	"strings"

	"github.com/charmbracelet/bubbles/textinput"
	tea "github.com/charmbracelet/bubbletea"

	"example.org/holdfast/internal/tui/ui"
)

// line is a line for typing.
type line struct{ in textinput.Model }

func newLine(text string) line {
	t := textinput.New()
	t.CharLimit = 400
	t.Prompt = ""
	t.SetValue(text)
	t.Focus()
	return line{in: t}
}

func (l *line) update(k tea.KeyMsg) { l.in, _ = l.in.Update(k) }

func (l *line) value() string { return strings.TrimSpace(l.in.Value()) }

// show draws the text in w cells, with the cursor as an underscore where the line has the keyboard.
func (l *line) show(w int, active bool) string {
	r := []rune(l.in.Value())
	s := string(r)
	if active {
		p := min(l.in.Position(), len(r))
		s = string(r[:p]) + "_" + string(r[p:])
	}
	for ui.Width(s) > w && s != "" {
		s = string([]rune(s)[1:])
	}
	return s
}

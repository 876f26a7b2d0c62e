package holdscreen

import (
	"github.com/charmbracelet/bubbles/textinput"
	tea "github.com/charmbracelet/bubbletea"

	"example.org/holdfast/internal/tui/ui"
)

// mode is what the keyboard means at the moment.
type mode uint8

const (
	watching mode = iota
	choosingMark
	typingMark
	typingReading
	typingLimit
	confirmRefill
	confirmClose
	confirmStop
	showingHelp
	showingDetails
	showingPhone
	supposing
)

// input is the one line for typing, with what became of it.
type input struct {
	text textinput.Model
	say  string // echo or error under way
	bad  bool
	kept map[mode]string // what was left half typed, for the next time
}

func newInput() input {
	t := textinput.New()
	t.CharLimit = 120
	t.Prompt = ""
	return input{text: t, kept: map[mode]string{}}
}

func (i *input) open(text string) {
	i.text.SetValue(text)
	i.text.CursorEnd()
	i.text.Focus()
	i.say, i.bad = "", false
}

func (i *input) update(msg tea.Msg) { i.text, _ = i.text.Update(msg) }

// show draws the text with the cursor as an underscore, its end in sight, in w cells.
func (i *input) show(w int) string {
	r := []rune(i.text.Value())
	p := min(i.text.Position(), len(r))
	s := string(r[:p]) + "_" + string(r[p:])
	for ui.Width(s) > w && len(s) > 0 {
		s = string([]rune(s)[1:])
	}
	return s
}

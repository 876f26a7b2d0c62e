package holdscreen

import (
	"fmt"
	"strings"
	"testing"

	"github.com/charmbracelet/lipgloss"
	"github.com/muesli/termenv"

	tea "github.com/charmbracelet/bubbletea"

	"example.org/holdfast/internal/hold"
	"example.org/holdfast/internal/tui/tuitest"
	"example.org/holdfast/internal/tui/ui"
)

// The contract of every view: from 1x1 up it never panics, no line is wider
// than the terminal, there are not more lines than rows (bubbletea would drop
// the top ones), and from 40x12 on verdict, pressure, age of the data and the question under way are on it.
func TestEveryViewFitsEverySize(t *testing.T) {
	lipgloss.SetColorProfile(termenv.TrueColor)
	widths := []int{1, 2, 5, 15, 39, 40, 60, 78, 80, 110, 120, 200}
	heights := []int{1, 2, 3, 8, 11, 12, 17, 22, 24, 34, 40, 60}
	modes := []mode{showingHelp, showingDetails, showingPhone, typingMark, typingReading, typingLimit, choosingMark, confirmRefill, confirmStop, supposing}
	n := 0
	for name, state := range named() {
		for _, look := range []ui.Look{{}, {ASCII: true}, {NoColor: true}} {
			m := New(feedOf(state(), 30), Actions{Mark: func(string) {}, Refill: func() {}, Stop: func() {}, Enter: func(string) (string, error) { return "", nil }, WhatIf: supposable(state())},
				Options{Look: look, AskEvery: 600})
			m.suppose.was, m.suppose.now, m.suppose.known = state(), state(), []string{"not known", "0.5%/h"}
			for i, w := range widths {
				for j, h := range heights {
					m.Update(tea.WindowSizeMsg{Width: w, Height: h})
					m.mode, m.far = watching, (i+j)%3 == 0
					check(t, fmt.Sprintf("%s %+v %dx%d far %v", name, look, w, h, m.far), m, m.View())
					m.far = false
					if m.keyWatching(typedKey("z")); m.lens.on {
						m.zoom([...]float64{1, 0.5, 0.1}[n%3])
						check(t, fmt.Sprintf("%s %+v %dx%d closer look", name, look, w, h), m, m.View())
						m.lens = lens{}
					}
					m.mode = modes[n%len(modes)]
					check(t, fmt.Sprintf("%s %+v %dx%d mode %d", name, look, w, h, m.mode), m, m.View())
					n++
				}
			}
		}
	}
	if n < 8*3*120 {
		t.Errorf("only %d views were looked at", n)
	}
}

// supposable offers two questions and always answers with the same State.
func supposable(st *hold.State) *WhatIf {
	return &WhatIf{Asks: []Ask{{"volume", "Of the section."}, {"limit", "0.4%/h."}},
		Was:   func(*hold.State) []string { return []string{"not known", "0.5%/h"} },
		Judge: func([]string) (*hold.State, error) { return st, nil }}
}

// typedKey is a key as the terminal library gives it.
func typedKey(s string) tea.KeyMsg { return tea.KeyMsg{Type: tea.KeyRunes, Runes: []rune(s)} }

// check wants a view to fit, and from 40 by 12 on what it is there for to be in it.
func check(t *testing.T, what string, m *Model, view string) {
	t.Helper()
	tuitest.Fits(t, what, view, m.w, m.h, m.th.Look)
	if m.w < ui.LeastWidth || m.h < ui.LeastHeight {
		return
	}
	view = stripped(view)
	press, _ := m.pressure(plain)
	coarse, _ := m.pressure(ui.LeastWidth - 6)
	for _, need := range essential(m, view) {
		if !strings.Contains(view, need) {
			t.Fatalf("%s: %q is not on the screen:\n%s", what, need, view)
		}
	}
	if m.mode >= showingHelp {
		return
	}
	if !drawn(m, view, m.verdictWord()) {
		t.Fatalf("%s: the verdict is not on the screen:\n%s", what, view)
	}
	if !drawn(m, view, press) && !drawn(m, view, coarse) {
		t.Fatalf("%s: the pressure %s is not on the screen:\n%s", what, press, view)
	}
}

// essential are the texts that a mode cannot do without; of what is wrong, one wording.
func essential(m *Model, view string) []string {
	switch m.mode {
	case choosingMark:
		return []string{"mark:", "1 door", "6 ", "t type"}
	case typingMark:
		return []string{"mark: _"}
	case typingReading:
		return []string{"reading: _", "Enter: record"}
	case typingLimit:
		return []string{"_", "Enter: from now on"}
	case confirmRefill, confirmClose, confirmStop:
		return []string{"> ", " y/n"}
	case showingHelp:
		return []string{"HELP", "back"}
	case showingDetails:
		return []string{"WHY", "back"}
	case showingPhone:
		return []string{"PAGE FOR A PHONE", "back"}
	case supposing:
		return []string{"WHAT IF", m.suppose.Asks[m.suppose.at].Label, "_", "Esc"}
	}
	for _, wording := range m.trouble() {
		if strings.Contains(view, wording) {
			return nil
		}
	}
	if m.noticed > 0 { // for four seconds it may stand in place of the age
		return []string{m.notice}
	}
	return append(m.trouble(), m.age())[:1]
}

// drawn finds a text in whichever lettering this size has.
func drawn(m *Model, view, text string) bool {
	if strings.Contains(view, text) || strings.Contains(view, strings.Join(strings.Split(text, ""), " ")) {
		return true
	}
	has := func(rows []string) bool {
		return strings.Contains(view, strings.TrimRight(rows[0], " ")) && strings.Contains(view, strings.TrimRight(rows[len(rows)-1], " "))
	}
	for px := 1; px <= 16; px++ {
		if has(ui.Big(m.th, text, px, 1, false)) || has(ui.Big(m.th, text, px, 1, true)) {
			return true
		}
	}
	return has(ui.Half(text))
}

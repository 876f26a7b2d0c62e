package holdscreen

import (
	"fmt"
	"strings"
	"testing"

	"github.com/charmbracelet/lipgloss"
	"github.com/muesli/termenv"

	tea "github.com/charmbracelet/bubbletea"

	"example.org/holdfast/internal/hold"
	"example.org/holdfast/internal/tui/ui"
)

// The contract of every view: from 1x1 up it never panics, no line is wider
// than the terminal, there are not more lines than rows (bubbletea would drop
// the top ones), and from 40x12 the verdict word is on it.
func TestEveryViewFitsEverySize(t *testing.T) {
	lipgloss.SetColorProfile(termenv.TrueColor)
	widths := []int{1, 2, 5, 15, 39, 40, 60, 78, 80, 110, 120, 200}
	heights := []int{1, 2, 3, 8, 11, 12, 17, 22, 24, 34, 40, 60}
	modes := []mode{showingHelp, showingDetails, showingPhone, typingReading, typingLimit, choosingMark, supposing}
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

func check(t *testing.T, what string, m *Model, view string) {
	t.Helper()
	lines := strings.Split(view, "\n")
	if len(lines) > m.h {
		t.Fatalf("%s: %d lines for %d rows", what, len(lines), m.h)
	}
	for i, l := range lines {
		if got := lipgloss.Width(l); got > m.w {
			t.Fatalf("%s: line %d is %d cells wide: %q", what, i, got, l)
		}
		if m.th.ASCII {
			for _, r := range l {
				if r > 126 && !strings.ContainsRune("zażółć漢字", r) {
					t.Fatalf("%s: %q in ASCII mode", what, r)
				}
			}
		}
		if m.th.NoColor && strings.Contains(l, "\x1b") {
			t.Fatalf("%s: escape sequence without colour: %q", what, l)
		}
		if strings.ContainsAny(l, "\x07\x00\r\u202e") || strings.Contains(l, "\x1b]") || strings.Contains(l, "\x1b[2J") {
			t.Fatalf("%s: control bytes from outside reach the screen: %q", what, l)
		}
	}
	if m.w >= 40 && m.h >= 12 && m.mode == watching && !says(m, view) {
		t.Fatalf("%s: the verdict is not on the screen:\n%s", what, view)
	}
}

// says finds the verdict in whichever lettering this size has.
func says(m *Model, view string) bool {
	w := m.verdictWord()
	view = stripped(view)
	spaced := strings.Join(strings.Split(w, ""), " ")
	if strings.Contains(view, w) || strings.Contains(view, spaced) {
		return true
	}
	for px := 1; px <= 16; px++ {
		if big := ui.Big(m.th, w, px, 1, false); strings.Contains(view, strings.TrimRight(big[0], " ")) && strings.Contains(view, strings.TrimRight(big[4], " ")) {
			return true
		}
	}
	half := ui.Half(w)
	return strings.Contains(view, strings.TrimRight(half[0], " ")) && strings.Contains(view, strings.TrimRight(half[2], " "))
}

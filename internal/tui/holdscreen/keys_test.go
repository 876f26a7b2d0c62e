package holdscreen

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"github.com/charmbracelet/bubbles/key"
	tea "github.com/charmbracelet/bubbletea"

	"example.org/holdfast/internal/hold"
)

// everyKey is what a keyboard can send: all printable ASCII and the special keys.
func everyKey() (keys []tea.KeyMsg) {
	for r := ' '; r <= '~'; r++ {
		k := tea.KeyMsg{Type: tea.KeyRunes, Runes: []rune{r}}
		if r == ' ' {
			k.Type = tea.KeySpace
		}
		keys = append(keys, k)
	}
	for t := tea.KeyCtrlUnderscore; t >= tea.KeyF20; t-- { // ctrl keys count up from 0, the others down
		keys = append(keys, tea.KeyMsg{Type: t})
	}
	for t := tea.KeyCtrlAt; t <= tea.KeyCtrlUnderscore; t++ {
		keys = append(keys, tea.KeyMsg{Type: t})
	}
	return append(keys, tea.KeyMsg{Type: tea.KeyBackspace})
}

// A key that does anything must stand on the help page, which is made from the
// bindings: what the page does not name, nobody finds.
func TestEveryKeyThatDoesSomethingIsInTheHelp(t *testing.T) {
	nothing := func() {}
	say := func(string) (string, error) { return "", nil }
	player := &Player{Pause: nothing, Speed: func(float64) {}, Step: func(int) {}, Jump: func(float64) {}, Status: func() PlayStatus { return PlayStatus{Speed: 1, At: 5, End: 100} }}
	for name, act := range map[string]Actions{
		"live":   {Mark: func(string) {}, Refill: nothing, Stop: nothing, Bell: nothing, Enter: say, Limit: say},
		"vacuum": {Mark: func(string) {}, Close: nothing, Stop: nothing, Bell: nothing, Enter: say, Limit: say},
		"sensor": {Mark: func(string) {}, Refill: nothing, Stop: nothing, Bell: nothing, Limit: say},
		"replay": {Player: player, WhatIf: &WhatIf{Asks: []Ask{{Label: "volume"}}, Was: func(*hold.State) []string { return nil }}},
	} {
		for _, looking := range []bool{false, true} {
			does := keysThatDo(act, looking)
			if len(does) < 8 {
				t.Fatalf("%s: only %q do anything", name, does)
			}
			m := shownModel(act, looking)
			help := strings.Join(m.helpLines(), "\n")
			bindings := m.keys.all()
			if looking {
				bindings = append(bindings, newLenskeys().all()...)
			}
			for _, k := range does {
				i := slices.IndexFunc(bindings, func(b key.Binding) bool { return b.Enabled() && slices.Contains(b.Keys(), k) })
				if i < 0 || !strings.Contains(help, bindings[i].Help().Desc) {
					t.Errorf("%s, closer look %v: key %q does something and is not in the help", name, looking, k)
				}
			}
		}
	}
}

func shownModel(act Actions, looking bool) *Model {
	st := leakingState()
	m := New(&moving{st: st, now: st.Elapsed}, act, Options{Phone: []string{"http://localhost"}})
	m.Update(tea.WindowSizeMsg{Width: 120, Height: 40})
	if looking {
		m.openLens()
		m.readAt(20)
		m.zoom(0.5)
	}
	return m
}

// keysThatDo tries every key on a fresh screen and gives those that change it or ask for something.
func keysThatDo(act Actions, looking bool) (does []string) {
	for _, k := range everyKey() {
		if k.String() == "ctrl+c" {
			continue // ends the program everywhere, as q does
		}
		m := shownModel(act, looking)
		before := visible(m)
		if _, cmd := m.Update(k); cmd != nil || visible(m) != before {
			does = append(does, k.String())
		}
	}
	return does
}

// visible is what a key can have changed.
func visible(m *Model) string {
	return fmt.Sprint(m.mode, m.far, m.raw, m.lens, m.muted, m.scroll, m.notice, m.input.text.Value())
}

package holdscreen

import (
	"fmt"
	"strings"
	"testing"

	tea "github.com/charmbracelet/bubbletea"

	"example.org/holdfast/internal/hold"
	"example.org/holdfast/internal/tui/tuitest"
	"example.org/holdfast/internal/tui/ui"
)

// testGroup is a group of holds in all the states there are; stops counts how often each was ended.
func testGroup(t *testing.T) (g *Group, stops []int) {
	t.Helper()
	var holds []*Model
	all := []*hold.State{tightState(), leakingState(), fillingState(), lostState(), hostileState(), nil}
	stops = make([]int, len(all))
	for i, st := range all {
		holds = append(holds, New(feedOf(st, 1), Actions{Stop: func() { stops[i]++ }, Mark: func(string) {}, Bell: func() {}}, Options{Look: ui.Look{NoColor: true}}))
	}
	return NewGroup(holds), stops
}

// press sends keys and carries out what comes of them, as the terminal's loop would.
func press(g *Group, keys ...string) (quit bool) {
	var handle func(msg tea.Msg)
	run := func(cmd tea.Cmd) {
		if cmd == nil {
			return
		}
		handle(cmd())
	}
	handle = func(msg tea.Msg) {
		switch msg := msg.(type) {
		case nil:
		case tea.QuitMsg:
			quit = true
		case tea.BatchMsg:
			for _, c := range msg {
				run(c)
			}
		default:
			_, cmd := g.Update(msg)
			run(cmd)
		}
	}
	for _, k := range keys {
		handle(keyMsg(k))
	}
	return quit
}

func keyMsg(k string) tea.KeyMsg {
	switch k {
	case "tab":
		return tea.KeyMsg{Type: tea.KeyTab}
	case "ctrl+c":
		return tea.KeyMsg{Type: tea.KeyCtrlC}
	}
	return tea.KeyMsg{Type: tea.KeyRunes, Runes: []rune(k)}
}

func TestAGroupFitsEverySize(t *testing.T) {
	g, _ := testGroup(t)
	for _, w := range []int{1, 10, 40, 79, 80, 120, 200} {
		for _, h := range []int{1, 5, 12, 24, 40, 60} {
			g.Update(tea.WindowSizeMsg{Width: w, Height: h})
			for range g.holds {
				press(g, "tab")
				view, m := g.View(), g.holds[g.focus]
				what := fmt.Sprintf("hold %d at %dx%d", g.focus+1, w, h)
				tuitest.Fits(t, what, view, w, h, m.th.Look)
				if n := strings.Count(view, "\n") + 1; n != h {
					t.Fatalf("%s: %d lines", what, n)
				}
				if w < ui.LeastWidth || h < ui.LeastHeight {
					continue
				}
				press, _ := m.pressure(plain)
				coarse, _ := m.pressure(34)
				for _, need := range append(essential(m, view), fmt.Sprint(g.focus+1)) {
					if !strings.Contains(view, need) {
						t.Fatalf("%s: %q is not on the screen:\n%s", what, need, view)
					}
				}
				if !drawn(m, view, m.verdictWord()) || !drawn(m, view, press) && !drawn(m, view, coarse) {
					t.Fatalf("%s: no verdict or pressure:\n%s", what, view)
				}
			}
		}
	}
}

func TestKeysGoToTheHoldInFullAndOneEndsAlone(t *testing.T) {
	g, stops := testGroup(t)
	g.Update(tea.WindowSizeMsg{Width: 80, Height: 40})
	press(g, "tab")
	if quit := press(g, "q", "y"); quit {
		t.Fatal("ending one hold left the screen")
	}
	if stops[1] != 1 || g.focus == 1 || g.Stopped() {
		t.Errorf("stops %v, focus %d", stops, g.focus)
	}
	if quit := press(g, "ctrl+c", "n"); quit || stops[0] != 0 {
		t.Error("a no to ending all ended something")
	}
	if quit := press(g, "ctrl+c", "y"); !quit || !g.Stopped() {
		t.Error("a yes to ending all did not leave the screen")
	}
	for i, n := range stops {
		if n != 1 {
			t.Errorf("hold %d was ended %d times", i, n)
		}
	}
}

package holdscreen

import (
	"flag"
	"fmt"
	"testing"

	"github.com/charmbracelet/lipgloss"
	"github.com/charmbracelet/x/ansi"
	"github.com/muesli/termenv"

	tea "github.com/charmbracelet/bubbletea"

	"example.org/holdfast/internal/hold"
	"example.org/holdfast/internal/tui/tuitest"
	"example.org/holdfast/internal/tui/ui"
)

var update = flag.Bool("update", false, "write the golden frames anew; look at every one before committing")

func stripped(s string) string { return ansi.Strip(s) }

// The frames were looked at when they were written.
func TestFramesLookAsReviewed(t *testing.T) {
	lipgloss.SetColorProfile(termenv.ANSI256)
	for name, state := range map[string]func() *hold.State{"tight": tightState, "leaking": leakingState, "early": earlyState, "lost": lostState} {
		for _, size := range [][2]int{{80, 24}, {120, 40}, {40, 12}} {
			for look, l := range map[string]ui.Look{"": {NoColor: true}, "-ascii": {NoColor: true, ASCII: true}, "-colour": {}} {
				if look != "" && size[0] != 80 {
					continue
				}
				m := New(feedOf(state(), 0.4), Actions{Mark: func(string) {}, Refill: func() {}, Stop: func() {}}, Options{Look: l})
				if name == "lost" {
					m = New(feedOf(state(), 34), Actions{Mark: func(string) {}, Stop: func() {}}, Options{Look: l})
				}
				m.Update(tea.WindowSizeMsg{Width: size[0], Height: size[1]})
				tuitest.Golden(t, *update, fmt.Sprintf("%s-%dx%d%s", name, size[0], size[1], look), m.View())
			}
		}
	}
}

// The views that are one key away, looked at like the others.
func TestOtherViewsLookAsReviewed(t *testing.T) {
	lipgloss.SetColorProfile(termenv.ANSI256)
	for name, keys := range map[string][]string{"wall": {"w"}, "close": {"d"}, "lens": {"z", "up", "left"}, "whatif": {"i", "enter", "3%/h", "enter"}} {
		for _, size := range [][2]int{{80, 24}, {120, 40}, {40, 12}} {
			for look, l := range map[string]ui.Look{"": {NoColor: true}, "-ascii": {NoColor: true, ASCII: true}} {
				if look != "" && size[0] != 80 {
					continue
				}
				st := leakingState()
				b := &bench{Model: New(feedOf(st, 0.4), Actions{Mark: func(string) {}, Stop: func() {}, WhatIf: supposable(st)}, Options{Look: l})}
				b.suppose.Read = func(_ int, text string) (string, error) { return text, nil }
				b.Update(tea.WindowSizeMsg{Width: size[0], Height: size[1]})
				b.press(keys...)
				tuitest.Golden(t, *update, fmt.Sprintf("%s-%dx%d%s", name, size[0], size[1], look), b.View())
			}
		}
	}
}

// The screens beside the usual one: several holds, a rise under vacuum, a reading and a question under way.
func TestOtherScreensLookAsReviewed(t *testing.T) {
	plainLook := Options{Look: ui.Look{NoColor: true}}
	some := Actions{Mark: func(string) {}, Refill: func() {}, Stop: func() {}, Enter: func(string) (string, error) { return "", nil },
		Check: func(string) (string, error) { return "9.80 bar gauge, 21.5 C", nil }}
	single := func(st *hold.State, act Actions, keys ...string) func(w, h int) string {
		return func(w, h int) string {
			b := &bench{Model: New(feedOf(st, 0.4), act, plainLook)}
			b.Update(tea.WindowSizeMsg{Width: w, Height: h})
			b.press(keys...)
			return b.View()
		}
	}
	group := func(w, h int) string {
		var holds []*Model
		for i, st := range []*hold.State{leakingState(), tightState(), lostState(), earlyState()} {
			st.Header.Settings.Section = [...]string{"condenser", "evaporator, left", "suction line", "hose alone"}[i]
			holds = append(holds, New(feedOf(st, [...]float64{0.4, 0.4, 34, 12}[i]), Actions{Mark: some.Mark, Stop: some.Stop}, plainLook))
		}
		g := NewGroup(holds)
		g.Update(tea.WindowSizeMsg{Width: w, Height: h})
		press(g, "tab")
		return g.View()
	}
	for _, c := range []struct {
		name string
		view func(w, h int) string
		w, h int
	}{
		{"group", group, 80, 24}, {"group", group, 40, 12},
		{"filling", single(fillingState(), some), 80, 24},
		{"reading", single(fillingState(), some, "e", "9,8 bar 21.5"), 40, 12},
		{"marks", single(tightState(), some, "m"), 40, 12},
		{"refill", single(tightState(), some, "r"), 40, 12},
		{"vacuum", single(riseState(), Actions{Mark: some.Mark, Close: func() {}, Stop: some.Stop}), 80, 24},
		{"vacuum", single(riseState(), Actions{Mark: some.Mark, Close: func() {}, Stop: some.Stop}), 40, 12},
	} {
		tuitest.Golden(t, *update, fmt.Sprintf("%s-%dx%d", c.name, c.w, c.h), c.view(c.w, c.h))
	}
}

// The screen must cost next to nothing beside a hold: under 5 ms a frame at 200x60, chart redrawn each time.
func BenchmarkView200x60(b *testing.B) {
	lipgloss.SetColorProfile(termenv.TrueColor)
	m := New(feedOf(tightState(), 0.4), Actions{}, Options{})
	m.Update(tea.WindowSizeMsg{Width: 200, Height: 60})
	for b.Loop() {
		m.cache = picture{}
		_ = m.View()
	}
}

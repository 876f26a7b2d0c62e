package holdscreen

import (
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"testing"

	"github.com/charmbracelet/lipgloss"
	"github.com/charmbracelet/x/ansi"
	"github.com/muesli/termenv"

	tea "github.com/charmbracelet/bubbletea"

	"example.org/holdfast/internal/hold"
	"example.org/holdfast/internal/tui/ui"
)

var update = flag.Bool("update", false, "write the golden frames anew; look at every one before committing")

func stripped(s string) string { return ansi.Strip(s) }

// The frames were looked at by a person when they were written.
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
				compare(t, fmt.Sprintf("%s-%dx%d%s", name, size[0], size[1], look), m.View())
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
				compare(t, fmt.Sprintf("%s-%dx%d%s", name, size[0], size[1], look), b.View())
			}
		}
	}
}

func compare(t *testing.T, name, got string) {
	t.Helper()
	file := filepath.Join("testdata", name+".txt")
	got += "\n"
	if *update {
		if err := os.MkdirAll("testdata", 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(file, []byte(got), 0o644); err != nil {
			t.Fatal(err)
		}
		return
	}
	want, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	if got != string(want) {
		i := 0
		for i < len(got) && i < len(want) && got[i] == want[i] {
			i++
		}
		t.Errorf("%s differs from byte %d on:\ngot  %q\nwant %q", name, i, got[i:min(i+80, len(got))], want[i:min(i+80, len(want))])
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

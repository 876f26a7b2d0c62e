package holdscreen

import (
	"strings"
	"testing"

	tea "github.com/charmbracelet/bubbletea"
)

// Nobody may hold for two hours beside a record that is not written.
func TestADiskThatTakesNothingIsSaidAndRung(t *testing.T) {
	says := ""
	b := newBench(tightState(), Options{Unsaved: func() string { return says }})
	b.ticks(2)
	if b.count("bell") != 0 || strings.Contains(b.View(), "NOT SAVED") {
		t.Fatal("a disk that takes all is complained of")
	}
	says = "no space left on device"
	b.ticks(2)
	if b.count("bell") != 1 {
		t.Errorf("it rang %d times, want once", b.count("bell"))
	}
	for _, keys := range []string{"", "w"} { // near and far
		b.press(keys)
		if v := b.View(); !strings.Contains(v, "NOT SAVED: no space left on device; kept in memory") {
			t.Errorf("screen:\n%s", v)
		}
	}
	b.Update(tea.WindowSizeMsg{Width: 40, Height: 12})
	if v := b.View(); !strings.Contains(v, "NOT SAVED: disk refuses, make room") {
		t.Errorf("screen:\n%s", v)
	}
	says = ""
	b.ticks(1)
	if strings.Contains(b.View(), "NOT SAVED") {
		t.Error("it is said on after the disk takes all again")
	}
}

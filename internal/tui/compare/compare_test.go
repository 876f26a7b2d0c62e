package compare

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"github.com/charmbracelet/lipgloss"

	tea "github.com/charmbracelet/bubbletea"

	"example.org/holdfast/internal/hold"
	"example.org/holdfast/internal/holdlog"
	"example.org/holdfast/internal/tui/ui"
	"example.org/holdfast/internal/units"
)

// losing is a hold of half an hour in still air that loses share of its pressure an hour.
func losing(share float64) *hold.State {
	h := hold.New()
	h.Apply(holdlog.Record{Kind: holdlog.KindHeader, Header: &holdlog.Header{Settings: holdlog.Settings{Limit: "0.4%/h"}}})
	for at := 0.0; at <= 1800; at += 5 {
		s := holdlog.NoSample()
		s.Pressure, s.Ref, s.Ambient = 1e6*(1-share*at/3600)+20*math.Sin(at), units.AbsoluteRef, units.FromCelsius(20)
		h.Apply(holdlog.Record{Kind: holdlog.KindSample, Elapsed: at, Sample: s})
	}
	return h.State()
}

func model(look ui.Look) *Model {
	a, b := losing(0.02), losing(0)
	c, _ := hold.Compare(a, b)
	return New(Side{"before.jsonl", a}, Side{"after.jsonl", b}, c.Words(), look)
}

func TestBothHoldsAndTheirDifferenceAreShown(t *testing.T) {
	m := model(ui.Look{NoColor: true})
	m.Update(tea.WindowSizeMsg{Width: 100, Height: 30})
	v := m.View()
	for _, word := range []string{"before.jsonl", "after.jsonl", "LEAKING", "loses less: by", "mbar since the start", " first", " second", "25min"} {
		if !strings.Contains(v, word) {
			t.Errorf("%q is missing:\n%s", word, v)
		}
	}
}

// What is drawn is the loss: 2 % of 10 bar an hour is 100 mbar after half an hour, and nothing for the tight one.
func TestTheChartShowsTheLoss(t *testing.T) {
	m := model(ui.Look{})
	for i, want := range []float64{-100, 0} {
		pts := m.change(i)
		if got := pts[len(pts)-1].Y; math.Abs(got-want) > 5 {
			t.Errorf("hold %d ends at %.1f mbar, want %.0f", i+1, got, want)
		}
	}
}

func TestEverySizeFits(t *testing.T) {
	for _, look := range []ui.Look{{}, {ASCII: true}, {NoColor: true}} {
		m := model(look)
		for _, empty := range []bool{false, true} {
			if empty {
				m.sides[1].State = hold.New().State()
			}
			for _, w := range []int{1, 2, 5, 15, 39, 40, 60, 78, 80, 110, 120, 200} {
				for _, h := range []int{1, 2, 3, 8, 11, 12, 17, 22, 24, 40, 60} {
					m.Update(tea.WindowSizeMsg{Width: w, Height: h})
					what := fmt.Sprintf("%+v %dx%d", look, w, h)
					lines := strings.Split(m.View(), "\n")
					if len(lines) > h {
						t.Fatalf("%s: %d lines", what, len(lines))
					}
					for _, l := range lines {
						if lipgloss.Width(l) > w {
							t.Fatalf("%s: too wide: %q", what, l)
						}
						if look.ASCII && strings.ContainsFunc(l, func(r rune) bool { return r > 126 }) {
							t.Fatalf("%s: not ASCII: %q", what, l)
						}
					}
				}
			}
		}
	}
}

func TestQLeaves(t *testing.T) {
	_, cmd := model(ui.Look{}).Update(tea.KeyMsg{Type: tea.KeyRunes, Runes: []rune("q")})
	if cmd == nil {
		t.Fatal("q does nothing")
	}
	if _, ok := cmd().(tea.QuitMsg); !ok {
		t.Error("q does not leave")
	}
}

package compare

import (
	"flag"
	"fmt"
	"math"
	"strings"
	"testing"

	"github.com/charmbracelet/x/ansi"

	tea "github.com/charmbracelet/bubbletea"

	"example.org/holdfast/internal/decay"
	"example.org/holdfast/internal/hold"
	"example.org/holdfast/internal/holdlog"
	"example.org/holdfast/internal/tui/tuitest"
	"example.org/holdfast/internal/tui/ui"
	"example.org/holdfast/internal/units"
	"example.org/holdfast/internal/verdict"
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
					tuitest.Fits(t, what, m.View(), w, h, look)
					if w < ui.LeastWidth || h < ui.LeastHeight {
						continue
					}
					words := strings.Join(strings.Fields(m.View()), " ")
					for i, side := range m.sides {
						if need := [...]string{"first ", "second "}[i] + strings.ToUpper(string(side.State.Verdict.Word)); !strings.Contains(ansi.Strip(words), need) {
							t.Fatalf("%s: %q is not on the screen:\n%s", what, need, m.View())
						}
					}
					if !strings.Contains(words, "loses less: by") {
						t.Fatalf("%s: no word on the difference:\n%s", what, m.View())
					}
				}
			}
		}
	}
}

var update = flag.Bool("update", false, "write the frames anew; look at every one before committing")

// Two made-up holds; the frames were looked at.
func TestFramesLookAsReviewed(t *testing.T) {
	made := func(word verdict.Word, phrase string, rate float64) *hold.State {
		st := &hold.State{Estimate: decay.Estimate{Valid: true}, Verdict: verdict.Verdict{Word: word, Phrase: phrase}}
		st.Estimate.Rate.Value = rate
		for x := 0.0; x <= 3600; x += 30 {
			pa := 1e6 - rate*x + 40*math.Sin(x/200)
			st.Curve = append(st.Curve, decay.Point{T: x, Corrected: pa, Fit: 1e6 - rate*x})
		}
		return st
	}
	words := []string{"First 0.77 (0.68 to 0.86), second 0.0 (-0.1 to 0.1) %/h.", "The second loses less: by 0.77 (0.65 to 0.89) %/h."}
	for _, c := range []struct {
		name string
		look ui.Look
		w, h int
	}{{"", ui.Look{NoColor: true}, 80, 24}, {"", ui.Look{NoColor: true}, 40, 12}, {"-ascii", ui.Look{NoColor: true, ASCII: true}, 80, 24}} {
		m := New(Side{"condenser-1.jsonl", made(verdict.Leaking, "loses 640 g/yr", 2.1)}, Side{"condenser-2.jsonl", made(verdict.Tight, "nothing above 56 g/yr", 0.01)}, words, c.look)
		m.Update(tea.WindowSizeMsg{Width: c.w, Height: c.h})
		tuitest.Golden(t, *update, fmt.Sprintf("compare-%dx%d%s", c.w, c.h, c.name), m.View())
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

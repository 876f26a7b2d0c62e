package holdscreen

import (
	"errors"
	"slices"
	"strings"
	"testing"

	tea "github.com/charmbracelet/bubbletea"

	"example.org/holdfast/internal/hold"
)

// supposing opens the panel over a leaking hold that a wider limit would call tight.
func supposingBench(w, h int) (b *bench, judged *[][]string) {
	judged = &[][]string{}
	act := Actions{WhatIf: &WhatIf{
		Asks: []Ask{{"volume", "Of the section."}, {"limit", "0.4%/h."}},
		Was:  func(*hold.State) []string { return []string{"not known", "0.5%/h"} },
		Read: func(_ int, text string) (string, error) {
			if text == "x" {
				return "", errors.New("is no limit")
			}
			return text, nil
		},
		Judge: func(answers []string) (*hold.State, error) {
			*judged = append(*judged, answers)
			if answers[1] == "3%/h" {
				return tightState(), nil
			}
			return leakingState(), nil
		}}, Player: &Player{Status: func() PlayStatus { return PlayStatus{Speed: 1, End: 4000} }}}
	b = &bench{Model: New(feedOf(earlyState(), 0), act, Options{})}
	b.Update(tea.WindowSizeMsg{Width: w, Height: h})
	return b, judged
}

func TestWhatIfShowsBothVerdicts(t *testing.T) {
	for _, size := range [][2]int{{120, 40}, {80, 24}, {40, 12}} {
		b, judged := supposingBench(size[0], size[1])
		b.press("i")
		b.press("enter", "3%/h")
		if len(*judged) != 1 {
			t.Fatalf("judged while typing: %q", *judged)
		}
		b.press("enter")
		v := b.View()
		for _, word := range []string{"as recorded: LEAKING", "what if: TIGHT"} {
			if !strings.Contains(v, word) {
				t.Errorf("%v: %q is missing:\n%s", size, word, v)
			}
		}
		if !slices.Equal((*judged)[1], []string{"", "3%/h"}) {
			t.Errorf("judged %q", *judged)
		}
		b.press("esc", "i")
		if b.suppose.texts()[1] != "3%/h" {
			t.Error("Escape lost the answers")
		}
	}
}

func TestWhatIfDoesNotJudgeWhatCannotBeRead(t *testing.T) {
	b, judged := supposingBench(80, 24)
	b.press("i", "enter", "x", "enter")
	if len(*judged) != 1 || !strings.Contains(b.View(), "! is no limit") {
		t.Errorf("judged %q:\n%s", *judged, b.View())
	}
}

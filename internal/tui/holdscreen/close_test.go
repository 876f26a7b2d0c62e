package holdscreen

import (
	"errors"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	tea "github.com/charmbracelet/bubbletea"

	"example.org/holdfast/internal/decay"
	"example.org/holdfast/internal/hold"
)

// The noise that the page states must be that of the readings, however many
// stand behind a point: readings are drawn with a known deviation.
func TestTheNoiseStatedIsThatOfTheReadings(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 2))
	const sd = 40.0
	for _, per := range []int{3, 10, 60} {
		st := tightState()
		st.Curve = nil
		for i := range 300 {
			lo, hi := math.Inf(1), math.Inf(-1)
			for range per {
				v := 1e6 + sd*rng.NormFloat64()
				lo, hi = math.Min(lo, v), math.Max(hi, v)
			}
			st.Curve = append(st.Curve, decay.Point{T: float64(i * per), RawMin: lo, RawMax: hi})
		}
		st.Interval, st.Estimate.At = 1, float64(300*per)
		got, n := newBench(st, Options{}).noise()
		if math.Abs(got/sd-1) > 0.15 || math.Abs(n-float64(per)) > 0.1 {
			t.Errorf("%d readings a point: noise %.1f, want %.0f; %.1f a point", per, got, sd, n)
		}
	}
}

func TestThePageFromCloseByHasEverything(t *testing.T) {
	st := tightState()
	b := newBench(st, Options{Record: func() []string { return []string{"the log is evaporator.jsonl"} }})
	b.Update(tea.WindowSizeMsg{Width: 120, Height: 80})
	b.press("d")
	v := b.View()
	for _, word := range []string{"leak 3 (-21 to 27) mbar/h", "%/h", "sensor 10 %, temperature 60 %, heat of filling 30 %", "off the fit", "noise of one reading",
		"step 1.00 mbar", "2412 readings, 0 not usable", "the log is evaporator.jsonl", "last reading", "mark: door opened"} {
		if !strings.Contains(v, word) {
			t.Errorf("%q is missing:\n%s", word, v)
		}
	}
	if b.press("w"); !b.far || b.mode != watching {
		t.Error("the wall view is not one key away")
	}
}

func TestALimitIsEchoedSetAndNotLost(t *testing.T) {
	b := newBench(tightState(), Options{})
	var set []string
	b.act.Limits = func(s string) (string, error) { return "0.4 %/h, here 44 mbar/h", nil }
	b.act.Limit = func(s string) (string, error) { set = append(set, s); return "0.4 %/h", b.fail }
	b.keys.Limit.SetEnabled(true)
	b.press("l", "0.4", "esc", "l", "%/h")
	if v := b.View(); !strings.Contains(v, "limit: 0.4%/h_   read as 0.4 %/h, here 44 mbar/h   Enter: from now on") {
		t.Fatalf("not echoed, or lost by Escape:\n%s", v)
	}
	b.fail = errors.New("limit needs the volume")
	if b.press("enter"); b.mode != typingLimit || !strings.Contains(b.View(), "! limit needs the volume") {
		t.Fatalf("a refused limit closes the line:\n%s", b.View())
	}
	b.fail = nil
	if b.press("enter"); !slices.Equal(set, []string{"0.4%/h", "0.4%/h"}) || b.mode != watching || !strings.Contains(b.View(), "read as 0.4 %/h") {
		t.Errorf("set %q, mode %d", set, b.mode)
	}
}

func TestAMarkHalfTypedIsNotLost(t *testing.T) {
	b := newBench(tightState(), Options{})
	b.press("mt", "soap at", "esc", "mt", " e1", "enter")
	if b.count("mark soap at e1") != 1 {
		t.Errorf("calls %q", b.calls)
	}
}

// The desktop is told of each alarm once, in words, also where the bell is off.
func TestTheDesktopIsToldOnce(t *testing.T) {
	b := newBench(tightState(), Options{Quiet: true})
	var told []string
	b.act.Notify = func(s string) { told = append(told, s) }
	next := *b.feed.st
	next.Alarms = []hold.Alarm{{Elapsed: next.Elapsed, Kind: hold.AlarmLeak, Text: "a leak was called"}}
	b.feed.st = &next
	b.ticks(2*nagTicks + 1)
	if !slices.Equal(told, []string{"bottle cooler evaporator: a leak was called"}) || b.count("bell") > 0 {
		t.Errorf("told %q", told)
	}
}

package hold

import (
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"example.org/holdfast/internal/decay"
)

// The interval of a difference must hold the true one 95 times in 100 where
// those of the two holds do: 20 000 pairs of random estimates with known truth.
func TestTheIntervalOfADifferenceCovers(t *testing.T) {
	rng := rand.New(rand.NewPCG(5, 8))
	estimate := func(truth, sd float64) *State {
		v := truth + sd*rng.NormFloat64()
		return &State{Estimate: decay.Estimate{Valid: true, Start: 1e6, Rate: decay.Interval{Value: v, Lo: v - 1.96*sd, Hi: v + 1.96*sd}}}
	}
	const n = 20000
	covered := 0
	for range n {
		c, ok := Compare(estimate(30, 2), estimate(12, 5))
		if !ok {
			t.Fatal("no comparison")
		}
		if want := -18 * 3600 * 100 / 1e6; c.More.Lo <= want && want <= c.More.Hi {
			covered++
		}
	}
	if share := float64(covered) / n; math.Abs(share-0.95) > 0.01 {
		t.Errorf("covered %.3f of the differences, want 0.95", share)
	}
}

func TestADifferenceIsOnlySaidWhereItIsTold(t *testing.T) {
	state := func(value, half, start float64) *State {
		return &State{Estimate: decay.Estimate{Valid: true, Start: start, Rate: decay.Interval{Value: value, Lo: value - half, Hi: value + half}}}
	}
	for want, pair := range map[string][2]*State{
		"loses less: by 6.5 (":      {state(20, 1, 1e6), state(2, 1, 1e6)},
		"loses more: by 6.5 (":      {state(2, 1, 1e6), state(20, 1, 1e6)},
		"No difference can be told": {state(2, 2, 1e6), state(3, 2, 1e6)},
		"compares only roughly":     {state(2, 2, 1e6), state(3, 2, 8e5)},
		"second -0.1 (-0.8 to 0.6":  {state(2, 2, 1e6), state(-0.2, 2, 1e6)},
	} {
		c, _ := Compare(pair[0], pair[1])
		if s := strings.Join(c.Words(), " "); !strings.Contains(s, want) {
			t.Errorf("%q does not say %q", s, want)
		}
	}
	if _, ok := Compare(&State{}, state(1, 1, 1e6)); ok {
		t.Error("a hold without an estimate is compared")
	}
}

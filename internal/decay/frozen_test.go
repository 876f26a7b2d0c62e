package decay

import (
	"math"
	"slices"
	"testing"
)

// A sensor that was dead from the first reading draws the straightest line of all, and must not
// pass for a tight section. A coarse gauge whose step is stated may stand still.
func TestAPressureThatNeverMovedIsDoubted(t *testing.T) {
	for step, doubted := range map[float64]bool{0: true, 100: true, 10000: false} {
		h := New(Config{Step: step})
		for s := 0.0; s < 1800; s += 5 {
			h.Add(Sample{T: s, P: 1098200, Ambient: 294.65, Section: math.NaN()})
		}
		has := slices.ContainsFunc(h.Estimate().Warnings, func(w Warning) bool { return w.Code == NeverMoved })
		if has != doubted {
			t.Errorf("step %v Pa: doubted %v, want %v", step, has, doubted)
		}
	}
}

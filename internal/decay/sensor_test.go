package decay_test

import (
	"math"
	"testing"

	"example.org/holdfast/internal/decay"
)

// A gain error scales the leak by the same share: 1 % of full scale on a leak of
// 5 %/h cannot be known better than 1 %/sqrt(3); a zero that drifts by 100 Pa/K
// or a sensor that is not steady widens too; a stated accuracy costs a small
// leak next to nothing.
func TestWhatTheDataSheetSaysWidensTheInterval(t *testing.T) {
	width := func(leak float64, change func(c *decay.Config)) (decay.Interval, float64) {
		c := decay.Config{Gas: nitrogen, FullScale: 35e5}
		if change != nil {
			change(&c)
		}
		h := decay.New(c)
		for i := range 3600 {
			at := float64(i)
			room := 293 + 0.5*math.Sin(2*math.Pi*at/1200)
			p := 20e5*math.Exp(-leak*at/3600)*room/293 + 100*math.Sin(1e4*math.Sin(at))
			h.Add(decay.Sample{T: at, P: p, Ambient: room, Section: math.NaN()})
		}
		e := h.Estimate()
		return e.Rate, e.SE
	}
	accurate := func(c *decay.Config) { c.Accuracy = 35e3 }
	plain, se := width(0.05, nil)
	if _, with := width(0.05, accurate); with < math.Hypot(se, 0.9*0.01/math.Sqrt(3)*plain.Value) {
		t.Errorf("gain of 1 %%: standard uncertainty %.3g, without %.3g", with, se)
	}
	small, seSmall := width(0.001, nil)
	if _, with := width(0.001, accurate); with > 1.3*seSmall {
		t.Errorf("gain of 1 %% on a small leak of %.3g: standard uncertainty %.3g, without %.3g", small.Value, with, seSmall)
	}
	if _, with := width(0.001, func(c *decay.Config) { c.ZeroDrift = 5000 }); with <= seSmall {
		t.Errorf("a zero that drifts by 50 mbar/K: %.3g, without %.3g", with, seSmall)
	}
	if _, with := width(0.001, func(c *decay.Config) { c.Stability = 5000 }); with < 5000.0/3600 {
		t.Errorf("a sensor that strays by 5000 Pa/h: standard uncertainty only %.3g Pa/s", with)
	}
}

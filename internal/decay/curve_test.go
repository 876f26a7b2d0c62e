package decay

import (
	"math"
	"math/rand/v2"
	"testing"

	"example.org/holdfast/internal/bench"
)

// The curve of a leak that opened shows what happened: level until then, falling since, and the
// fit along it. A steady leak laid through both would start above the filling and miss it all the way.
func TestTheCurveOfALeakThatOpenedHasItsBend(t *testing.T) {
	p := bench.RandomParams(rand.New(rand.NewPCG(5, 6)), bench.PhysicsA)
	p.Leak, p.LeakOpensAt, p.Hold, p.Interval = 0.06, 2400, 5400, 2
	b := bench.New(p, 3)
	h := New(Config{Gas: p.Gas.Plain(), FullScale: float64(p.Sensor.Range)})
	for s := 0.0; s <= p.Hold; s += p.Interval {
		x := b.At(s)
		h.Add(Sample{T: s, P: float64(x.Pressure), Ambient: float64(x.Ambient), Section: float64(x.Section)})
	}
	e := h.Estimate()
	if e.OpenedAt < 0 {
		t.Fatal("not told as one that opened: this shows nothing")
	}
	if off := e.Level/e.Start - 1; math.Abs(off) > 0.03 {
		t.Errorf("level at the start %.2f %% off the filling, more than the heat of filling makes", 100*off)
	}
	lo, hi, far := math.Inf(1), math.Inf(-1), 0.0
	for _, x := range h.Curve() {
		if x.T < 600 {
			continue // cooling from the filling
		}
		if x.T < p.LeakOpensAt {
			lo, hi = min(lo, x.Corrected), max(hi, x.Corrected)
		}
		far = max(far, math.Abs(x.Fit-x.Corrected))
	}
	lost := e.Level - e.Corrected
	if hi-lo > lost/5 || far > lost/5 {
		t.Errorf("lost %.0f Pa; before it opened the corrected curve spans %.0f Pa, and the fit is off by up to %.0f Pa", lost, hi-lo, far)
	}
	ahead := h.Project(p.Hold+600, 2)
	if want := e.Rate.Value * 600; math.Abs(ahead[0].Mid-ahead[1].Mid-want) > want/5 || math.Abs(ahead[0].Mid-e.Corrected) > lost/5 {
		t.Errorf("goes on from %.0f Pa by %.0f Pa in ten minutes, want from %.0f by %.0f", ahead[0].Mid, ahead[0].Mid-ahead[1].Mid, e.Corrected, want)
	}
}

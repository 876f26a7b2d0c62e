package decay

import (
	"math/rand/v2"
	"testing"

	"example.org/holdfast/internal/bench"
)

// A part that was brazed minutes ago goes on cooling through the hold: 12 K of the gas that die out
// within half an hour fall faster than most leaks. Who says so is not rung at for it; a
// leak of 1 %/h beside it still is.
func TestBrazingThatIsSaidDoesNotRing(t *testing.T) {
	t.Parallel()
	const holds = 4
	rang := func(leak float64, said bool) (n int) {
		for i := range uint64(holds) {
			kind := []bench.Physics{bench.PhysicsA, bench.PhysicsB, bench.PhysicsC, bench.PhysicsD}[i%4]
			p := bench.RandomParams(rand.New(rand.NewPCG(71, i)), kind)
			p.Leak, p.Hold, p.Interval = leak, 4500, 5
			p.Thermal.Braze = []bench.Heat{{Rise: 12, Tau: 1500}}
			b := bench.New(p, i)
			h := New(Config{Gas: p.Gas.Plain(), FullScale: float64(p.Sensor.Range), Brazed: said})
			for s := 0.0; s <= p.Hold; s += p.Interval {
				x := b.At(s)
				h.Add(Sample{T: s, P: float64(x.Pressure), Ambient: float64(x.Ambient), Section: float64(x.Section)})
			}
			if h.Estimate().CalledAt >= 0 {
				n++
			}
		}
		return n
	}
	if n := rang(0, true); n > 0 {
		t.Errorf("tight, said: rang in %d of %d", n, holds)
	}
	if n := rang(0, false); n == 0 {
		t.Error("tight, not said: never rang, so this shows nothing")
	}
	if n := rang(0.01, true); n < holds-1 {
		t.Errorf("leak of 1 %%/h, said: rang in %d of %d only", n, holds)
	}
}

package decay_test

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"example.org/holdfast/internal/bench"
	"example.org/holdfast/internal/decay"
)

// rangAt draws a hold of the population with the given leak and says when it
// rang within its first minutes; 0 = it did not.
func rangAt(i int, leak float64) float64 {
	const minutes = 9 * 60.0
	kind := []bench.Physics{bench.PhysicsA, bench.PhysicsB, bench.PhysicsC, bench.PhysicsD}[i%4]
	p := bench.RandomParams(rand.New(rand.NewPCG(77, uint64(i))), kind)
	p.Leak, p.Hold = leak, minutes
	b := bench.New(p, uint64(i))
	p = b.Params()
	h := decay.New(decay.Config{Gas: p.Gas.Plain(), FullScale: float64(p.Sensor.Range)})
	for t := 0.0; t < minutes; t += p.Interval {
		s := b.At(t)
		h.Add(decay.Sample{T: t, P: float64(s.Pressure), Ambient: float64(s.Ambient), Section: math.NaN()})
	}
	return max(h.Estimate().CalledAt, 0)
}

// A pinhole rings before the eight minutes that smaller leaks are given, and no
// tight section does, freshly brazed ones among them, though all of them fall
// while they cool.
func TestPinholesRingEarlyAndCoolingDoesNot(t *testing.T) {
	t.Parallel()
	for i := range 200 {
		if at := rangAt(i, 0); at > 0 {
			t.Errorf("tight hold %d rang after %.0f s", i, at)
		}
	}
	for leak, most := range map[float64]float64{0.3: 400, 0.6: 280, 1: 240} {
		var at []float64
		for i := range 20 {
			at = append(at, rangAt(i, leak))
		}
		slices.Sort(at)
		if median := at[len(at)/2]; at[0] == 0 || median > most {
			t.Errorf("%.0f %%/h: median %.0f s, want at most %.0f; first %.0f", 100*leak, median, most, at[0])
		}
	}
}

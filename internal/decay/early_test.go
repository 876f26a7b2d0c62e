package decay_test

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"example.org/holdfast/internal/bench"
	"example.org/holdfast/internal/decay"
)

// rangAt draws a hold of the population with the given leak, glowing or not, and
// says when it rang within its first minutes; 0 = it did not.
func rangAt(i int, leak float64, glowing bool) float64 {
	const minutes = 8.3 * 60
	kind := []bench.Physics{bench.PhysicsA, bench.PhysicsB, bench.PhysicsC, bench.PhysicsD}[i%4]
	rng := rand.New(rand.NewPCG(78, uint64(i)))
	p := bench.RandomParams(rng, kind)
	p.Leak, p.Hold = leak, minutes
	if glowing { // all of the gas still 15 to 18 K warm from brazing, and nobody said so
		p.Thermal.Wall = nil
		p.Thermal.Braze = []bench.Heat{{Rise: 15 + 3*rng.Float64(), Tau: 300 + 900*rng.Float64()}}
	}
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
		if at := rangAt(i, 0, false); at > 0 {
			t.Errorf("tight hold %d rang after %.0f s", i, at)
		}
	}
	for i := range 100 {
		if at := rangAt(i, 0, true); at > 0 && at < 480 {
			t.Errorf("tight hold %d, hot from brazing, rang after %.0f s", i, at)
		}
	}
	for leak, most := range map[float64]float64{0.3: 400, 0.6: 280, 1: 240} {
		var at []float64
		for i := range 20 {
			at = append(at, rangAt(i, leak, false))
		}
		slices.Sort(at)
		if median := at[len(at)/2]; at[0] == 0 || median > most {
			t.Errorf("%.0f %%/h: median %.0f s, want at most %.0f; first %.0f", 100*leak, median, most, at[0])
		}
	}
}

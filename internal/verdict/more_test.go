package verdict_test

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"example.org/holdfast/internal/bench"
	"example.org/holdfast/internal/decay"
	"example.org/holdfast/internal/units"
	"example.org/holdfast/internal/verdict"
)

const lookEvery = 300.0 // s

// long is one hold of eight hours, looked at every five minutes.
type long struct {
	limit units.PressureRate
	looks []decay.Estimate
}

// play simulates a hold: physics, room, sensor and a limit drawn at random; half
// of them have no leak, the others one of a third of the limit, or of three times it.
func play(seed uint64) long {
	rng := rand.New(rand.NewPCG(seed, 5))
	p := bench.RandomParams(rng, []bench.Physics{bench.PhysicsA, bench.PhysicsB, bench.PhysicsC, bench.PhysicsD}[seed%4])
	p.Hold, p.Interval = 8*3600, 5
	start := float64(p.StartPressure)
	l := long{limit: units.PaPerHour(start * 0.0001 * math.Pow(20, rng.Float64()))}
	p.Leak = []float64{0, 0, 0.3, 3}[rng.IntN(4)] * l.limit.PerHour() / start
	b := bench.New(p, seed)
	h := decay.New(decay.Config{Gas: p.Gas.Plain(), FullScale: float64(p.Sensor.Range), Step: float64(p.Sensor.Step), TempStep: 0.0625, LookEvery: lookEvery})
	for t := 0.0; t <= p.Hold; t += p.Interval {
		x := b.At(t)
		h.Add(decay.Sample{T: t, P: float64(x.Pressure), Ambient: float64(x.Ambient), Section: float64(x.Section)})
		if math.Mod(t, lookEvery) == 0 {
			l.looks = append(l.looks, h.Estimate())
		}
	}
	return l
}

// more is how much longer the verdict at a time says that it needs, and how much
// longer it then took, s; took < 0 = it was open to the end; said <= 0 = nothing was said.
func (l long) more(ask, holdFor float64) (said, took float64) {
	for i, e := range l.looks {
		t := float64(i) * lookEvery
		if t < ask {
			continue
		}
		v := verdict.Judge(verdict.Input{
			Estimate: e, Elapsed: t, Final: t >= holdFor, HoldFor: holdFor, Unit: "bar",
			Limit:   verdict.Limit{Set: true, Rate: l.limit},
			Figures: func(r units.PressureRate) verdict.Figures { return verdict.Figures{Rate: r} },
		})
		switch {
		case t == ask && (v.Word != verdict.Unproven || v.MoreHold <= 0):
			return 0, 0
		case t == ask:
			said = v.MoreHold
		case v.Word != verdict.Unproven:
			return said, t - ask
		}
	}
	return said, -1
}

// The time that an open hold is said to need still is, in the median of
// simulated holds, within a factor of 1.5 of what it then takes.
func TestMoreHoldIsWhatItThenTakes(t *testing.T) {
	holds := make([]long, 32)
	for i := range holds {
		holds[i] = play(uint64(i))
	}
	for _, c := range []struct{ ask, holdFor float64 }{{1200, 1800}, {1800, 1800}, {2700, 1800}, {3600, 3600}, {1800, 7200}, {3600, 7200}} {
		var ratio []float64
		for _, l := range holds {
			if said, took := l.more(c.ask, c.holdFor); said > 0 && took > 0 {
				ratio = append(ratio, said/took)
			}
		}
		slices.Sort(ratio)
		n := len(ratio)
		if n < 10 {
			t.Fatalf("asked at %g s: only %d holds were open and then decided", c.ask, n)
		}
		median := ratio[n/2]
		t.Logf("asked at %g s of %g: of %d holds it says %.2f times what it takes (median), quartiles %.2f and %.2f", c.ask, c.holdFor, n, median, ratio[n/4], ratio[3*n/4])
		if median < 1/1.5 || median > 1.5 {
			t.Errorf("asked at %g s of %g: it says %.2f times what it takes", c.ask, c.holdFor, median)
		}
	}
}

package verdict_test

import (
	"math"
	"math/rand/v2"
	"slices"
	"strings"
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

// Where waiting helps, the first reason says until when.
func TestTheFirstReasonOfAnOpenHoldSaysUntilWhen(t *testing.T) {
	in := verdict.Input{
		Estimate: decay.Estimate{Valid: true, At: 3600, Start: 20e5, SE: 1, Rate: decay.Interval{Value: 1, Lo: -0.96, Hi: 2.96}, CalledAt: -1, OpenedAt: -1, UpsetAt: -1},
		Limit:    verdict.Limit{Set: true, Rate: 2}, Elapsed: 3600, HoldFor: 7200, Unit: "bar",
		Figures: func(r units.PressureRate) verdict.Figures { return verdict.Figures{Rate: r} },
	}
	v := verdict.Judge(in)
	until := math.Ceil((3600+v.MoreHold)/300) * 300
	if want := "wait until about " + units.FormatHeld(until) + " after the filling"; v.MoreHold <= 0 || !strings.Contains(v.Reasons[0], want) {
		t.Errorf("%g s more: first reason %q, want %q in it", v.MoreHold, v.Reasons[0], want)
	}
	in.Estimate.Changing = 3500
	if v := verdict.Judge(in); v.MoreHold != 620 || !strings.Contains(v.Reasons[0], "1h15m") {
		t.Errorf("something changed at 3500 s: %g s more, first reason %q", v.MoreHold, v.Reasons[0])
	}
}

// The largest part of the width is named, and what helps against that part.
func TestTheLargestPartOfTheWidthIsNamed(t *testing.T) {
	blind := []decay.Warning{{Code: "no thermometer"}}
	for _, c := range []struct {
		name         string
		e            decay.Estimate
		byHand       bool
		onPart       bool
		from, remedy string
	}{
		{"a fine sensor", decay.Estimate{WidthSensor: 0.6, WidthTemperature: 0.4}, false, false, "pressure sensor", "range closer"},
		{"a coarse display", decay.Estimate{WidthSensor: 0.6, WidthTemperature: 0.4, Coarse: 1e4}, false, false, "steps of the display, 0.10 bar", "finer steps"},
		{"a coarse display without a thermometer", decay.Estimate{WidthSensor: 0.6, WidthTemperature: 0.4, Coarse: 1e4, Warnings: blind}, false, false, "steps of the display", "finer steps"},
		{"no thermometer", decay.Estimate{WidthSensor: 0.1, WidthTemperature: 0.9, Warnings: blind}, false, false, "there is no thermometer", "A thermometer beside"},
		{"by eye", decay.Estimate{WidthSensor: 0.5, WidthTemperature: 0.5, Coarse: 1e4}, true, false, "by eye", "finer gauge"},
		{"filling", decay.Estimate{WidthSensor: 0.2, WidthTemperature: 0.3, WidthSettling: 0.5}, false, false, "filling", "Only time"},
		{"room", decay.Estimate{WidthSensor: 0.2, WidthTemperature: 0.5, WidthSettling: 0.3}, false, false, "temperature of the gas", "strapped to the part"},
		{"room, with a thermometer on the part", decay.Estimate{WidthSensor: 0.2, WidthTemperature: 0.5, WidthSettling: 0.3}, false, true, "temperature of the gas", "Insulation over"},
	} {
		c.e.Valid, c.e.At, c.e.SE, c.e.CalledAt, c.e.OpenedAt, c.e.UpsetAt = true, 3600, 1, -1, -1, -1
		v := verdict.Judge(verdict.Input{Estimate: c.e, ByHand: c.byHand, OnPart: c.onPart, Unit: "bar", Elapsed: 3600,
			Figures: func(r units.PressureRate) verdict.Figures { return verdict.Figures{Rate: r} }})
		last := v.Reasons[len(v.Reasons)-1]
		if !strings.Contains(last, c.from) || !strings.Contains(v.Narrower, c.remedy) {
			t.Errorf("%s: %q, %q; want %q and %q", c.name, last, v.Narrower, c.from, c.remedy)
		}
	}
}

package plan

import (
	"flag"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"example.org/holdfast/internal/bench"
	"example.org/holdfast/internal/decay"
	"example.org/holdfast/internal/gas"
)

const promiseStart = 11e5 // Pa absolute

var full = flag.Bool("promise-full", false, "hold every instrument to its promise, at every time that a plan states (half an hour of one core)")

// watch is a set of instruments whose promise is put to the test.
type watch struct {
	name string
	with Instruments
}

// watches are the usual instruments first, then others that people have.
func watches() []watch {
	return []watch{
		{"thermometer in the room", Instruments{}.filled()},
		{"thermometer on the part", Instruments{Thermometer: OnPart}.filled()},
		{"sensor of 16 bar", Instruments{Range: 16e5}.filled()},
		{"no thermometer", Instruments{Thermometer: NoThermometer}.filled()},
		{"noisy, 10 bits of 30 bar", Instruments{Range: 30e5, Noise: 2000, Step: 2930}.filled()},
		{"quiet, 10 bits of 30 bar", Instruments{Range: 30e5, Noise: 500, Step: 2930}.filled()},
		{"still, 10 bits of 30 bar", Instruments{Range: 30e5, Noise: 100, Step: 2930}.filled()},
		{"needle, every 10 min", Instruments{ByHand: true}.filled()},
		{"needle, every 5 min", Instruments{ByHand: true, Interval: 300}.filled()},
	}
}

// benchHold simulates a tight hold of some hours and gives its uncertainty and
// its upper bound (value + 2 standard uncertainties), Pa/h. The physics are the
// bench's: parts, fills and rooms drawn at random, nothing of the nominal hold.
func benchHold(seed uint64, kind bench.Physics, room bench.RoomKind, with Instruments, hours float64) (se, upper float64) {
	rng := rand.New(rand.NewPCG(seed, 7))
	p := bench.RandomParams(rng, kind)
	p.Leak, p.StartPressure, p.Hold, p.Thermal.Braze = 0, promiseStart, 3600*hours, nil
	p.Room = bench.RandomRoom(rng, room)
	p.Sensor.Range, p.Sensor.Noise, p.Sensor.Step = with.Range, with.Noise, max(with.Step, 10)
	p.RoomProbe.Step = with.TempStep
	if with.Thermometer == OnPart {
		p.SectionProbe = bench.Thermometer{Lag: 15, Noise: 0.02, Step: with.TempStep}
	}
	b := bench.New(p, seed)
	h := decay.New(decay.Config{
		Gas: gas.Nitrogen().Plain(), FullScale: float64(with.Range), Step: float64(p.Sensor.Step),
		TempStep: float64(with.TempStep), LookEvery: max(120, 60*hours),
	})
	for t := 0.0; t <= 3600*hours; t += with.Interval {
		x := b.At(t)
		s := decay.Sample{T: t, P: float64(x.Pressure), Ambient: float64(x.Ambient), Section: float64(x.Section)}
		if with.Thermometer == NoThermometer {
			s.Ambient = math.NaN()
		}
		h.Add(s)
	}
	e := h.Estimate()
	return 3600 * e.SE, 3600 * (e.Rate.Value + sure*e.SE)
}

// population is what many such holds come to.
func population(n int, room bench.RoomKind, with Instruments, hours float64) (half, median, nine float64) {
	var se, upper []float64
	for i := range n {
		kind := []bench.Physics{bench.PhysicsA, bench.PhysicsB, bench.PhysicsC, bench.PhysicsD}[i%4]
		s, u := benchHold(uint64(i), kind, room, with, hours)
		se, upper = append(se, s), append(upper, u)
	}
	slices.Sort(se)
	slices.Sort(upper)
	return sure * se[n/2], upper[n/2], upper[n*9/10]
}

// What the plan promises is met by simulated holds that the nominal one knows
// nothing of: the median of twice their standard uncertainty within 25 %, at
// least half of them are proven tight at the promised figure, and nine in ten at the stated factor above it.
func TestPromiseIsMetBySimulatedHolds(t *testing.T) {
	const n = 24
	all, times := watches()[:2], []float64{1, 2}
	if *full {
		all, times = watches(), []float64{0.5, 1, 2, 4, 12, 24}
	}
	for _, w := range all {
		looks := nominal{gas: gas.Nitrogen(), start: promiseStart, with: w.with}.looks(3600 * times[len(times)-1])
		for _, hours := range times {
			look := seen(looks, 3600*hours)
			if math.IsInf(float64(look.SE), 1) {
				continue // a plan states nothing for it either
			}
			promise := 3600 * float64(look.proves())
			half, median, nine := population(n, bench.Still, w.with, hours)
			name := fmt.Sprintf("%s, %g h", w.name, hours)
			still, _ := w.with.spread()
			stated := 3600 * float64(look.provesIn(still))
			t.Logf("%-30s promise %6.0f Pa/h, half-width %6.0f (%+4.0f %%), upper bound %6.0f (median) %6.0f (nine in ten; stated %.0f)",
				name, promise, half, 100*(promise/half-1), median, nine, stated)
			if off := promise/half - 1; math.Abs(off) > 0.25 && !(w.with.still() && hours < 1 && off > 0) { // there it promises too little
				t.Errorf("%s: promise %.0f Pa/h, simulated half-width %.0f", name, promise, half)
			}
			if median > 1.2*promise {
				t.Errorf("%s: promise %.0f Pa/h, but half of the simulated holds prove no better than %.0f", name, promise, median)
			}
			least, most := 0.6, 1.1
			switch {
			case w.with.Stuck():
				least, most = 0.25, 2 // when it steps is chance, and what nine of ten prove is hardly more than a guess
			case hours < 1:
				least, most = 0.5, 1.15
			}
			if nine > most*stated || nine < least*stated {
				t.Errorf("%s: nine in ten prove %.0f Pa/h, stated %.0f", name, nine, stated)
			}
		}
	}
}

// In a room with doors or a heater the stated factor holds too, after an hour.
func TestRestlessRoomIsNoWorseThanStated(t *testing.T) {
	all := watches()[:2]
	if *full {
		all = watches()
	}
	for _, w := range all {
		nom := nominal{gas: gas.Nitrogen(), start: promiseStart, with: w.with}
		_, restless := nom.with.spread()
		stated := 3600 * float64(seen(nom.looks(3600), 3600).provesIn(restless))
		worst := 0.0
		for _, room := range []bench.RoomKind{bench.Door, bench.Heater} {
			_, _, nine := population(20, room, w.with, 1)
			worst = max(worst, nine)
		}
		t.Logf("%s: nine in ten prove %.0f Pa/h, stated %.0f", w.name, worst, stated)
		if worst > 1.1*stated && !w.with.Stuck() || worst > 2*stated || worst < 0.5*stated {
			t.Errorf("%s: nine in ten prove %.0f Pa/h, stated %.0f", w.name, worst, stated)
		}
	}
}

// The promise for a hold that was done is that of the plan for the same hold, by
// a sensor and by eye; none is made for one without pressure or too short for any word.
func TestPromiseOfAHoldDoneIsThatOfItsPlan(t *testing.T) {
	for _, with := range []Instruments{{Thermometer: OnPart}, {ByHand: true}} {
		w := Watched{Gas: "argon", Start: promiseStart, Atmosphere: 101325, With: with, Seconds: 2 * 3600}
		rate, ok := Promise(w)
		n := nominal{gas: mustGas(t, "argon"), start: promiseStart, atmosphere: 101325, with: with.filled()}
		if want := seen(n.looks(day), w.Seconds).proves(); !ok || math.Abs(float64(rate/want)-1) > 0.02 {
			t.Errorf("%+v: %v, %t; the plan says %v", with, rate, ok, want)
		}
	}
	for _, w := range []Watched{{Start: promiseStart, Seconds: 300}, {Start: 90000, Atmosphere: 101325, Seconds: 3600}, {Gas: "no gas", Start: promiseStart, Seconds: 3600}} {
		if rate, ok := Promise(w); ok {
			t.Errorf("%+v: promised %v", w, rate)
		}
	}
}

func mustGas(t *testing.T, name string) gas.Gas {
	t.Helper()
	g, err := gas.Lookup(name)
	if err != nil {
		t.Fatal(err)
	}
	return g
}

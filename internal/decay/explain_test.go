package decay_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"example.org/holdfast/internal/bench"
	"example.org/holdfast/internal/decay"
)

// oddity makes something of a sample that the bench cannot: what stands in the
// hold's beginning is for it to use.
type oddity func(rng *rand.Rand, p *bench.Params, start, now, other bench.Sample) (pressure, room float64)

// heldUp is a supply valve left open: the regulator keeps the pressure.
func heldUp(rng *rand.Rand, p *bench.Params, start, _, _ bench.Sample) (float64, float64) {
	reading := float64(start.TruePressure) + float64(p.Sensor.Noise)*rng.NormFloat64()
	step := float64(p.Sensor.Step)
	return step * math.Round(reading/step), math.NaN()
}

// boilsOff is refrigerant that comes out of oil: 0.3 bar, most of it within the hour.
func boilsOff(_ *rand.Rand, _ *bench.Params, _, now, _ bench.Sample) (float64, float64) {
	return float64(now.Pressure) + 0.3e5*(1-math.Exp(-now.T/1500)), math.NaN()
}

// reversed is a thermometer at the outlet of what cools when the room warms.
func reversed(_ *rand.Rand, _ *bench.Params, start, now, _ bench.Sample) (float64, float64) {
	return float64(now.Pressure), 2*float64(start.Ambient) - float64(now.Ambient)
}

// nextDoor is a thermometer in another room.
func nextDoor(_ *rand.Rand, _ *bench.Params, _, now, other bench.Sample) (float64, float64) {
	return float64(now.Pressure), float64(other.Ambient)
}

// playOdd plays hold i of two hours, half of them tight, with an oddity.
func playOdd(i int, odd oddity) (decay.Estimate, bench.Params) {
	rng := rand.New(rand.NewPCG(77, uint64(i)))
	kind := []bench.Physics{bench.PhysicsA, bench.PhysicsB, bench.PhysicsC}[i%3]
	p := bench.RandomParams(rng, kind)
	p.Hold = 7200
	p.Room = bench.RandomRoom(rng, bench.Heater)
	if i%2 == 0 {
		p.Leak = 0
	}
	elsewhere := p
	elsewhere.Room = bench.RandomRoom(rng, bench.Heater)
	here, there := bench.New(p, uint64(i)), bench.New(elsewhere, uint64(1000+i))
	h := decay.New(config(p))
	start := here.At(0)
	for t := 0.0; t <= p.Hold; t += p.Interval {
		now := here.At(t)
		s := decay.Sample{T: t, P: float64(now.Pressure), Ambient: float64(now.Ambient), Section: math.NaN()}
		if odd != nil {
			pressure, room := odd(rng, &p, start, now, there.At(t))
			s.P = pressure
			if !math.IsNaN(room) {
				s.Ambient = room
			}
		}
		h.Add(s)
	}
	return h.Estimate(), p
}

// In a room whose heater switches, each oddity must be told where the evidence
// suffices, which is not always, and another must hardly ever be told instead.
func TestOddHoldsAreToldApart(t *testing.T) {
	n := size(6, 24)
	supplied, levels, astray := (*decay.Estimate).Supplied, (*decay.Estimate).Levels, (*decay.Estimate).Astray
	for _, c := range []struct {
		name  string
		odd   oddity
		tells func(*decay.Estimate) bool
		share float64 // told at least
		other []func(*decay.Estimate) bool
	}{
		{"supply valve left open", heldUp, supplied, 0.5, []func(*decay.Estimate) bool{astray}},
		{"refrigerant boiling off", boilsOff, levels, 0.9, []func(*decay.Estimate) bool{supplied, astray}},
		{"thermometer reversed", reversed, astray, 0.8, []func(*decay.Estimate) bool{supplied, levels}},
		{"thermometer in another room", nextDoor, astray, 0.1, []func(*decay.Estimate) bool{supplied, levels}},
	} {
		told, wrong := 0, 0
		for i := range n {
			e, _ := playOdd(i, c.odd)
			if c.tells(&e) {
				told++
			}
			for _, tells := range c.other {
				if tells(&e) {
					wrong++
				}
			}
		}
		t.Logf("%s: told %d of %d, something else instead %d", c.name, told, n, wrong)
		if told < least(n, c.share) || wrong > most(n, 0.05) {
			t.Errorf("%s: told %d of %d, something else instead %d", c.name, told, n, wrong)
		}
	}
}

func TestPlainHoldsAreNotCalledOdd(t *testing.T) {
	s := sample{n: size(24, 400), seed: 41, change: func(_ int, _ *rand.Rand, p *bench.Params) {
		p.Hold = math.Min(math.Max(p.Hold, 3600), 7200)
	}}
	odd, touched, stepped := 0, 0, 0
	for _, o := range s.play() {
		if o.est.Supplied() || o.est.Levels() || o.est.Astray() {
			odd++
		}
		for _, w := range o.est.Warnings {
			switch w.Code {
			case "thermometer touched":
				touched++
			case "sensor step", decay.ManySteps:
				stepped++
			}
		}
	}
	t.Logf("of %d plain holds: called odd %d, thermometer touched %d, sensor stepped %d", s.n, odd, touched, stepped)
	for name, k := range map[string]int{"odd": odd, "touched": touched, "stepped": stepped} {
		if k > 1+s.n/50 {
			t.Errorf("%d of %d plain holds called %s", k, s.n, name)
		}
	}
}

package decay_test

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"example.org/holdfast/internal/bench"
	"example.org/holdfast/internal/decay"
	"example.org/holdfast/internal/units"
)

// paced plays hold i of the population, an hour long with a small leak or none,
// with samples at the times that next gives, and reports the estimate and the truth in Pa/s.
func paced(i int, change func(p *bench.Params), next func(rng *rand.Rand, t float64) float64, step float64) (decay.Estimate, float64) {
	rng := rand.New(rand.NewPCG(53, uint64(i)))
	kind := []bench.Physics{bench.PhysicsA, bench.PhysicsB, bench.PhysicsC, bench.PhysicsD}[i%4]
	p := bench.RandomParams(rng, kind)
	p.Hold, p.Leak = 3600, 0
	if i%2 == 1 {
		p.Leak = 0.002 + 0.02*rng.Float64()
	}
	if change != nil {
		change(&p)
	}
	b := bench.New(p, uint64(i))
	h := decay.New(decay.Config{Gas: p.Gas.Plain(), FullScale: float64(p.Sensor.Range)})
	for t := 0.0; t <= p.Hold; t = next(rng, t) {
		x := b.At(t)
		h.Add(decay.Sample{T: t, P: float64(x.Pressure), Ambient: float64(x.Ambient), Section: math.NaN(), Step: step})
	}
	return h.Estimate(), float64(b.Truth().Rate)
}

// eye makes the instruments a scale with the given divisions (Pa) and a room
// thermometer read to half a kelvin.
func eye(division units.PressureDiff) func(p *bench.Params) {
	return func(p *bench.Params) {
		p.Sensor.Step, p.Sensor.Noise = division, division/10
		p.RoomProbe.Step = 0.5
	}
}

// Whatever the pace, the interval must hold the truth about as often as it says.
func TestEveryPaceGivesAnHonestInterval(t *testing.T) {
	every := func(dt float64) func(*rand.Rand, float64) float64 {
		return func(_ *rand.Rand, t float64) float64 { return t + dt }
	}
	for _, c := range []struct {
		name   string
		change func(p *bench.Params)
		next   func(rng *rand.Rand, t float64) float64
		step   float64 // Pa, said with each sample
		n      int
	}{
		{"gaps of 1 s to 10 min at random", nil, func(rng *rand.Rand, t float64) float64 { return t + math.Exp(math.Log(600)*rng.Float64()) }, 0, 40},
		{"six readings of a needle", eye(1e4), every(600), 1e4, 40},
		{"six readings of a fine dial", eye(1e3), every(600), 1e3, 40},
		{"ten a second", nil, every(0.1), 0, 8},
	} {
		covered, valid := 0, 0
		var halves []float64
		for i := range c.n {
			e, truth := paced(i, c.change, c.next, c.step)
			if e.Valid {
				valid++
			}
			if e.Valid && e.Rate.Lo <= truth && truth <= e.Rate.Hi {
				covered++
			}
			halves = append(halves, e.Rate.Half()*3600)
		}
		slices.Sort(halves)
		t.Logf("%s: covers %d of %d, half-width %.0f Pa/h (median)", c.name, covered, c.n, halves[len(halves)/2])
		if valid < c.n || covered < least(c.n, 0.95) {
			t.Errorf("%s: %d of %d valid, %d hold the truth", c.name, valid, c.n, covered)
		}
	}
}

// A gauge that says with each reading how coarse it is may stand still; one that
// says it is fine may not.
func TestAStepSaidWithEachSampleCounts(t *testing.T) {
	for step, doubted := range map[float64]bool{100: true, 10000: false} {
		h := decay.New(decay.Config{})
		for s := 0.0; s < 1800; s += 5 {
			h.Add(decay.Sample{T: s, P: 1098200, Ambient: 294.65, Section: math.NaN(), Step: step})
		}
		e := h.Estimate()
		if has := slices.ContainsFunc(e.Warnings, func(w decay.Warning) bool { return w.Code == decay.NeverMoved }); has != doubted {
			t.Errorf("step %v Pa with each sample: doubted %v, want %v", step, has, doubted)
		}
	}
}

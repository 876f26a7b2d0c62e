package decay

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"example.org/holdfast/internal/bench"
)

// A sensor that was dead from the first reading draws the straightest line of all, and must not
// pass for a tight section. A coarse gauge whose step is stated may stand still.
func TestAPressureThatNeverMovedIsDoubted(t *testing.T) {
	for step, doubted := range map[float64]bool{0: true, 100: true, 10000: false} {
		h := New(Config{Step: step})
		for s := 0.0; s < 1800; s += 5 {
			h.Add(Sample{T: s, P: 1098200, Ambient: 294.65, Section: math.NaN()})
		}
		has := slices.ContainsFunc(h.Estimate().Warnings, func(w Warning) bool { return w.Code == NeverMoved })
		if has != doubted {
			t.Errorf("step %v Pa: doubted %v, want %v", step, has, doubted)
		}
	}
}

// Digits of 0.1 bar flicker while the pressure lies between two of them and stand still while it
// lies on one: no frozen sensor, whichever comes first, and not a moment of it is lost.
func TestCoarseDigitsMayStandStillAfterTheyFlickered(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 2))
	h := New(Config{})
	for s := 0.0; s < 7200; s += 5 {
		p := 1035000 + s/2 + 500*rng.NormFloat64() // starts between two digits, is on the next after 2.8 h
		h.Add(Sample{T: s, P: 1e4 * math.Round(p/1e4), Ambient: 294.65 + s/7200, Section: math.NaN()})
	}
	e := h.Estimate()
	if e.Frozen || len(e.Warnings) > 0 {
		t.Errorf("frozen %v, warnings %v", e.Frozen, e.Warnings)
	}
	if e.At < 6000 {
		t.Errorf("last used reading is of %.0f s", e.At)
	}
}

// Steps of a thousandth of the pressure under noise of more than one step: such a display moves all the
// time while it lives, so one that stops has died, and nothing that came before may go on to pass for now.
func TestACoarseDisplayThatDiesIsFrozen(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 2))
	h := New(Config{})
	for s := 0.0; s < 7200; s++ {
		p := 850 * math.Round((700400+1000*rng.NormFloat64())/850)
		if s > 3600 {
			p = 700400
		}
		h.Add(Sample{T: s, P: p, Ambient: 294.65 + 0.01*rng.NormFloat64(), Section: math.NaN()})
	}
	if e := h.Estimate(); !e.Frozen || len(h.doubted) > 0 {
		t.Errorf("frozen %v after an hour, %d rows wait", e.Frozen, len(h.doubted))
	}
}

// A step of the sensor whose first readings stand still waits with them, and is one step all the same.
func TestAStepThatStandsStillIsOneStep(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 2))
	h := New(Config{})
	keep := 0.0
	for s := 0.0; s < 7200; s += 10 {
		p := 10 * math.Round((1100000+150*rng.NormFloat64())/10)
		switch {
		case s >= 3600 && s < 3610:
			keep = p + 3000
			p = keep
		case s >= 3610 && s < 3840:
			p = keep
		case s >= 3840:
			p += 3000
		}
		h.Add(Sample{T: s, P: p, Ambient: 294.65 + 0.01*rng.NormFloat64(), Section: math.NaN()})
	}
	e := h.Estimate()
	if len(e.Steps) != 1 || e.Rate.Lo > 0 || e.Rate.Hi < 0 {
		t.Errorf("steps %v, leak %.4f to %.4f Pa/s in a tight section", e.Steps, e.Rate.Lo, e.Rate.Hi)
	}
}

// What a dead instrument repeats must be worth no more and no less than silence: the hold in which
// the pressure stood still for 20 minutes is judged like the same hold without those minutes.
func TestAFrozenPressureIsWorthAGap(t *testing.T) {
	event := bench.Event{At: 1205, For: 1200}
	frozen, gap := disturbed(event, bench.Freeze), disturbed(event, bench.Dropout)
	if len(frozen.Steps) > 0 {
		t.Errorf("its end was taken as a step of the sensor: %v", frozen.Steps)
	}
	if off := math.Abs(frozen.Rate.Value-gap.Rate.Value) / gap.SE; off > 0.3 {
		t.Errorf("rate %.4f Pa/s, with a gap instead %.4f: %.1f standard uncertainties apart", frozen.Rate.Value, gap.Rate.Value, off)
	}
	if r := frozen.SE / gap.SE; r < 0.8 || r > 1.25 {
		t.Errorf("standard uncertainty %.2f times that with a gap", r)
	}
}

// A thermometer that comes back is used again; what it missed is a gap, and is said.
func TestAThermometerThatComesBackIsUsed(t *testing.T) {
	whole := disturbed(bench.Event{}, bench.Stuck)
	back := disturbed(bench.Event{At: 1200, For: 1200}, bench.Stuck)
	if r := back.SE / whole.SE; r > 3 {
		t.Errorf("standard uncertainty %.1f times that of an undisturbed hold", r)
	}
	if !slices.ContainsFunc(back.Warnings, func(w Warning) bool { return w.Code == "thermometer stuck" }) {
		t.Errorf("nothing said of it: %v", back.Warnings)
	}
	if away := disturbed(bench.Event{At: 1200, For: 2400}, bench.Stuck); away.SE < 2*back.SE {
		t.Errorf("a thermometer that never came back: standard uncertainty only %.1f times that of one that did", away.SE/back.SE)
	}
}

// disturbed is an hour of a section that leaks 1.5 %/h, with one event on the way.
func disturbed(e bench.Event, kind bench.EventKind) Estimate {
	p := bench.RandomParams(rand.New(rand.NewPCG(3, 4)), bench.PhysicsA)
	p.Leak, p.Hold, p.Interval = 0.015, 3600, 2
	e.Kind = kind
	p.Events = []bench.Event{e}
	b := bench.New(p, 4)
	h := New(Config{Gas: p.Gas.Plain(), FullScale: float64(p.Sensor.Range)})
	for s := 0.0; s <= p.Hold; s += p.Interval {
		if x := b.At(s); !x.Missing {
			h.Add(Sample{T: s, P: float64(x.Pressure), Ambient: float64(x.Ambient), Section: float64(x.Section)})
		}
	}
	return h.Estimate()
}

package decay_test

import (
	"math"
	"slices"
	"testing"

	"example.org/holdfast/internal/bench"
	"example.org/holdfast/internal/decay"
)

func warned(e decay.Estimate, code string) bool {
	return slices.ContainsFunc(e.Warnings, func(w decay.Warning) bool { return w.Code == code })
}

// upset plays an hour of a quiet bench with events.
func upset(t *testing.T, leak float64, events ...bench.Event) (decay.Estimate, float64) {
	t.Helper()
	p := quiet(leak)
	p.Events = events
	h, b := play(t, p, nil)
	return h.Estimate(), float64(b.Truth().Rate)
}

func TestAThermometerHeldForAMinuteIsLeftOutAndNamed(t *testing.T) {
	e, truth := upset(t, 0.005, bench.Event{Kind: bench.Touch, At: 1500, For: 60, Size: 6})
	if !warned(e, "thermometer touched") {
		t.Errorf("not named: %v", e.Warnings)
	}
	if e.CalledWhy == "gross" || truth < e.Rate.Lo || truth > e.Rate.Hi {
		t.Errorf("%v does not hold the true %.3g Pa/s", e.Rate, truth)
	}
}

func TestAStepOfTheSensorIsTakenOutAndNamed(t *testing.T) {
	for _, by := range []float64{1500, -1500} {
		e, truth := upset(t, 0.005, bench.Event{Kind: bench.Step, At: 1500, For: 1e9, Size: by})
		if !warned(e, "sensor step") || len(e.Steps) != 1 {
			t.Fatalf("%+.0f Pa: not named: %v", by, e.Warnings)
		}
		if s := e.Steps[0]; math.Abs(s.At-1500) > 60 || math.Abs(s.By-by) > 500 {
			t.Errorf("%+.0f Pa at 1500 s: taken for %+.0f Pa at %.0f s", by, s.By, s.At)
		}
		if truth < e.Rate.Lo || truth > e.Rate.Hi {
			t.Errorf("%+.0f Pa: %v does not hold the true %.3g Pa/s", by, e.Rate, truth)
		}
	}
}

func TestASensorThatStepsTwiceProvesNothing(t *testing.T) {
	e, _ := upset(t, 0, bench.Event{Kind: bench.Step, At: 1200, For: 1e9, Size: 1500}, bench.Event{Kind: bench.Step, At: 2200, For: 1e9, Size: 2500})
	if !slices.ContainsFunc(e.Warnings, decay.Warning.Voids) {
		t.Errorf("two steps and no doubt: %v", e.Warnings)
	}
}

// A sudden loss that goes on is a leak, not a step, and its time is known to seconds.
func TestASuddenLossIsDatedAndNoStep(t *testing.T) {
	for _, leak := range []float64{1, 6, 30} {
		p := quiet(leak)
		p.LeakOpensAt = 1800
		h, _ := play(t, p, nil)
		e := h.Estimate()
		if len(e.Steps) > 0 || e.CalledAt < 0 {
			t.Errorf("%.0f %%/h: steps %v, called at %.0f s", 100*leak, e.Steps, e.CalledAt)
		}
		if math.Abs(e.OpenedAt-1800) > 60 {
			t.Errorf("%.0f %%/h: opened at %.0f s, want 1800", 100*leak, e.OpenedAt)
		}
		if e.Astray() {
			t.Errorf("%.0f %%/h: the thermometer is blamed", 100*leak)
		}
	}
}

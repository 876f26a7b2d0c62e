package sim_test

import (
	"context"
	"errors"
	"fmt"
	"math"
	"testing"
	"time"

	"example.org/holdfast/drivers"
	"example.org/holdfast/drivers/sim"
	"example.org/holdfast/internal/bench"
	"example.org/holdfast/internal/units"
)

func open(t *testing.T, cfg sim.Config) (*sim.Simulator, drivers.Source) {
	t.Helper()
	s, err := sim.New(cfg)
	if err != nil {
		t.Fatal(err)
	}
	src, err := s.Open(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	return s, src
}

func read(t *testing.T, src drivers.Source) drivers.Reading {
	t.Helper()
	r, err := src.Read(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	return r
}

func TestReadingsCarrySimulatedTimeAndAreSpaced(t *testing.T) {
	var slept time.Duration
	_, src := open(t, sim.Config{
		Params: bench.BottleCooler(bench.DemoTight), Seed: 1, Speed: 60,
		Sleep: func(_ context.Context, d time.Duration) error { slept += d; return nil },
	})
	for i := range 121 {
		r := read(t, src)
		if r.Elapsed != float64(i) || !r.HasPressure() || r.Ref != units.AbsoluteRef || r.Raw == "" {
			t.Fatalf("reading %d: %+v", i, r)
		}
		if math.Abs(r.Pressure-19.5e5) > 0.5e5 || math.Abs(r.Ambient.Celsius()-19.5) > 2 || !math.IsNaN(float64(r.Section)) {
			t.Fatalf("reading %d is not of the bottle cooler: %+v", i, r)
		}
	}
	if math.Abs(slept.Seconds()-2) > 1e-3 {
		t.Errorf("two simulated minutes at 60 times took %v, want 2 s", slept)
	}
}

func TestClosedSourceIsDeadAndTheNextGoesOn(t *testing.T) {
	s, src := open(t, sim.Config{Params: bench.BottleCooler(bench.DemoTight)})
	read(t, src)
	last := read(t, src)
	src.Close()
	src.Close()
	if _, err := src.Read(t.Context()); err == nil {
		t.Error("a closed source still reads")
	}
	again, err := s.Open(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	if r := read(t, again); r.Elapsed != last.Elapsed+1 {
		t.Errorf("goes on at %g s after %g s", r.Elapsed, last.Elapsed)
	}
}

func TestContextEndsTheWait(t *testing.T) {
	ctx, cancel := context.WithCancel(t.Context())
	_, src := open(t, sim.Config{
		Params: bench.BottleCooler(bench.DemoTight),
		Sleep: func(ctx context.Context, _ time.Duration) error {
			cancel()
			<-ctx.Done()
			return ctx.Err()
		},
	})
	read(t, src)
	if _, err := src.Read(ctx); !errors.Is(err, context.Canceled) {
		t.Errorf("got %v, want the context's error", err)
	}
}

func TestDropoutIsSilence(t *testing.T) {
	p := bench.BottleCooler(bench.DemoTight)
	p.Events = []bench.Event{{Kind: bench.Dropout, At: 10, For: 30}}
	_, src := open(t, sim.Config{Params: p})
	for range 10 {
		read(t, src)
	}
	if r := read(t, src); r.Elapsed != 40 {
		t.Errorf("after the silence: %g s, want 40", r.Elapsed)
	}
}

func TestGaugeSensorBarometerAndRecordBeforeTheFilling(t *testing.T) {
	p := bench.BottleCooler(bench.DemoTight)
	p.Sensor.Gauge = true
	p.PreRecord = 60
	s, src := open(t, sim.Config{Params: p, Barometer: true})
	r := read(t, src)
	if r.Ref != units.GaugeRef || math.Abs(r.Pressure) > 2000 || r.Elapsed != 0 || math.Abs(float64(r.Barometer)-101325) > 10 {
		t.Errorf("before the filling: %+v", r)
	}
	for range 60 {
		r = read(t, src)
	}
	if r.Elapsed != 60 || math.Abs(r.Pressure-(19.5e5-101325)) > 2000 {
		t.Errorf("when the valve closes: %+v", r)
	}
	if spec := s.Spec(); spec.PressureRange != 35e5 || spec.PressureStep != 10 || spec.Interval != 1 {
		t.Errorf("spec %+v", spec)
	}
}

func TestNonsenseIsRefused(t *testing.T) {
	good := bench.BottleCooler(bench.DemoTight)
	for name, spoil := range map[string]func(*sim.Config){
		"no pressure":       func(c *sim.Config) { c.Params.StartPressure = 0 },
		"NaN pressure":      func(c *sim.Config) { c.Params.StartPressure = units.Absolute(math.NaN()) },
		"backward interval": func(c *sim.Config) { c.Params.Interval = -1 },
		"negative leak":     func(c *sim.Config) { c.Params.Leak = -1 },
		"negative speed":    func(c *sim.Config) { c.Speed = -1 },
	} {
		cfg := sim.Config{Params: good}
		spoil(&cfg)
		if _, err := sim.New(cfg); err == nil {
			t.Errorf("%s: accepted", name)
		}
	}
}

// The leak of the demonstration, as its bench knows it.
func ExampleSimulator_Truth() {
	s, err := sim.New(sim.Config{Params: bench.BottleCooler(bench.DemoLeaking), Seed: 7})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%.0f Pa/h of %.1f bar\n", s.Truth().Rate.PerHour(), float64(s.Truth().Start)/1e5)
	// Output: 48750 Pa/h of 19.5 bar
}

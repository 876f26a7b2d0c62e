package main

import (
	"context"
	"fmt"
	"time"

	"example.org/holdfast/drivers/sim"
	"example.org/holdfast/internal/acquire"
	"example.org/holdfast/internal/bench"
	"example.org/holdfast/internal/holdlog"
	"example.org/holdfast/internal/profile"
	"example.org/holdfast/internal/units"
)

// simFlags are the flags of the simulated device.
type simFlags struct {
	SimLeak  string   `group:"simulated device" placeholder:"2.5%/h" help:"Leak of the simulated section, as a share of its pressure; 0 = tight."`
	SimWet   string   `group:"simulated device" default:"dry" help:"What is left in a section under vacuum: dry, water, ice or oil."`
	SimSeed  uint64   `group:"simulated device" default:"1" help:"Another seed, another room and noise."`
	SimSpeed float64  `group:"simulated device" default:"1" help:"How much faster than real time it runs."`
	SimEvery string   `group:"simulated device" default:"1s" help:"Time between its readings."`
	SimFault []string `group:"simulated device" sep:"none" placeholder:"freeze@20m" help:"A fault at a time of the hold: freeze, dropout, spike, step, hand, touch or stuck; /2m for how long, =20mbar or =4K for how large. May be repeated."`
}

// buildSim sets up the bench of the demonstration, before the valve is closed: the
// section first stands open for half a minute.
func buildSim(_ profile.Profile, o deviceOptions) (instrument, error) {
	cfg, name, err := o.simConfig()
	if err != nil {
		return instrument{}, err
	}
	if o.sim.SimSpeed <= 0 {
		return instrument{}, fmt.Errorf("--sim-speed %v is not above zero", o.sim.SimSpeed)
	}
	cfg.Seed, cfg.Speed, cfg.Sleep = o.sim.SimSeed, o.sim.SimSpeed, sleep
	s, err := sim.New(cfg)
	if err != nil {
		return instrument{}, err
	}
	t := s.Truth()
	return instrument{
		device: acquire.Device{Open: s.Open, Spec: s.Spec()},
		header: holdlog.Device{Gives: "pressure_pa_abs,ambient_c"},
		truth:  &holdlog.Truth{Rate: t.Rate, OpensAt: t.OpensAt, Seed: o.sim.SimSeed, Scenario: name},
	}, nil
}

// simConfig is the section that is simulated, and its name.
func (o deviceOptions) simConfig() (sim.Config, string, error) {
	if o.settings.Kind == "vacuum" {
		return o.simVacuum()
	}
	leak, err := simLeak(o.sim.SimLeak, bench.DemoLeaking, units.FractionPerTime, "2.5%/h")
	if err != nil {
		return sim.Config{}, "", err
	}
	params := bench.BottleCooler(leak)
	params.PreRecord = 30
	if o.sim.SimEvery != "" {
		every, err := profile.ParseInterval(o.sim.SimEvery)
		if err != nil {
			return sim.Config{}, "", fmt.Errorf("--sim-every: %w", err)
		}
		params.Interval = every.Seconds()
	}
	for _, text := range o.sim.SimFault {
		e, err := parseSimFault(text)
		if err != nil {
			return sim.Config{}, "", err
		}
		params.Events = append(params.Events, e)
	}
	return sim.Config{Params: params}, params.Name, nil
}

// simVacuum is the evacuated section that is simulated, and its name.
func (o deviceOptions) simVacuum() (sim.Config, string, error) {
	if len(o.sim.SimFault) > 0 {
		return sim.Config{}, "", fmt.Errorf("--sim-fault is of a hold under pressure, not of a vacuum")
	}
	leak, err := simLeak(o.sim.SimLeak, 0, units.PressurePerTime, "240Pa/h")
	if err != nil {
		return sim.Config{}, "", err
	}
	v, err := bench.EvacuatedCooler(leak, bench.Wetness(o.sim.SimWet))
	if err != nil {
		return sim.Config{}, "", fmt.Errorf("--sim-wet: %w", err)
	}
	return sim.Config{Vacuum: &v}, v.Name, nil
}

// simLeak reads a leak of this kind, per hour; "" = the usual one.
func simLeak(text string, usual float64, kind units.RateKind, such string) (perHour float64, err error) {
	switch text {
	case "":
		return usual, nil
	case "0":
		return 0, nil
	}
	r, err := units.ParseRate(text)
	if err != nil || r.Kind != kind {
		return 0, fmt.Errorf("--sim-leak %q is not understood; write %s, or 0", text, such)
	}
	return r.Value * units.SecondsPerHour, nil
}

// sleep waits for d, or until the context ends.
func sleep(ctx context.Context, d time.Duration) error {
	t := time.NewTimer(d)
	defer t.Stop()
	select {
	case <-ctx.Done():
		return ctx.Err()
	case <-t.C:
		return nil
	}
}

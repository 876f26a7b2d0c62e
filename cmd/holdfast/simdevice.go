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
	SimLeak  string  `group:"simulated device" placeholder:"2.5%/h" help:"Leak of the simulated section, as a share of its pressure; 0 = tight."`
	SimSeed  uint64  `group:"simulated device" default:"1" help:"Another seed, another room and noise."`
	SimSpeed float64 `group:"simulated device" default:"1" help:"How much faster than real time it runs."`
}

// buildSim sets up the bench of the demonstration, before the valve is closed: the
// section first stands open for half a minute.
func buildSim(_ profile.Profile, o deviceOptions) (instrument, error) {
	leak := bench.DemoLeaking
	switch {
	case o.sim.SimLeak == "0":
		leak = bench.DemoTight
	case o.sim.SimLeak != "":
		r, err := units.ParseRate(o.sim.SimLeak)
		if err != nil || r.Kind != units.FractionPerTime {
			return instrument{}, fmt.Errorf("--sim-leak %q is not understood; write 2.5%%/h, or 0", o.sim.SimLeak)
		}
		leak = r.Value * units.SecondsPerHour
	}
	params := bench.BottleCooler(leak)
	params.PreRecord = 30
	if o.sim.SimSpeed <= 0 {
		return instrument{}, fmt.Errorf("--sim-speed %v is not above zero", o.sim.SimSpeed)
	}
	s, err := sim.New(sim.Config{Params: params, Seed: o.sim.SimSeed, Speed: o.sim.SimSpeed, Sleep: sleep})
	if err != nil {
		return instrument{}, err
	}
	t := s.Truth()
	return instrument{
		device: acquire.Device{Open: s.Open, Spec: s.Spec()},
		header: holdlog.Device{Gives: "pressure_pa_abs,ambient_c"},
		truth:  &holdlog.Truth{Rate: t.Rate, OpensAt: t.OpensAt, Seed: o.sim.SimSeed, Scenario: params.Name},
	}, nil
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

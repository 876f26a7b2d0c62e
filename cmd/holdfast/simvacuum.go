package main

import (
	"fmt"
	"math"

	"example.org/holdfast/internal/bench"
	"example.org/holdfast/internal/gas"
	"example.org/holdfast/internal/holdlog"
	"example.org/holdfast/internal/units"
)

// vacuum makes an evacuated section from the flags. Its length is the list of them.
func (c *simulateCmd) vacuum(set holdlog.Settings) (simSection, error) {
	fail := func(flag string, err error) (simSection, error) {
		return simSection{}, usage("", "--%s: %w", flag, err)
	}
	leak, err := c.vacuumLeak(set)
	if err != nil {
		return fail("leak", err)
	}
	p, err := bench.EvacuatedCooler(leak, bench.Wetness(c.Wet))
	if err != nil {
		return fail("wet", err)
	}
	if p.Room, err = bench.RoomNamed(c.Ambient); err != nil {
		return fail("ambient", err)
	}
	base, err := units.ParsePressureDiff(or(c.Pressure, "40Pa"))
	if err != nil || base <= 0 {
		return fail("pressure", fmt.Errorf("%q is no vacuum; write it absolute, such as 40Pa or 300 micron", c.Pressure))
	}
	p.Base = units.Absolute(base)
	if c.Noise != "" {
		noise, err := units.ParsePressureDiff(c.Noise)
		if err != nil || noise < 0 {
			return fail("noise", fmt.Errorf("%q is not understood; write 0.3Pa", c.Noise))
		}
		p.Gauge.Noise = float64(noise)
	}
	if set.PressureStep > 0 {
		p.Gauge.Step = set.PressureStep
	}
	for flag, d := range map[string]struct {
		text string
		to   *float64
	}{"for": {c.For, &p.Hold}, "interval": {c.Interval, &p.Interval}} {
		if err := seconds(flag, d.text, d.to); err != nil {
			return simSection{}, err
		}
	}
	s := simSection{
		at: bench.NewVacuum(p, c.Seed).At, before: p.Pumping, hold: p.Hold, unit: "Pa",
		truth:  holdlog.Truth{Rate: units.PaPerHour(leak), Seed: c.Seed, Scenario: p.Name},
		device: holdlog.Device{Name: "sim", Gives: "pressure_pa_abs,ambient_c", Interval: p.Interval, PressureStep: p.Gauge.Step, TemperatureStep: simTempStep},
	}
	if c.NoThermometer {
		s.device.Gives, s.device.TemperatureStep = "pressure_pa_abs", 0
		at := s.at
		s.at = func(t float64) bench.Sample {
			sample := at(t)
			sample.Ambient = units.Temperature(math.NaN())
			return sample
		}
	}
	return s, nil
}

// vacuumLeak is the steady rise in Pa/h that the stated leak makes.
func (c *simulateCmd) vacuumLeak(set holdlog.Settings) (float64, error) {
	if c.Leak == "0" || c.Leak == "none" {
		return 0, nil
	}
	r, err := units.ParseRate(c.Leak)
	if err != nil {
		return 0, err
	}
	switch r.Kind {
	case units.PressurePerTime:
		return r.Value * units.SecondsPerHour, nil
	case units.Throughput:
		volume := simVolume
		if set.Volume > 0 {
			volume = set.Volume
		}
		const at = units.Temperature(293.15) // the room of the bench
		return gas.Rate(units.LeakRate(r.Value), volume, units.StandardAtmosphere, at, gas.DryAir()).PerHour(), nil
	}
	return 0, fmt.Errorf("%q means nothing under vacuum; write 240Pa/h or 1e-5mbar.l/s", c.Leak)
}

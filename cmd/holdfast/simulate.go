package main

import (
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"strconv"
	"strings"
	"time"

	"example.org/holdfast/internal/bench"
	"example.org/holdfast/internal/gas"
	"example.org/holdfast/internal/hold"
	"example.org/holdfast/internal/holdlog"
	"example.org/holdfast/internal/units"
)

type simulateCmd struct {
	Out           string `required:"" placeholder:"FILE" help:"The log to write; it must not exist."`
	Seed          uint64 `default:"1" help:"The same seed and flags give the same file."`
	Leak          string `default:"0" placeholder:"0.4%/h" help:"The leak, in any form of --limit; 0 = tight."`
	Wet           string `default:"dry" help:"What is left in a section under vacuum: dry, water, ice or oil."`
	LeakOpens     string `placeholder:"20m" help:"When the leak opens; before, the section is tight."`
	Law           string `default:"viscous" help:"Flow law of the leak: viscous, molecular or choked."`
	Pressure      string `placeholder:"20bar" help:"Pressure when the valve closes; under vacuum absolute, 40Pa."`
	For           string `default:"1h" help:"How long the hold lasts."`
	Interval      string `default:"1s" help:"Time between samples."`
	Ambient       string `default:"still" help:"The room: still, drift, heater, door or day."`
	Lag           string `default:"5m" help:"How far the gas lags behind the room."`
	FillHeat      string `default:"4K" help:"How much warmer than the part the gas is when the valve closes."`
	Noise         string `placeholder:"150Pa" help:"Standard deviation of one reading; under vacuum 0.3Pa and 0.3 % besides."`
	NoThermometer bool   `help:"There is no thermometer."`
	Start         string `default:"2026-03-02T08:00:00Z" help:"Time of day of the first sample (RFC 3339)."`
	JSON          bool   `help:"Print what was simulated as JSON."`
	settingsFlags
}

// Data of the simulated instruments where no flag says otherwise (common practice, no source).
const (
	simVolume   = units.Volume(0.3e-3)
	simRange    = units.PressureDiff(35e5)
	simStep     = units.PressureDiff(10)
	simTempStep = units.TempDiff(0.0625)
)

func (c *simulateCmd) run(a *app) (int, error) {
	over, err := c.overrides()
	if err != nil {
		return exitUsage, err
	}
	h := holdlog.Header{Program: program(), Clock: "simulated", Zone: "Z"}
	if err := over(&h); err != nil {
		return exitUsage, err
	}
	s, err := c.section(h.Settings)
	if err != nil {
		return exitUsage, err
	}
	start, err := time.Parse(time.RFC3339, c.Start)
	if err != nil {
		return exitUsage, usage("Write it as 2026-03-02T08:00:00Z.", "--start: %q is no time", c.Start)
	}
	h.Settings.For = s.hold
	if err := hold.Check(h.Settings); err != nil {
		return exitUsage, usage("", "%w", err)
	}
	n, err := writeSimulation(c.Out, h, s, start)
	if err != nil {
		return exitIO, err
	}
	truth := s.truth
	if c.JSON {
		return exitOK, json.NewEncoder(a.out).Encode(struct {
			V       int     `json:"v"`
			Out     string  `json:"out"`
			Samples int     `json:"samples"`
			Seed    uint64  `json:"seed"`
			Leak    float64 `json:"leak_pa_per_h"`
			OpensAt float64 `json:"opens_at_s"`
		}{1, c.Out, n, c.Seed, truth.Rate.PerHour(), truth.OpensAt})
	}
	fmt.Fprintf(a.err, "%s written to %s; the true leak is %s\n", units.FormatCount(n, "sample"), c.Out, units.FormatPressureRate(truth.Rate, or(h.Settings.Display, s.unit)))
	return exitOK, nil
}

// params makes the bench from the flags.
func (c *simulateCmd) params(set holdlog.Settings) (p bench.Params, err error) {
	fail := func(flag string, err error) (bench.Params, error) { return p, usage("", "--%s: %w", flag, err) }
	if p.Gas, err = gas.Lookup(or(set.Gas, "nitrogen")); err != nil {
		return fail("gas", err)
	}
	p.Volume = simVolume
	if set.Volume > 0 {
		p.Volume = set.Volume
	}
	pressure, err := units.ParsePressure(or(c.Pressure, "20bar"), "bar")
	if err != nil {
		return fail("pressure", err)
	}
	atmosphere, err := hold.Atmosphere(set)
	if err != nil {
		return fail("altitude", err)
	}
	p.Barometer.Mean = atmosphere
	if p.StartPressure = pressure.Abs(atmosphere); p.StartPressure <= atmosphere {
		return fail("pressure", fmt.Errorf("%s is not above the air around the section", pressure))
	}
	if p.Room, err = bench.RoomNamed(c.Ambient); err != nil {
		return fail("ambient", err)
	}
	if p.Law, err = gas.ParseFlowLaw(c.Law); err != nil {
		return fail("law", err)
	}
	if p.Leak, err = c.leak(p, set); err != nil {
		return fail("leak", err)
	}
	return p, c.rest(&p, set)
}

// rest are the times.
func (c *simulateCmd) rest(p *bench.Params, set holdlog.Settings) error {
	var lag float64
	for _, d := range []struct {
		flag, text string
		to         *float64
		least      float64
	}{
		{"for", c.For, &p.Hold, 1},
		{"interval", c.Interval, &p.Interval, 0.01},
		{"lag", c.Lag, &lag, 0},
		{"leak-opens", or(c.LeakOpens, "0s"), &p.LeakOpensAt, 0},
	} {
		v, err := units.ParseDuration(d.text)
		if err != nil {
			return usage("", "--%s: %w", d.flag, err)
		}
		if v.Seconds() < d.least {
			return usage("", "--%s: %q is shorter than %v s", d.flag, d.text, d.least)
		}
		*d.to = v.Seconds()
	}
	p.Name = c.Ambient + " room"
	p.Thermal.Nodes = []bench.Node{{Weight: 1, Lag: lag}}
	return c.instruments(p, set)
}

// instruments are the heat of the filling, the sensor and the thermometer.
func (c *simulateCmd) instruments(p *bench.Params, set holdlog.Settings) error {
	rise, err := units.ParseTempDiff(c.FillHeat)
	if err != nil {
		return usage("", "--fill-heat: %w", err)
	}
	noise, err := units.ParsePressureDiff(or(c.Noise, "150Pa"))
	if err != nil || noise < 0 {
		return usage("Give a pressure such as 150Pa.", "--noise: %q is not understood", c.Noise)
	}
	p.Thermal.Fill = []bench.Heat{{Rise: float64(rise), Tau: 120}}
	p.Sensor = bench.Sensor{Range: simRange, Noise: noise, Step: simStep}
	if set.PressureRange > 0 {
		p.Sensor.Range = set.PressureRange
	}
	if set.PressureStep > 0 {
		p.Sensor.Step = set.PressureStep
	}
	p.RoomProbe = bench.Thermometer{None: c.NoThermometer, Lag: 20, Noise: 0.02, Step: simTempStep}
	if set.TemperatureStep > 0 {
		p.RoomProbe.Step = set.TemperatureStep
	}
	p.SectionProbe.None = true
	return nil
}

// leak brings the stated leak to a share of the start pressure per hour.
func (c *simulateCmd) leak(p bench.Params, set holdlog.Settings) (float64, error) {
	if v, err := strconv.ParseFloat(strings.TrimSpace(c.Leak), 64); err == nil && v == 0 || c.Leak == "none" {
		return 0, nil
	}
	r, err := units.ParseRate(c.Leak)
	if err != nil {
		return 0, err
	}
	const at = units.Temperature(293.15) // the room of the bench
	var rate units.PressureRate
	switch r.Kind {
	case units.FractionPerTime:
		rate = units.PressureRate(r.Value * float64(p.StartPressure))
	case units.PressurePerTime:
		rate = units.PressureRate(r.Value)
	case units.Throughput:
		rate = gas.Rate(units.LeakRate(r.Value), p.Volume, p.StartPressure, at, p.Gas)
	case units.MassPerTime:
		if set.Refrigerant == "" {
			return 0, fmt.Errorf("%q needs --refrigerant", c.Leak)
		}
		f, err := gas.LookupRefrigerant(set.Refrigerant)
		if err != nil {
			return 0, err
		}
		if rate, err = gas.RateForLoss(units.MassRate(r.Value), p.Volume, p.Gas, p.StartPressure, at, f, p.Barometer.Mean); err != nil {
			return 0, err
		}
	}
	return rate.PerHour() / float64(p.StartPressure), nil
}

// simSection is a section with its instruments.
type simSection struct {
	at     func(t float64) bench.Sample
	truth  holdlog.Truth
	device holdlog.Device
	before float64 // s of samples before the valve closes
	hold   float64 // s
	unit   string  // of the words
}

// section makes what the flags ask for.
func (c *simulateCmd) section(set holdlog.Settings) (simSection, error) {
	if set.Kind == "vacuum" {
		return c.vacuum(set)
	}
	p, err := c.params(set)
	if err != nil {
		return simSection{}, err
	}
	b := bench.New(p, c.Seed)
	t := b.Truth()
	s := simSection{
		at: b.At, hold: p.Hold, unit: "bar",
		truth: holdlog.Truth{Rate: t.Rate, OpensAt: t.OpensAt, Seed: c.Seed, Scenario: p.Name},
		device: holdlog.Device{
			Name: "sim", Gives: "pressure_pa_abs", Interval: p.Interval,
			PressureStep: p.Sensor.Step, PressureRange: p.Sensor.Range,
		},
	}
	if !p.RoomProbe.None {
		s.device.Gives += ",ambient_c"
		s.device.TemperatureStep = p.RoomProbe.Step
	}
	return s, nil
}

// writeSimulation writes the log and gives the number of samples in it.
func writeSimulation(path string, h holdlog.Header, s simSection, start time.Time) (n int, err error) {
	h.Truth, h.Devices = &s.truth, []holdlog.Device{s.device}
	w, err := holdlog.Create(path, holdlog.HeaderRecord(h, start.UnixMilli()))
	if err != nil {
		return 0, err
	}
	defer func() { err = errors.Join(err, w.Close()) }()
	stamp := func(t float64) holdlog.Record {
		return holdlog.Record{Elapsed: t, Wall: start.UnixMilli() + int64(math.Round(1000*t))}
	}
	end := s.before + s.hold
	for ; float64(n)*s.device.Interval <= end; n++ {
		t := math.Round(1000*float64(n)*s.device.Interval) / 1000
		at := s.at(t - s.before)
		r := stamp(t)
		r.Kind, r.Sample = holdlog.KindSample, holdlog.NoSample()
		r.Sample.Pressure, r.Sample.Ref, r.Sample.Ambient = float64(at.Pressure), units.AbsoluteRef, at.Ambient
		if err := w.Append(r); err != nil {
			return n, err
		}
	}
	r := stamp(end)
	r.Kind, r.Event = holdlog.KindEvent, holdlog.Event{Kind: holdlog.EventStop}
	return n, w.Append(r)
}

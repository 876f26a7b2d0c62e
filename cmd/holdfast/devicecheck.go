package main

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"strings"
	"time"

	"example.org/holdfast/drivers"
	"example.org/holdfast/internal/profile"
	"example.org/holdfast/internal/trial"
	"example.org/holdfast/internal/units"
)

type checkCmd struct {
	deviceFlags
	For       string `default:"10s" help:"How long each device is read."`
	Open      bool   `help:"The gauge is open to the air: it must read zero, or the barometer."`
	Barometer string `placeholder:"101.3kPa" help:"Air pressure, for an absolute sensor that is open."`
	JSON      bool   `help:"One JSON object per device."`
}

func (c *checkCmd) run(a *app) (int, error) {
	profiles, err := groupDevices(a.args)
	if err != nil {
		return exitUsage, err
	}
	if len(profiles) == 0 {
		return exitUsage, usage("Add --device with its flags, or --profile FILE; `holdfast devices list` shows what is there.", "no device is given")
	}
	var long float64
	if err := seconds("for", c.For, &long); err != nil {
		return exitUsage, err
	}
	set, err := c.setup()
	if err != nil {
		return exitUsage, err
	}
	instruments, err := buildDevices(profiles, deviceOptions{stdin: a.in, sim: simFlags{SimSeed: 1, SimSpeed: 1}})
	if err != nil {
		return exitUsage, err
	}
	code := exitOK
	for i, ins := range instruments {
		if ins.manual != nil {
			return exitUsage, usage("Check what reads by itself.", "device manual has nothing to check: a person reads it")
		}
		r := c.look(ins, profiles[i], set, time.Duration(long*float64(time.Second)))
		if f, ok := a.otherSpeed(profiles[i], r); ok {
			r.Findings = append(r.Findings, f)
		}
		for _, f := range r.Findings {
			if f.Bad {
				code = exitIO
			}
		}
		if err := a.report(ins, r, c.JSON); err != nil {
			return exitIO, err
		}
	}
	return code, nil
}

// setup is what a check is told of the circumstances.
func (c *checkCmd) setup() (set trial.Setup, err error) {
	set.Open = c.Open
	if c.Barometer != "" {
		if set.Barometer, err = units.ParseBarometer(c.Barometer); err != nil {
			return set, usage("", "--barometer: %w", err)
		}
	}
	return set, nil
}

// look reads one device and judges what it said.
func (c *checkCmd) look(ins instrument, p profile.Profile, set trial.Setup, long time.Duration) trial.Result {
	heard, err := listen(ins, long)
	set.Spec = ins.device.Spec
	if fields, err := drivers.ParseFields(ins.header.Gives); err == nil {
		for _, f := range fields {
			if !f.Skip && f.Column.Quantity == units.PressureQuantity {
				set.PerUnit = f.Column.Scale
			}
		}
	}
	r := trial.Look(afterStart(heard), set)
	if err != nil {
		r.Findings = nil // silence has its reason
		if len(heard) > 0 {
			r = trial.Look(afterStart(heard), set)
		}
		f := explain(err)
		r.Findings = append(r.Findings, trial.Finding{What: "port", Words: strings.TrimSpace(oneLine(f.Error()) + ". " + oneLine(f.hint)), Bad: true})
	}
	if note := modemNote(p.Port); note != "" {
		r.Findings = append(r.Findings, trial.Finding{What: "modem", Words: note})
	}
	return r
}

// afterStart leaves out what a board prints while it starts: doubts before the first good reading.
func afterStart(heard []trial.Heard) []trial.Heard {
	for i, h := range heard {
		if h.Reading.Doubt == "" {
			return heard[i:]
		}
	}
	return heard
}

// listen reads a device for a while.
func listen(ins instrument, long time.Duration) (heard []trial.Heard, err error) {
	ctx, cancel := context.WithTimeout(context.Background(), long)
	defer cancel()
	src, err := ins.device.Open(ctx)
	if err != nil {
		return nil, err
	}
	defer src.Close()
	for begin := time.Now(); ; {
		r, err := src.Read(ctx)
		switch {
		case errors.Is(err, context.DeadlineExceeded):
			return heard, nil
		case err != nil:
			return heard, err
		}
		heard = append(heard, trial.Heard{At: time.Since(begin).Seconds(), Reading: r})
	}
}

// checked is a device's result for scripts; null = not known.
type checkedDevice struct {
	V        int             `json:"v"`
	Device   string          `json:"device"`
	Port     string          `json:"port,omitempty"`
	Readings int             `json:"readings"`
	Doubts   int             `json:"doubts"`
	Seconds  float64         `json:"seconds"`
	Pressure *float64        `json:"pressure_pa"`
	Ref      string          `json:"reference,omitempty"` // gauge or absolute
	Ambient  *float64        `json:"ambient_k"`
	Section  *float64        `json:"section_k"`
	Baro     *float64        `json:"barometer_pa"`
	Noise    *float64        `json:"noise_pa"`
	Step     *float64        `json:"step_pa"`
	Drift    *float64        `json:"drift_pa_per_h"`
	Findings []trial.Finding `json:"findings"`
}

// report prints what came of one device.
func (a *app) report(ins instrument, r trial.Result, asJSON bool) error {
	if !asJSON {
		_, err := fmt.Fprint(a.out, resultText(ins, r))
		return err
	}
	c := checkedDevice{
		V: 1, Device: ins.device.Name, Port: ins.header.Port, Readings: r.Readings, Doubts: r.Doubts, Seconds: r.Seconds,
		Pressure: orNull(r.Mean), Ambient: orNull(float64(r.Last.Ambient)), Section: orNull(float64(r.Last.Section)),
		Baro: orNull(float64(r.Last.Barometer)), Noise: orNull(r.Noise), Step: orNull(r.Step),
		Drift: orNull(r.Drift * units.SecondsPerHour), Findings: append([]trial.Finding{}, r.Findings...),
	}
	if c.Pressure != nil {
		c.Ref = referenceWord(r.Last.Ref)
	}
	return json.NewEncoder(a.out).Encode(c)
}

func orNull(v float64) *float64 {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return nil
	}
	return &v
}

func referenceWord(r units.Reference) string {
	if r == units.AbsoluteRef {
		return "absolute"
	}
	return "gauge"
}

func resultText(ins instrument, r trial.Result) string {
	var b strings.Builder
	fmt.Fprintln(&b, strings.TrimSpace(ins.device.Name+" "+ins.header.Port))
	if r.Readings > 0 {
		fmt.Fprintf(&b, "  %d readings in %.1f s; the last: %s\n", r.Readings, r.Seconds, lastText(r.Last))
	}
	if !math.IsNaN(r.Noise) {
		fmt.Fprintf(&b, "  noise %s of one reading", units.FormatPressure(r.Noise, "mbar"))
		if !math.IsNaN(r.Step) {
			fmt.Fprintf(&b, ", smallest change seen %s", units.FormatPressure(r.Step, "mbar"))
		}
		fmt.Fprintln(&b)
	}
	for _, f := range r.Findings {
		mark := "  - "
		if f.Bad {
			mark = "  ! "
		}
		fmt.Fprintln(&b, mark+f.Words)
	}
	if len(r.Findings) == 0 {
		fmt.Fprintln(&b, "  nothing wrong was seen")
	}
	return b.String()
}

func lastText(r drivers.Reading) string {
	var parts []string
	if r.HasPressure() {
		parts = append(parts, units.FormatPressureFine(r.Pressure, "bar")+" "+referenceWord(r.Ref))
	}
	for _, t := range []struct {
		name string
		v    units.Temperature
	}{{"room", r.Ambient}, {"part", r.Section}} {
		if !math.IsNaN(float64(t.v)) {
			parts = append(parts, t.name+" "+units.FormatTemperature(t.v, "C"))
		}
	}
	if !math.IsNaN(float64(r.Barometer)) {
		parts = append(parts, "barometer "+units.FormatPressure(float64(r.Barometer), "hPa"))
	}
	return strings.Join(parts, ", ")
}

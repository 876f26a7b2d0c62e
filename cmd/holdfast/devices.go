package main

import (
	"context"
	"errors"
	"fmt"
	"strconv"
	"strings"
	"time"

	"example.org/holdfast/drivers"
	"example.org/holdfast/drivers/line"
	"example.org/holdfast/drivers/manual"
	"example.org/holdfast/internal/acquire"
	"example.org/holdfast/internal/holdlog"
	"example.org/holdfast/internal/profile"
	"example.org/holdfast/internal/units"
)

// instrument is a device that is ready to be opened.
type instrument struct {
	device acquire.Device
	header holdlog.Device
	manual *manual.Manual // where readings are typed; nil = an instrument that speaks for itself
	truth  *holdlog.Truth // of a simulated one
}

// deviceKind is a kind of device: its name after --device, and how to set it up.
type deviceKind struct {
	name, what string
	build      func(profile.Profile, deviceOptions) (instrument, error)
}

// deviceKinds are all there are. A new device is a folder of its own and a line here.
func deviceKinds() []deviceKind {
	return []deviceKind{
		{"line", "a sensor or board that prints lines on a serial port", buildLine},
		{"manual", "a needle gauge that a person reads", buildManual},
		{"sim", "a simulated section, for trying things out", buildSim},
	}
}

// deviceOptions is what setting up a device may need beyond its own flags.
type deviceOptions struct {
	settings holdlog.Settings
	sim      simFlags
}

// deviceFlags are the flags of the devices, as kong sees them. Which port
// belongs to which device only their order says; groupDevices reads that.
type deviceFlags struct {
	Device  []string `group:"device" sep:"none" placeholder:"NAME" help:"line, manual or sim. May be repeated; the flags of this group belong to the device named before them."`
	Port    []string `group:"device" sep:"none" placeholder:"PATH" help:"Serial port, best by its name under /dev/serial/by-id."`
	Baud    []string `group:"device" sep:"none" placeholder:"9600" help:"Speed of the port."`
	Fields  []string `group:"device" sep:"none" placeholder:"LIST" help:"What a line holds: by position, pressure_bar_abs,-,ambient_c; or by key, P=pressure_bar,T=ambient_c."`
	Scale   []string `group:"device" sep:"none" placeholder:"1" help:"Multiplies the pressure."`
	Zero    []string `group:"device" sep:"none" placeholder:"0.02bar" help:"What the instrument shows without pressure; taken off. Below zero: --zero=-0.02bar."`
	Profile []string `group:"device" sep:"none" placeholder:"FILE" help:"A TOML file that says all of it."`
}

// groupDevices gives each --device the flags that stand after it. A --profile
// that does not stand right after a --device adds the device that it names.
func groupDevices(args []string) ([]profile.Profile, error) {
	var out []profile.Profile
	for i := 0; i < len(args) && args[i] != "--"; i++ {
		name, value, joined := strings.Cut(args[i], "=")
		set, known := deviceSetters()[name]
		if !known {
			continue
		}
		if !joined && i+1 < len(args) {
			i++
			value = args[i]
		}
		var err error
		switch {
		case name == "--device":
			out = append(out, profile.Profile{Driver: value})
		case name == "--profile":
			if out, err = addProfile(out, value); err != nil {
				return nil, trouble(fmt.Errorf("--profile: %w", err), "")
			}
		case len(out) == 0:
			return nil, usage("Write --device NAME first; its flags stand after it.", "%s belongs to no device", name)
		default:
			err = set(&out[len(out)-1], value)
		}
		if err != nil {
			return nil, usage("", "%s: %w", name, err)
		}
	}
	return out, nil
}

// addProfile adds the device that a profile file describes, in the place of a bare one of the same name just before.
func addProfile(out []profile.Profile, path string) ([]profile.Profile, error) {
	p, err := profile.Load(path)
	if err != nil {
		return out, err
	}
	if n := len(out); n > 0 && out[n-1] == (profile.Profile{Driver: p.Driver}) {
		out = out[:n-1]
	}
	return append(out, p), nil
}

// deviceSetters read the flags of one device.
func deviceSetters() map[string]func(*profile.Profile, string) error {
	return map[string]func(*profile.Profile, string) error{
		"--device": nil, "--profile": nil, // these begin one
		"--port":   func(p *profile.Profile, s string) error { p.Port = s; return nil },
		"--fields": func(p *profile.Profile, s string) error { p.Fields = s; return nil },
		"--baud": func(p *profile.Profile, s string) (err error) {
			p.Baud, err = strconv.Atoi(s)
			if err != nil || p.Baud <= 0 {
				return fmt.Errorf("%q is no speed; give a number such as 115200", s)
			}
			return nil
		},
		"--scale": func(p *profile.Profile, s string) error {
			v, rest, err := units.ParseNumber(s)
			if err != nil || rest != "" || v == 0 {
				return fmt.Errorf("%q is no factor; give a number such as 0.1", s)
			}
			p.Scale = v
			return nil
		},
		"--zero": func(p *profile.Profile, s string) (err error) {
			p.Zero, err = units.ParsePressureDiff(s)
			return err
		},
	}
}

// buildDevices sets up the devices; a second one of a kind gets a number, so that messages tell them apart.
func buildDevices(profiles []profile.Profile, o deviceOptions) ([]instrument, error) {
	var out []instrument
	count := map[string]int{}
	for _, p := range profiles {
		k, err := kindNamed(p.Driver)
		if err != nil {
			return nil, err
		}
		ins, err := k.build(p, o)
		if err != nil {
			return nil, usage("`holdfast hold --help` shows the flags of a device.", "%w", err)
		}
		ins.device.Name = k.name
		if count[k.name]++; count[k.name] > 1 {
			ins.device.Name += " " + strconv.Itoa(count[k.name])
		}
		s, h := ins.device.Spec, &ins.header
		h.Name = ins.device.Name
		h.PressureStep, h.PressureRange, h.PressureAccuracy = s.PressureStep, s.PressureRange, s.PressureAccuracy
		h.TemperatureStep, h.Interval = s.TemperatureStep, s.Interval
		out = append(out, ins)
	}
	return out, nil
}

func kindNamed(name string) (deviceKind, error) {
	var names []string
	for _, k := range deviceKinds() {
		if k.name == name {
			return k, nil
		}
		names = append(names, k.name+" ("+k.what+")")
	}
	return deviceKind{}, usage("Devices are "+strings.Join(names, ", ")+".", "no device is called %q", name)
}

// profilesOf makes the devices of a log anew from its header.
func profilesOf(h holdlog.Header) []profile.Profile {
	var out []profile.Profile
	for _, d := range h.Devices {
		name, _, _ := strings.Cut(d.Name, " ")
		out = append(out, profile.Profile{
			Driver: name, Port: d.Port, Baud: d.Baud, Fields: d.Gives, Scale: d.Scale, Zero: d.Zero,
			Spec: drivers.Spec{
				PressureStep: d.PressureStep, PressureRange: d.PressureRange, PressureAccuracy: d.PressureAccuracy,
				TemperatureStep: d.TemperatureStep, Interval: d.Interval,
			},
		})
	}
	return out
}

func buildLine(p profile.Profile, _ deviceOptions) (instrument, error) {
	if p.Port == "" {
		return instrument{}, errors.New("device line needs --port")
	}
	if p.Fields == "" {
		return instrument{}, errors.New("device line needs --fields: what a line holds, such as pressure_bar,ambient_c")
	}
	d, err := line.New(line.Config{Fields: p.Fields, Scale: p.Scale, Zero: p.Zero})
	if err != nil {
		return instrument{}, err
	}
	open := func(context.Context) (drivers.Source, error) {
		port, err := openSerial(p.Port, p.Baud)
		if err != nil {
			return nil, err
		}
		return d.Source(port), nil
	}
	return instrument{
		device: acquire.Device{Open: open, Spec: p.Spec, Port: p.Port, Gives: p.Fields},
		header: holdlog.Device{Port: p.Port, Gives: p.Fields, Baud: p.Baud, Scale: p.Scale, Zero: p.Zero},
	}, nil
}

func buildManual(p profile.Profile, o deviceOptions) (instrument, error) {
	if p.Port != "" || p.Fields != "" || p.Baud != 0 {
		return instrument{}, errors.New("device manual has no port: a person types its readings")
	}
	set := o.settings
	cfg := manual.Config{
		Unit: set.Display, OnPart: set.Thermometer == "part",
		PressureStep: set.PressureStep, TemperatureStep: set.TemperatureStep,
		AskEvery: time.Duration(set.AskEvery * float64(time.Second)),
	}
	if cfg.PressureStep == 0 {
		cfg.PressureStep = p.Spec.PressureStep
	}
	if cfg.TemperatureStep == 0 {
		cfg.TemperatureStep = p.Spec.TemperatureStep
	}
	m, err := manual.New(cfg)
	if err != nil {
		return instrument{}, err
	}
	return instrument{
		device: acquire.Device{Open: m.Open, Spec: m.Spec(), Unhurried: true, Finite: true},
		manual: m,
	}, nil
}

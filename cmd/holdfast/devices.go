package main

import (
	"cmp"
	"fmt"
	"io"
	"runtime"
	"slices"
	"strconv"
	"strings"

	"example.org/holdfast/drivers"
	"example.org/holdfast/drivers/kernel"
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

// deviceKind is a kind of device: its name after --device, the flags it has a
// use for, the systems it works on ("" = all), and how to set it up.
type deviceKind struct {
	name, what string
	takes      string
	only       string
	build      func(profile.Profile, deviceOptions) (instrument, error)
}

const onPort = "--port --usb --baud --parity --fields --scale --zero "

// deviceKinds are all there are. A new device is a folder of its own and a line here.
func deviceKinds() []deviceKind {
	const kernelFlags = "--port --fields --points --scale --zero --interval"
	return []deviceKind{
		{"line", "a sensor or board that prints lines on a serial port", onPort, "", buildLine},
		{"manual", "a needle gauge that a person reads", "", "", buildManual},
		{"modbus", "a transmitter that speaks MODBUS RTU, alone or on a bus", onPort + "--unit-id --interval", "", buildModbus},
		{"w1", "a 1-wire thermometer that the kernel reads", kernelFlags, "linux", buildKernel(kernel.NewW1)},
		{"iio", "a pressure sensor, barometer or converter that the kernel reads (industrial I/O)", kernelFlags, "linux", buildKernel(kernel.NewIIO)},
		{"hwmon", "a monitoring chip that the kernel reads", kernelFlags, "linux", buildKernel(kernel.NewHwmon)},
		{"pipe", "a program that prints lines: --command, or --port - for what is piped in", "--port --command --fields --scale --zero", "", buildPipe},
		{"scpi", "a bench instrument that answers SCPI queries on a serial port", onPort + "--interval", "", buildSCPI},
		{"nmea", "an instrument that sends NMEA XDR sentences on a serial port", onPort, "", buildNMEA},
		{"sim", "a simulated section, for trying things out", "", "", buildSim},
	}
}

// deviceOptions is what setting up a device may need beyond its own flags.
type deviceOptions struct {
	settings holdlog.Settings
	sim      simFlags
	buses    *buses    // that MODBUS units share
	stdin    io.Reader // for a device that reads what is piped in; nil = there is none
}

// deviceFlags are the flags of the devices, as kong sees them. Which port
// belongs to which device only their order says; groupDevices reads that.
type deviceFlags struct {
	Device   []string `group:"device" sep:"none" placeholder:"NAME" help:"line, manual, modbus and so on; holdfast devices lists them. May be repeated; the flags of this group belong to the device named before them."`
	Port     []string `group:"device" sep:"none" placeholder:"PATH" help:"Serial port, best by its name under /dev/serial/by-id; or the kernel's name of a chip; or - for what is piped in."`
	USB      []string `group:"device" name:"usb" sep:"none" placeholder:"1A86:7523" help:"The port by its USB numbers instead, with /SERIAL behind them where two adapters have the same."`
	Baud     []string `group:"device" sep:"none" placeholder:"9600" help:"Speed of the port."`
	Parity   []string `group:"device" sep:"none" placeholder:"none" help:"Parity of the port: none, even or odd."`
	UnitID   []string `group:"device" name:"unit-id" sep:"none" placeholder:"1" help:"Number of a MODBUS unit on its bus."`
	Fields   []string `group:"device" sep:"none" placeholder:"LIST" help:"What it gives: by position, pressure_bar_abs,-,ambient_c; or by key, P=pressure_bar,T=ambient_c; registers, channels and queries are keys."`
	Points   []string `group:"device" sep:"none" placeholder:"4mA=0bar,20mA=25bar" help:"Two points of a transmitter behind a converter."`
	Command  []string `group:"device" sep:"none" placeholder:"PROGRAM" help:"A program that prints one line per sample."`
	Interval []string `group:"device" sep:"none" placeholder:"1s" help:"Time between readings of a device that is asked."`
	Scale    []string `group:"device" sep:"none" placeholder:"1" help:"Multiplies the pressure."`
	Zero     []string `group:"device" sep:"none" placeholder:"0.02bar" help:"What the instrument shows without pressure; taken off. Below zero: --zero=-0.02bar."`
	Profile  []string `group:"device" sep:"none" placeholder:"FILE" help:"A TOML file that says all of it."`
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

// deviceSetters read the flags of one device. Its length is the list of them.
func deviceSetters() map[string]func(*profile.Profile, string) error {
	return map[string]func(*profile.Profile, string) error{
		"--device": nil, "--profile": nil, // these begin one
		"--port":    func(p *profile.Profile, s string) error { p.Port, p.USB, p.USBSerial = s, "", ""; return nil },
		"--fields":  func(p *profile.Profile, s string) error { p.Fields = s; return nil },
		"--command": func(p *profile.Profile, s string) error { p.Command = s; return nil },
		"--points":  func(p *profile.Profile, s string) error { p.Points = s; return nil },
		"--usb": func(p *profile.Profile, s string) error {
			p.Port = ""
			p.USB, p.USBSerial, _ = strings.Cut(s, "/")
			return nil
		},
		"--parity": func(p *profile.Profile, s string) error {
			if s != "none" && s != "even" && s != "odd" {
				return fmt.Errorf("%q is none of none, even, odd", s)
			}
			p.Parity = s
			return nil
		},
		"--unit-id": func(p *profile.Profile, s string) (err error) {
			if p.UnitID, err = strconv.Atoi(s); err != nil || p.UnitID < 1 || p.UnitID > 247 {
				return fmt.Errorf("%q is none of 1 to 247", s)
			}
			return nil
		},
		"--interval": func(p *profile.Profile, s string) error {
			d, err := profile.ParseInterval(s)
			p.Spec.Interval = d.Seconds()
			return err
		},
		"--baud": func(p *profile.Profile, s string) (err error) {
			if p.Baud, err = strconv.Atoi(s); err != nil {
				return fmt.Errorf("%q is no speed; give a number such as 115200", s)
			}
			return profile.CheckBaud(p.Baud)
		},
		"--scale": func(p *profile.Profile, s string) error {
			v, rest, err := units.ParseNumber(s)
			if err != nil || rest != "" {
				return fmt.Errorf("%q is no factor; give a number such as 0.1", s)
			}
			p.Scale = v
			return profile.CheckScale(v)
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
	o.buses = &buses{}
	for _, p := range profiles {
		k, err := kindNamed(p.Driver)
		if err != nil {
			return nil, err
		}
		if err := k.check(p); err != nil {
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
		describe(h, p)
		h.Name = ins.device.Name
		ins.device.Port, ins.device.Gives = cmp.Or(p.Port, p.USB), h.Gives
		h.PressureStep, h.PressureRange, h.PressureAccuracy = s.PressureStep, s.PressureRange, s.PressureAccuracy
		h.TemperatureStep, h.Interval = s.TemperatureStep, s.Interval
		out = append(out, ins)
	}
	return out, nil
}

// describe writes into the header what was said of a device.
func describe(h *holdlog.Device, p profile.Profile) {
	h.Port, h.USB, h.USBSerial = p.Port, p.USB, p.USBSerial
	h.Baud, h.Parity, h.UnitID = p.Baud, p.Parity, p.UnitID
	h.Command, h.Points = p.Command, p.Points
	h.Scale, h.Zero, h.Calibrated, h.Drift = p.Scale, p.Zero, p.Calibrated, p.Drift
	h.ZeroDrift, h.Stability = p.ZeroDrift, p.Stability
	if h.Gives == "" {
		h.Gives = p.Fields
	}
}

// check refuses a flag or key that the kind has no use for, and a system that it does not work on.
func (k deviceKind) check(p profile.Profile) error {
	for _, f := range []struct {
		flag  string
		given bool
	}{
		{"--port", p.Port != ""}, {"--usb", p.USB != ""}, {"--baud", p.Baud != 0}, {"--parity", p.Parity != ""},
		{"--unit-id", p.UnitID != 0}, {"--command", p.Command != ""}, {"--points", p.Points != ""}, {"--fields", p.Fields != ""},
	} {
		if f.given && !slices.Contains(strings.Fields(k.takes), f.flag) {
			return usage("`holdfast devices` says what each device takes.", "device %s has no %s", k.name, f.flag)
		}
	}
	if !k.worksHere() {
		return usage("`holdfast devices` says what works on this system.", "device %s works only on %s, not on %s", k.name, k.only, runtime.GOOS)
	}
	return nil
}

func (k deviceKind) worksHere() bool { return k.only == "" || k.only == runtime.GOOS }

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
			USB: d.USB, USBSerial: d.USBSerial, Parity: d.Parity, UnitID: d.UnitID, Command: d.Command,
			Points: d.Points, Calibrated: d.Calibrated, Drift: d.Drift, ZeroDrift: d.ZeroDrift, Stability: d.Stability,
			Spec: drivers.Spec{
				PressureStep: d.PressureStep, PressureRange: d.PressureRange, PressureAccuracy: d.PressureAccuracy,
				TemperatureStep: d.TemperatureStep, Interval: d.Interval,
			},
		})
	}
	return out
}

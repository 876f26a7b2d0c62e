package main

import (
	"context"
	"errors"
	"fmt"
	"os"
	"sync"
	"time"

	"example.org/holdfast/drivers"
	"example.org/holdfast/drivers/kernel"
	"example.org/holdfast/drivers/line"
	"example.org/holdfast/drivers/manual"
	"example.org/holdfast/drivers/modbus"
	"example.org/holdfast/drivers/nmea"
	"example.org/holdfast/drivers/pipe"
	"example.org/holdfast/drivers/scpi"
	"example.org/holdfast/internal/acquire"
	"example.org/holdfast/internal/holdlog"
	"example.org/holdfast/internal/profile"
)

// driverClock is the time of the devices that are asked.
func driverClock() drivers.Clock {
	begin := time.Now()
	return drivers.Clock{Now: func() time.Duration { return time.Since(begin) }, Sleep: sleep}
}

func calibration(p profile.Profile) drivers.Calibration {
	return drivers.Calibration{Scale: p.Scale, Zero: p.Zero}
}

func every(p profile.Profile) time.Duration {
	return time.Duration(p.Spec.Interval * float64(time.Second))
}

// known is what the person said of a device, and for the rest what its driver knows.
func known(said, driver drivers.Spec) drivers.Spec {
	if said.PressureStep == 0 {
		said.PressureStep = driver.PressureStep
	}
	if said.PressureRange == 0 {
		said.PressureRange = driver.PressureRange
	}
	if said.TemperatureStep == 0 {
		said.TemperatureStep = driver.TemperatureStep
	}
	if said.Interval == 0 {
		said.Interval = driver.Interval
	}
	return said
}

// needs refuses a device without its port or fields.
func needs(p profile.Profile, fields string) error {
	switch {
	case p.Port == "" && p.USB == "":
		return fmt.Errorf("device %s needs --port or --usb", p.Driver)
	case p.Fields == "":
		return fmt.Errorf("device %s needs --fields: %s", p.Driver, fields)
	}
	return nil
}

// onSerial is the instrument of a driver that has a serial port to itself.
func onSerial(p profile.Profile, d drivers.Driver) instrument {
	open := func(context.Context) (drivers.Source, error) {
		port, err := portOf(p).open()
		if err != nil {
			return nil, err
		}
		return d.Source(port), nil
	}
	return instrument{device: acquire.Device{Open: open, Spec: p.Spec}}
}

func buildLine(p profile.Profile, _ deviceOptions) (instrument, error) {
	if err := needs(p, "what a line holds, such as pressure_bar,ambient_c"); err != nil {
		return instrument{}, err
	}
	d, err := line.New(line.Config{Fields: p.Fields, Scale: p.Scale, Zero: p.Zero})
	return onSerial(p, d), err
}

func buildNMEA(p profile.Profile, _ deviceOptions) (instrument, error) {
	if err := needs(p, "the transducers by name, such as LINE=pressure_bar_abs,TEMP=ambient_c"); err != nil {
		return instrument{}, err
	}
	d, err := nmea.New(nmea.Config{Fields: p.Fields, Calibration: calibration(p)})
	return onSerial(p, d), err
}

func buildSCPI(p profile.Profile, _ deviceOptions) (instrument, error) {
	if err := needs(p, "the queries, such as MEAS:PRES?=pressure_bar_abs"); err != nil {
		return instrument{}, err
	}
	d, err := scpi.New(scpi.Config{Fields: p.Fields, Interval: every(p), Calibration: calibration(p), Clock: driverClock()})
	return onSerial(p, d), err
}

func buildModbus(p profile.Profile, o deviceOptions) (instrument, error) {
	if err := needs(p, "the registers, such as holding:0:float32=pressure_bar_abs"); err != nil {
		return instrument{}, err
	}
	clock := driverClock()
	u, err := modbus.New(modbus.Config{
		Fields: p.Fields, Unit: p.UnitID, Baud: p.Baud, Interval: every(p), Calibration: calibration(p), Clock: clock,
	})
	if err != nil {
		return instrument{}, err
	}
	open := func(context.Context) (drivers.Source, error) { return o.buses.open(u, portOf(p), clock) }
	return instrument{device: acquire.Device{Open: open, Spec: known(p.Spec, u.Spec())}}, nil
}

// buses are the serial lines that several MODBUS units share, by their port.
type buses struct {
	mu   sync.Mutex
	live map[serialID]*modbus.Bus
}

// open reads a unit on its bus, and opens the port if nobody has yet. The port
// may be opened anew while units still hold the bus that lost it: then it is in
// use, and acquire tries again.
func (b *buses) open(u *modbus.Unit, id serialID, clock drivers.Clock) (drivers.Source, error) {
	b.mu.Lock()
	defer b.mu.Unlock()
	if bus := b.live[id]; bus != nil {
		if src, err := u.On(bus); err == nil {
			return src, nil
		}
	}
	port, err := id.open()
	if err != nil {
		return nil, err
	}
	if b.live == nil {
		b.live = map[serialID]*modbus.Bus{}
	}
	bus := modbus.NewBus(port, id.baud, clock)
	b.live[id] = bus
	return u.On(bus)
}

// buildKernel sets up a chip that the kernel reads. Its port is the kernel's
// name of it, its folder, or nothing where there is only one.
func buildKernel(setUp func(kernel.Config) (*kernel.Chip, error)) func(profile.Profile, deviceOptions) (instrument, error) {
	return func(p profile.Profile, o deviceOptions) (instrument, error) {
		if p.Fields == "" && p.Driver == "w1" {
			p.Fields = "ambient_c"
			if o.settings.Thermometer == "part" {
				p.Fields = "section_c"
			}
		}
		root, device := kernel.Split(p.Port)
		c, err := setUp(kernel.Config{
			Root: os.DirFS(root), Device: device, Fields: p.Fields, Points: p.Points,
			Interval: every(p), Calibration: calibration(p), Clock: driverClock(),
		})
		if err != nil {
			return instrument{}, err
		}
		return instrument{
			device: acquire.Device{Open: c.Open, Spec: known(p.Spec, c.Spec())},
			header: holdlog.Device{Gives: p.Fields},
		}, nil
	}
}

func buildPipe(p profile.Profile, o deviceOptions) (instrument, error) {
	d, err := pipe.New(pipe.Config{Fields: p.Fields, Calibration: calibration(p)})
	if err != nil {
		return instrument{}, err
	}
	dev := acquire.Device{Spec: p.Spec}
	switch {
	case p.Command != "" && p.Port == "":
		dev.Open = func(context.Context) (drivers.Source, error) {
			port, err := startCommand(p.Command)
			if err != nil {
				return nil, err
			}
			return d.Source(port), nil
		}
	case p.Command == "" && p.Port == "-" && o.stdin != nil:
		dev.Finite = true
		dev.Open = func(context.Context) (drivers.Source, error) { return d.Source(newStdin(o.stdin)), nil }
	default:
		return instrument{}, errors.New("device pipe needs --command PROGRAM, or --port - to read what is piped in")
	}
	return instrument{device: dev}, nil
}

func buildManual(p profile.Profile, o deviceOptions) (instrument, error) {
	set := o.settings
	cfg := manual.Config{
		Unit: set.Display, Vacuum: set.Kind == "vacuum", OnPart: set.Thermometer == "part",
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

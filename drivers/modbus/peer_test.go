//go:build linux

package modbus

import (
	"context"
	"errors"
	"fmt"
	"io"
	"math"
	"strings"
	"testing"
	"time"

	"go.bug.st/serial"

	"example.org/holdfast/drivers"
	"example.org/holdfast/drivers/peertest"
)

// A peer is a server that is not ours, on the other end of a serial line.
type peer struct {
	name  string
	start func(t *testing.T, tty string)
}

func peers() []peer {
	return []peer{
		{"libmodbus", func(t *testing.T, tty string) { peertest.Libmodbus(t, tty, "1") }},
		{"pymodbus", func(t *testing.T, tty string) { peertest.Pymodbus(t, tty, "1", "7") }},
	}
}

func openLine(t *testing.T, tty string) io.ReadWriteCloser {
	t.Helper()
	port, err := serial.Open(tty, &serial.Mode{BaudRate: 9600, DataBits: 8})
	if err == nil {
		err = port.SetReadTimeout(100 * time.Millisecond)
	}
	if err != nil {
		t.Fatal(err)
	}
	return port
}

func realClock() drivers.Clock {
	begin := time.Now()
	return drivers.Clock{
		Now:   func() time.Duration { return time.Since(begin) },
		Sleep: func(_ context.Context, d time.Duration) error { time.Sleep(d); return nil },
	}
}

// Long: the table.
func TestServersThatAreNotOursAreReadRight(t *testing.T) {
	for _, p := range peers() {
		t.Run(p.name, func(t *testing.T) {
			line := peertest.NewLine(t)
			p.start(t, line.Far)
			bus := NewBus(openLine(t, line.Near), 9600, realClock())
			float := float64(float32(10.123456))
			for _, c := range []struct {
				fields string
				want   float64 // SI
				doubt  string
			}{
				{"holding:0:float32:abcd=pressure_bar_abs", float * 1e5, ""},
				{"holding:2:float32:cdab=pressure_bar_abs", float * 1e5, ""},
				{"holding:4:float32:badc=pressure_bar_abs", float * 1e5, ""},
				{"holding:6:float32:dcba=pressure_bar_abs", float * 1e5, ""},
				{"holding:8:int16*0.1+200=pressure_kpa", 76600, ""},
				{"holding:9:uint16*0.01=pressure_kpa", 543210, ""},
				{"holding:10:int32*0.5=pressure_pa", -61728, ""},
				{"holding:12:uint32*0.001=pressure_pa_abs", 3e6, ""},
				{"input:0:int16*0.1=section_c", 294.65, ""},
				{"input:1:float32:cdab=barometer_hpa", 101325, ""},
				{"holding:60:float32=pressure_bar", math.NaN(), "exception 2: illegal data address"},
			} {
				r := readOne(t, bus, Config{Fields: c.fields})
				got := r.Pressure
				switch {
				case strings.Contains(c.fields, "section"):
					got = float64(r.Section)
				case strings.Contains(c.fields, "barometer"):
					got = float64(r.Barometer)
				}
				if !strings.Contains(r.Doubt, c.doubt) || c.doubt == "" && (r.Doubt != "" || !(math.Abs(got-c.want) < 1e-3)) {
					t.Errorf("%s: %v with doubt %q, want %v with %q", c.fields, got, r.Doubt, c.want, c.doubt)
				}
			}
			r := readOne(t, bus, Config{Fields: "holding:0:float32=pressure_bar", Unit: 9, Patience: 200 * time.Millisecond, Retries: -1})
			if !strings.Contains(r.Doubt, "unit 9: no answer") {
				t.Errorf("a unit that is not there: %+v", r)
			}
		})
	}
}

// TestUnitsShareABus reads two units of one server in turn.
func TestUnitsShareABus(t *testing.T) {
	line := peertest.NewLine(t)
	peertest.Pymodbus(t, line.Far, "1", "7")
	bus := NewBus(openLine(t, line.Near), 9600, realClock())
	results := make(chan error)
	for _, unit := range []int{1, 7} {
		go func() { results <- readMany(bus, unit, 20) }()
	}
	for range 2 {
		if err := <-results; err != nil {
			t.Error(err)
		}
	}
	if _, err := mustUnit(t, Config{Fields: "holding:0=pressure_bar"}).On(bus); err == nil {
		t.Error("the bus can be joined after its port was closed")
	}
}

// readMany reads a unit of the pymodbus peer, whose register 8 says which it is.
func readMany(bus *Bus, unit, times int) error {
	u, err := New(Config{Fields: "holding:8:int16+10000=pressure_pa", Unit: unit, Interval: time.Millisecond, Clock: realClock()})
	if err != nil {
		return err
	}
	src, err := u.On(bus)
	if err != nil {
		return err
	}
	for range times {
		r, err := src.Read(context.Background())
		if want := float64(10000 - 1233 - unit); err != nil || r.Pressure != want {
			return fmt.Errorf("unit %d: %+v, %v, want %v Pa", unit, r, err, want)
		}
	}
	return src.Close()
}

// readOne reads once and leaves the port open, for it holds a place on the bus.
func readOne(t *testing.T, bus *Bus, cfg Config) drivers.Reading {
	t.Helper()
	cfg.Clock = realClock()
	src, err := mustUnit(t, cfg).On(bus)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { src.Close() })
	r, err := src.Read(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	return r
}

func TestUnpluggingEndsTheSource(t *testing.T) {
	line := peertest.NewLine(t)
	src := mustUnit(t, Config{Fields: "holding:0=pressure_bar", Clock: realClock()}).Source(openLine(t, line.Near))
	defer src.Close()
	time.AfterFunc(50*time.Millisecond, line.Pull)
	for range 3 {
		r, err := src.Read(t.Context())
		if err != nil {
			if errors.Is(err, context.Canceled) {
				t.Error(err)
			}
			return
		}
		t.Log(drivers.Printable(r.Doubt))
	}
	t.Error("the source goes on after its port is gone")
}

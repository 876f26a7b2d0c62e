// Package line reads instruments that print one line per measurement: numbers
// by position ("12.345,21.50", "12,345;21,50", tabs, spaces), by key
// ("P=12.345 T=21.5", "P: 12.3 bar") or as a flat JSON object
// ({"p":12.3,"t":21.5}). What a line holds is said by the person, in the
// column names of the CSV import, for no such device says it itself.
//
// The package opens no port. What it cannot read as it was told (boot text, a
// garbled number, an impossible value) becomes a Reading with Doubt and the
// device's words, never an error: only the port ends a Source. The first line
// after opening is dropped, because it may have begun before the port was open.
//
// Values are SI: pascal against the column's reference, kelvin.
package line

import (
	"context"
	"fmt"
	"io"
	"sync/atomic"

	"example.org/holdfast/drivers"
	"example.org/holdfast/internal/units"
)

// Config says how to read the lines of one instrument.
type Config struct {
	// Fields is what a line holds, by position ("pressure_bar_abs,-,ambient_c",
	// "-" skips one) or by key ("P=pressure_bar,T=ambient_c").
	Fields string
	// Scale multiplies the number of the pressure, before its unit; 0 = 1.
	Scale float64
	// Zero is what the instrument shows where there is no pressure, in pascal
	// after Scale; it is taken off.
	Zero units.PressureDiff
	// FromStart takes the first line for a whole one: it comes from a program
	// just started, not from an instrument that was talking already.
	FromStart bool
}

// New checks the configuration and gives the driver.
func New(cfg Config) (drivers.Driver, error) {
	l, err := parseFields(cfg.Fields)
	if err != nil {
		return nil, fmt.Errorf("line: %w", err)
	}
	l.cal = drivers.Calibration{Scale: cfg.Scale, Zero: cfg.Zero}
	if err := l.cal.Check(l.fields); err != nil {
		return nil, fmt.Errorf("line: %w", err)
	}
	return driver{l, cfg.FromStart}, nil
}

type driver struct {
	layout    layout
	fromStart bool
}

func (driver) Name() string { return "line" }

func (d driver) Source(port io.ReadWriteCloser) drivers.Source {
	s := &source{layout: d.layout, port: port, lines: drivers.NewLines(port)}
	if d.fromStart {
		s.lines = drivers.NewWholeLines(port)
	}
	return s
}

// source reads one opening of the port. Read is for one goroutine; Close for any.
type source struct {
	layout layout
	port   io.Closer
	lines  *drivers.Lines
	closed atomic.Bool
}

// Read gives the next line that holds anything. It returns between two reads
// of the port when the context has ended.
func (s *source) Read(ctx context.Context) (drivers.Reading, error) {
	for {
		line, err := s.lines.Next(ctx)
		switch {
		case err != nil && ctx.Err() != nil:
			return drivers.Reading{}, ctx.Err()
		case err != nil && s.closed.Load():
			return drivers.Reading{}, fmt.Errorf("line: closed: %w", err)
		case err != nil:
			return drivers.Reading{}, fmt.Errorf("line: %w", err)
		}
		if r, ok := s.layout.read(line); ok {
			return r, nil
		}
	}
}

func (s *source) Close() error {
	s.closed.Store(true)
	return s.port.Close()
}

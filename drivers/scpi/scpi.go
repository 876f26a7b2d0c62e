// Package scpi asks bench instruments for their readings in the words of SCPI:
// a query, ended by a line feed, is answered by a line with a number. The queries
// are the person's to give; MEAS:PRES? and MEAS:TEMP? are asked if none is. It
// sets nothing on the instrument.
//
// Sources: "Standard Commands for Programmable Instruments (SCPI) 1999", volume
// 1, section 7.2 (numbers; 9.9E37 stands for infinity, 9.91E37 for not a number),
// and the MEASure commands of volume 2, chapter 3: from memory. An answer carries
// no unit, so that the column of the field states it; where a unit follows all
// the same, it must agree. Accuracy is the instrument's. Values are SI.
package scpi

import (
	"context"
	"errors"
	"fmt"
	"io"
	"math"
	"strings"
	"sync/atomic"
	"time"

	"example.org/holdfast/drivers"
	"example.org/holdfast/internal/units"
)

// Config says what to ask of one instrument.
type Config struct {
	// Fields is which query gives what: "MEAS:PRES?=pressure_pa_abs,MEAS:TEMP?=ambient_c".
	Fields      string
	Interval    time.Duration // between readings; 0 = 1 s
	Patience    time.Duration // for an answer; 0 = 3 s, for a bench instrument may average
	Calibration drivers.Calibration
	Clock       drivers.Clock
}

const (
	defaultInterval = time.Second
	defaultPatience = 3 * time.Second
)

// New checks the configuration and gives the driver.
func New(cfg Config) (drivers.Driver, error) {
	fields, err := drivers.ParseFields(cfg.Fields)
	if err == nil {
		err = cfg.Calibration.Check(fields)
	}
	if err != nil {
		return nil, fmt.Errorf("scpi: %w", err)
	}
	if cfg.Clock.Now == nil || cfg.Clock.Sleep == nil {
		return nil, errors.New("scpi: no clock in the configuration")
	}
	if cfg.Interval <= 0 {
		cfg.Interval = defaultInterval
	}
	if cfg.Patience <= 0 {
		cfg.Patience = defaultPatience
	}
	d := driver{cfg: cfg}
	for _, f := range fields {
		if f.Skip {
			continue
		}
		if f.Key == "" {
			f.Key = defaultQuery(f.Column.Quantity)
		}
		if !strings.HasSuffix(f.Key, "?") || strings.ContainsFunc(f.Key, func(r rune) bool { return r < ' ' || r > '~' }) {
			return nil, fmt.Errorf("scpi: %q is no query; write QUERY?=COLUMN, such as MEAS:PRES?=pressure_bar_abs", f.Key)
		}
		d.fields = append(d.fields, f)
	}
	return d, nil
}

func defaultQuery(q units.Quantity) string {
	if q == units.PressureQuantity || q == units.BarometerQuantity {
		return "MEAS:PRES?"
	}
	return "MEAS:TEMP?"
}

type driver struct {
	cfg    Config
	fields []drivers.Field
}

func (driver) Name() string { return "scpi" }

func (d driver) Source(port io.ReadWriteCloser) drivers.Source {
	return &source{driver: d, port: port, lines: drivers.NewWholeLines(port), late: true}
}

// source is one opening of the port. Read is for one goroutine; Close for any.
type source struct {
	driver
	port   io.ReadWriteCloser
	lines  *drivers.Lines
	pace   drivers.Pace
	late   bool // words that answer no present question may come
	closed atomic.Bool
}

// Close closes the port.
func (s *source) Close() error {
	s.closed.Store(true)
	return s.port.Close()
}

// Read puts all queries when it is time. An instrument that does not answer is a reading with a doubt.
func (s *source) Read(ctx context.Context) (drivers.Reading, error) {
	r, err := s.read(ctx)
	switch {
	case err == nil:
		return r, nil
	case ctx.Err() != nil:
		return drivers.Reading{}, ctx.Err()
	case s.closed.Load():
		return drivers.Reading{}, fmt.Errorf("scpi: closed: %w", err)
	}
	return drivers.Reading{}, fmt.Errorf("scpi: %w", err)
}

func (s *source) read(ctx context.Context) (drivers.Reading, error) {
	if err := s.pace.Wait(ctx, s.cfg.Clock, s.cfg.Interval); err != nil {
		return drivers.Reading{}, err
	}
	r := drivers.Empty()
	var words []string
	for _, f := range s.fields {
		answer, err := s.ask(ctx, f.Key)
		if err != nil {
			return r, err
		}
		words = append(words, answer)
		if err := set(&r, f, answer, s.cfg.Calibration); err != nil {
			return drivers.Doubtful(strings.Join(words, "; "), err.Error()), nil
		}
	}
	r.Raw = drivers.Printable(strings.Join(words, "; "))
	return r, nil
}

// ask puts a query and waits for its line; "" = none came.
func (s *source) ask(ctx context.Context, query string) (string, error) {
	if err := s.drain(ctx); err != nil {
		return "", err
	}
	if _, err := io.WriteString(s.port, query+"\n"); err != nil {
		return "", err
	}
	for asked := s.cfg.Clock.Now(); s.cfg.Clock.Now()-asked <= s.cfg.Patience; {
		line, ok, err := s.lines.Poll()
		switch text := strings.TrimSpace(line.Text); {
		case err != nil:
			return "", err
		case ok && text != "" && text != query: // some instruments echo what they hear
			return text, nil
		}
		if err := ctx.Err(); err != nil {
			return "", err
		}
	}
	s.late = true
	return "", nil
}

// drainMost is how many reads of the port may go to an instrument that talks unasked.
const drainMost = 64

// drain lets the late answer to a question given up go by.
func (s *source) drain(ctx context.Context) error {
	for n := 0; s.late && n < drainMost; n++ {
		_, more, err := s.lines.Poll()
		if err != nil {
			return err
		}
		s.late = more
		if err := ctx.Err(); err != nil {
			return err
		}
	}
	s.lines.Forget()
	return nil
}

// overrange is what SCPI-99 volume 1, 7.2.1, sends for infinity; not a number is a little more.
const overrange = 9.9e37

// set reads an answer. Its error is a doubt.
func set(r *drivers.Reading, f drivers.Field, answer string, cal drivers.Calibration) error {
	if answer == "" {
		return fmt.Errorf("no answer to %s; check the baud rate, and whether the instrument wants to be set to remote", f.Key)
	}
	v, unit, err := units.ParseNumber(answer)
	switch {
	case err != nil:
		return fmt.Errorf("%s: %q is no usable number", f.Key, drivers.Printable(answer))
	case math.Abs(v) >= overrange:
		return fmt.Errorf("%s: the instrument says that it is overloaded or has no value", f.Key)
	case unit != "" && !f.Agrees(unit):
		return fmt.Errorf("%s: %q is not in the unit of %s", f.Key, drivers.Printable(answer), f.Name)
	}
	return f.Put(r, f.Column.SI(v), cal)
}

package modbus

import (
	"context"
	"errors"
	"fmt"
	"io"
	"math"
	"strings"
	"time"

	"example.org/holdfast/drivers"
	"example.org/holdfast/internal/units"
)

// Config says what to read of one unit.
type Config struct {
	// Fields is which registers hold what: "holding:0:float32:cdab=pressure_bar_abs,input:4:int16*0.1=section_c".
	Fields      string
	Unit        int           // its number on the line, 1 to 247; 0 = 1
	Baud        int           // of the port, for the silence between frames; 0 = 9600
	Interval    time.Duration // between readings; 0 = 1 s
	Patience    time.Duration // for an answer; 0 = 1 s
	Retries     int           // questions put again before a reading counts as failed; 0 = 2, below 0 = none
	Calibration drivers.Calibration
	Clock       drivers.Clock
}

// The defaults. On a line of 9600 baud answers typically take 1 s to several
// seconds at most: Serial Line V1.02, 2.4.1.
const (
	defaultInterval = time.Second
	defaultPatience = time.Second
	defaultRetries  = 2
	highestUnit     = 247 // Serial Line V1.02, 2.2
)

// Unit is one device on a line. It is a drivers.Driver.
type Unit struct {
	cfg    Config
	regs   []register
	blocks []block
}

// New checks the configuration.
func New(cfg Config) (*Unit, error) {
	fields, err := drivers.ParseFields(cfg.Fields)
	if err != nil {
		return nil, fmt.Errorf("modbus: %w: %s", err, keyHelp)
	}
	if err := cfg.Calibration.Check(fields); err != nil {
		return nil, fmt.Errorf("modbus: %w", err)
	}
	if cfg.Unit < 0 || cfg.Unit > highestUnit {
		return nil, fmt.Errorf("modbus: unit %d is none of 1 to %d", cfg.Unit, highestUnit)
	}
	if cfg.Clock.Now == nil || cfg.Clock.Sleep == nil {
		return nil, errors.New("modbus: no clock in the configuration")
	}
	u := &Unit{cfg: cfg.withDefaults()}
	for _, f := range fields {
		if f.Skip {
			continue
		}
		r, err := parseRegister(f)
		if err != nil {
			return nil, fmt.Errorf("modbus: %w", err)
		}
		u.regs = append(u.regs, r)
	}
	u.blocks = blocks(u.regs)
	return u, nil
}

func (c Config) withDefaults() Config {
	if c.Unit == 0 {
		c.Unit = 1
	}
	if c.Interval <= 0 {
		c.Interval = defaultInterval
	}
	if c.Patience <= 0 {
		c.Patience = defaultPatience
	}
	if c.Retries == 0 {
		c.Retries = defaultRetries
	}
	return c
}

// Name is "modbus".
func (u *Unit) Name() string { return "modbus" }

// Spec is what the configuration says of the readings.
func (u *Unit) Spec() drivers.Spec {
	s := drivers.Spec{Interval: u.cfg.Interval.Seconds()}
	for _, r := range u.regs {
		switch r.field.Column.Quantity {
		case units.PressureQuantity:
			s.PressureStep = units.PressureDiff(r.step())
		case units.AmbientQuantity, units.SectionQuantity:
			s.TemperatureStep = units.TempDiff(r.step())
		}
	}
	return s
}

// Source reads the unit on a port of its own.
func (u *Unit) Source(port io.ReadWriteCloser) drivers.Source {
	b := NewBus(port, u.cfg.Baud, u.cfg.Clock)
	b.users = 1
	return u.on(b)
}

// On reads the unit on a bus that it shares; its error says why the bus is of no use any more.
func (u *Unit) On(b *Bus) (drivers.Source, error) {
	if err := b.join(); err != nil {
		return nil, err
	}
	return u.on(b), nil
}

func (u *Unit) on(b *Bus) *source {
	s := &source{unit: u, bus: b}
	s.life, s.end = context.WithCancelCause(context.Background())
	return s
}

// source is one unit at work. Read is for one goroutine; Close for any.
type source struct {
	unit *Unit
	bus  *Bus
	pace drivers.Pace
	life context.Context // ends with Close
	end  context.CancelCauseFunc
}

var errClosed = errors.New("modbus: closed")

// Close leaves the bus.
func (s *source) Close() error {
	if s.life.Err() != nil {
		return nil
	}
	s.end(errClosed)
	return s.bus.leave()
}

// Read asks for all registers when it is time, and gives one reading. A unit
// that does not answer, or with an exception, is a reading with a doubt.
func (s *source) Read(ctx context.Context) (drivers.Reading, error) {
	work, cancel := context.WithCancel(ctx)
	defer cancel()
	defer context.AfterFunc(s.life, cancel)()
	r, err := s.read(work)
	switch {
	case err == nil:
		return r, nil
	case s.life.Err() != nil:
		return drivers.Reading{}, errClosed
	case ctx.Err() != nil:
		return drivers.Reading{}, ctx.Err()
	}
	return drivers.Reading{}, err
}

func (s *source) read(ctx context.Context) (drivers.Reading, error) {
	if err := s.pace.Wait(ctx, s.bus.clock, s.unit.cfg.Interval); err != nil {
		return drivers.Reading{}, err
	}
	var answers [][]byte
	for _, b := range s.unit.blocks {
		data, err := s.insist(ctx, b)
		if soft(err) {
			return drivers.Doubtful("", fmt.Sprintf("unit %d: %v", s.unit.cfg.Unit, err)), nil
		}
		if err != nil {
			return drivers.Reading{}, err
		}
		answers = append(answers, data)
	}
	return s.unit.reading(answers), nil
}

// soft errors are the unit's, not the port's.
func soft(err error) bool {
	var exception exceptionError
	return errors.Is(err, errNoAnswer) || errors.Is(err, errGarbled) || errors.As(err, &exception)
}

// busyPause is how long a unit gets that says it is busy. Common practice, no source.
const busyPause = 100 * time.Millisecond

// insist asks again where that may help. What it gives is the caller's to keep.
func (s *source) insist(ctx context.Context, b block) ([]byte, error) {
	for try := 0; ; try++ {
		data, err := s.bus.ask(ctx, byte(s.unit.cfg.Unit), b, s.unit.cfg.Patience)
		if err == nil {
			return data, nil
		}
		var exception exceptionError
		refused := errors.As(err, &exception) && !exception.passes()
		if !soft(err) || refused || try >= s.unit.cfg.Retries {
			return nil, err
		}
		if exception.passes() {
			if err := s.bus.clock.Sleep(ctx, busyPause); err != nil {
				return nil, err
			}
		}
	}
}

// reading makes a Reading of the answers, one for each block.
func (u *Unit) reading(answers [][]byte) drivers.Reading {
	r := drivers.Empty()
	words := u.words(answers)
	for _, reg := range u.regs {
		for i, b := range u.blocks {
			data, ok := reg.in(b, answers[i])
			if !ok {
				continue
			}
			if err := reg.put(&r, data, u.cfg.Calibration); err != nil {
				return drivers.Doubtful(words, err.Error())
			}
			break
		}
	}
	r.Raw = words
	return r
}

// put sets the register's quantity in r.
func (r register) put(to *drivers.Reading, data []byte, cal drivers.Calibration) error {
	v := r.value(data)
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return fmt.Errorf("%s: the unit says that it has no value (%v)", r.field.Name, v)
	}
	if err := r.field.Put(to, r.field.Column.SI(v), cal); err != nil {
		if r.kind == float32Kind {
			return fmt.Errorf("%w; perhaps its bytes come in another order than %s", err, r.order)
		}
		return err
	}
	return nil
}

// words are the registers in hex, in the order of the questions.
func (u *Unit) words(answers [][]byte) string {
	var text strings.Builder
	for i, b := range u.blocks {
		if i > 0 {
			text.WriteString("; ")
		}
		fmt.Fprintf(&text, "%d:", b.address)
		for at := 0; at < len(answers[i]); at += 2 {
			fmt.Fprintf(&text, " %02X%02X", answers[i][at], answers[i][at+1])
		}
	}
	return drivers.Printable(text.String())
}

// Package sim is the simulated instrument: a drivers.Source over internal/bench,
// so that the demonstration runs through the same acquisition, log and judgement as any gauge.
//
// It reads no clock. Simulated time goes on by one interval per reading and
// travels in Reading.Elapsed; how long a reading really takes is the business
// of the Sleep that is handed in.
package sim

import (
	"context"
	"errors"
	"fmt"
	"math"
	"sync"
	"time"

	"example.org/holdfast/drivers"
	"example.org/holdfast/internal/bench"
	"example.org/holdfast/internal/units"
)

// Config says what to simulate and how fast.
type Config struct {
	Params    bench.Params  // Interval 0 = 1 s
	Vacuum    *bench.Vacuum // an evacuated section instead; nil = none
	Seed      uint64
	Speed     float64 // simulated seconds per real second; 0 = 1
	Barometer bool    // a barometer is among the instruments, readable to 10 Pa
	// Sleep waits for d of real time, or until the context ends, whose error it then
	// gives. nil = no waiting: as fast as anybody reads.
	Sleep func(ctx context.Context, d time.Duration) error
}

// Simulator is one simulated hold. Its time goes on when a Source of it was
// closed and another is opened, as a real section leaks on while the gauge is unplugged.
type Simulator struct {
	cfg   Config
	mu    sync.Mutex
	at    func(t float64) bench.Sample
	truth bench.Truth
	next  float64 // s, bench time of the next reading
	first bool
}

// New sets up a simulated hold.
func New(cfg Config) (*Simulator, error) {
	if v := cfg.Vacuum; v != nil {
		cfg.Params = bench.Params{StartPressure: v.Base, PreRecord: v.Pumping, Interval: v.Interval, Sensor: bench.Sensor{Step: v.Gauge.Step}}
	}
	if cfg.Params.Interval == 0 {
		cfg.Params.Interval = 1
	}
	if cfg.Speed == 0 {
		cfg.Speed = 1
	}
	switch p := cfg.Params; {
	case !(p.StartPressure > 0) || math.IsInf(float64(p.StartPressure), 0):
		return nil, fmt.Errorf("sim: start pressure of %v Pa absolute cannot be simulated", float64(p.StartPressure))
	case !(p.Interval > 0) || math.IsInf(p.Interval, 0):
		return nil, fmt.Errorf("sim: interval of %v s cannot be simulated", p.Interval)
	case !(p.Leak >= 0) || math.IsInf(p.Leak, 0):
		return nil, fmt.Errorf("sim: leak of %v of the start pressure per hour cannot be simulated", p.Leak)
	case !(cfg.Speed > 0) || math.IsInf(cfg.Speed, 0):
		return nil, fmt.Errorf("sim: speed %v cannot be simulated", cfg.Speed)
	}
	s := &Simulator{cfg: cfg, first: true}
	if v := cfg.Vacuum; v != nil {
		s.at, s.truth = bench.NewVacuum(*v, cfg.Seed).At, bench.Truth{Rate: units.PaPerHour(v.Leak), Start: v.Base}
	} else {
		b := bench.New(cfg.Params, cfg.Seed)
		s.at, s.truth, s.cfg.Params.PreRecord = b.At, b.Truth(), b.Params().PreRecord
	}
	s.next = -s.cfg.Params.PreRecord
	return s, nil
}

// Spec is the data sheet of the simulated instruments.
func (s *Simulator) Spec() drivers.Spec {
	p := s.cfg.Params
	return drivers.Spec{
		PressureStep:    p.Sensor.Step,
		PressureRange:   p.Sensor.Range,
		TemperatureStep: p.RoomProbe.Step,
		Interval:        p.Interval,
	}
}

// Truth is what a good judgement of this hold should find; its times are
// Reading.Elapsed less Params.PreRecord.
func (s *Simulator) Truth() bench.Truth { return s.truth }

// Open gives a Source that goes on where the last one stopped.
func (s *Simulator) Open(ctx context.Context) (drivers.Source, error) {
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	return &source{sim: s, closed: make(chan struct{})}, nil
}

// source is one opening of a Simulator.
type source struct {
	sim    *Simulator
	once   sync.Once
	closed chan struct{}
}

var errClosed = errors.New("sim: closed")

// Close ends the Source; a Read that waits ends with its context.
func (s *source) Close() error {
	s.once.Do(func() { close(s.closed) })
	return nil
}

// Read waits one interval and gives the next reading; the first comes at once.
func (s *source) Read(ctx context.Context) (drivers.Reading, error) {
	for {
		select {
		case <-s.closed:
			return drivers.Reading{}, errClosed
		default:
		}
		if err := s.sim.wait(ctx); err != nil {
			return drivers.Reading{}, err
		}
		if sample := s.sim.step(); !sample.Missing {
			return s.sim.reading(sample), nil
		}
	}
}

// wait lets one interval pass.
func (s *Simulator) wait(ctx context.Context) error {
	s.mu.Lock()
	first := s.first
	s.first = false
	s.mu.Unlock()
	if err := ctx.Err(); err != nil {
		return err
	}
	if first || s.cfg.Sleep == nil {
		return nil
	}
	return s.cfg.Sleep(ctx, time.Duration(s.cfg.Params.Interval/s.cfg.Speed*float64(time.Second)))
}

// step takes the next sample.
func (s *Simulator) step() bench.Sample {
	s.mu.Lock()
	defer s.mu.Unlock()
	sample := s.at(s.next)
	sample.T = s.next
	s.next += s.cfg.Params.Interval
	return sample
}

// reading turns a sample into what the instruments would have sent.
func (s *Simulator) reading(sample bench.Sample) drivers.Reading {
	r := drivers.Empty()
	r.Elapsed = sample.T + s.cfg.Params.PreRecord
	r.Pressure, r.Ref = float64(sample.Pressure), units.AbsoluteRef
	if s.cfg.Params.Sensor.Gauge {
		r.Pressure, r.Ref = float64(sample.PressureGauge), units.GaugeRef
	}
	r.Ambient, r.Section = sample.Ambient, sample.Section
	r.Raw = fmt.Sprintf("P=%.0f", r.Pressure)
	for _, probe := range []struct {
		name string
		t    units.Temperature
	}{{"T", r.Ambient}, {"S", r.Section}} {
		if !math.IsNaN(float64(probe.t)) {
			r.Raw += fmt.Sprintf(" %s=%.4f", probe.name, probe.t.Celsius())
		}
	}
	if s.cfg.Barometer {
		r.Barometer = units.Absolute(math.Round(float64(sample.TrueBarometer)/10) * 10)
		r.Raw += fmt.Sprintf(" B=%.0f", float64(r.Barometer))
	}
	return r
}

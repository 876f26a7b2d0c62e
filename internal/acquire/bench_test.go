package acquire

import (
	"context"
	"errors"
	"fmt"
	"math"
	"strings"
	"sync"
	"testing"
	"time"

	"example.org/holdfast/drivers"
	"example.org/holdfast/internal/holdlog"
	"example.org/holdfast/internal/units"
)

// benchClock runs on the time of the synctest bubble, plus sleeps and steps of the wall clock.
type benchClock struct {
	mu             sync.Mutex
	origin         time.Time
	slept, stepped time.Duration
}

func newBenchClock() *benchClock { return &benchClock{origin: time.Now()} }

func (c *benchClock) Wall() time.Time {
	c.mu.Lock()
	defer c.mu.Unlock()
	return time.Now().Add(c.slept + c.stepped)
}

func (c *benchClock) Elapsed() time.Duration {
	c.mu.Lock()
	defer c.mu.Unlock()
	return time.Since(c.origin) + c.slept
}

func (c *benchClock) Awake() time.Duration { return time.Since(c.origin) }

func (c *benchClock) sleep(d time.Duration) {
	c.mu.Lock()
	defer c.mu.Unlock()
	c.slept += d
}

func (c *benchClock) step(d time.Duration) {
	c.mu.Lock()
	defer c.mu.Unlock()
	c.stepped += d
}

// script is a Source that waits and then says what next returns.
type script struct {
	every  time.Duration
	next   func(n int) (drivers.Reading, error)
	n      int
	closed chan struct{}
}

func newScript(every time.Duration, next func(n int) (drivers.Reading, error)) *script {
	return &script{every: every, next: next, closed: make(chan struct{})}
}

var errPulled = errors.New("port vanished")

// errMute as a result of next makes Read wait for ever.
var errMute = errors.New("mute")

func (s *script) Read(ctx context.Context) (drivers.Reading, error) {
	select {
	case <-time.After(s.every):
	case <-ctx.Done():
		return drivers.Reading{}, ctx.Err()
	}
	r, err := s.next(s.n)
	s.n++
	if err == errMute {
		<-ctx.Done()
		return r, ctx.Err()
	}
	return r, err
}

func (s *script) Close() error {
	close(s.closed) // a second Close panics and fails the test
	return nil
}

func gauge(bar float64) drivers.Reading {
	r := drivers.Empty()
	r.Pressure, r.Ref, r.Raw = bar*1e5, units.GaugeRef, fmt.Sprint(bar)
	return r
}

func room(c float64) drivers.Reading {
	r := drivers.Empty()
	r.Ambient, r.Raw = units.FromCelsius(c), fmt.Sprint(c)
	return r
}

func always(src func() drivers.Source) func(context.Context) (drivers.Source, error) {
	return func(context.Context) (drivers.Source, error) { return src(), nil }
}

func steady(every time.Duration, r drivers.Reading) func(context.Context) (drivers.Source, error) {
	return always(func() drivers.Source {
		return newScript(every, func(int) (drivers.Reading, error) { return r, nil })
	})
}

// book keeps what was emitted.
type book struct {
	mu      sync.Mutex
	records []holdlog.Record
}

func (b *book) emit(r holdlog.Record) {
	b.mu.Lock()
	defer b.mu.Unlock()
	b.records = append(b.records, r)
}

func (b *book) all() []holdlog.Record {
	b.mu.Lock()
	defer b.mu.Unlock()
	return append([]holdlog.Record(nil), b.records...)
}

func (b *book) samples() (s []holdlog.Record) { return b.of(holdlog.KindSample) }

func (b *book) of(k holdlog.Kind) (s []holdlog.Record) {
	for _, r := range b.all() {
		if r.Kind == k {
			s = append(s, r)
		}
	}
	return s
}

// events gives the events in short: "lost gauge@12.5(3)" with the seconds of the event.
func (b *book) events() string {
	var s []string
	for _, r := range b.of(holdlog.KindEvent) {
		s = append(s, fmt.Sprintf("%s %s@%.1f(%.1f)", r.Event.Kind, r.Event.Device, r.Elapsed, r.Event.Seconds))
	}
	return strings.Join(s, ", ")
}

// bench runs an Acquirer for some time inside a bubble and gives what it emitted.
func bench(t *testing.T, cfg Config, d time.Duration, during ...func(*Acquirer)) (*book, error) {
	t.Helper()
	b := &book{}
	if cfg.Emit == nil {
		cfg.Emit = b.emit
	} else {
		inner := cfg.Emit
		cfg.Emit = func(r holdlog.Record) { inner(r); b.emit(r) }
	}
	if cfg.Clock == nil {
		cfg.Clock = newBenchClock()
	}
	a, err := New(cfg)
	if err != nil {
		t.Fatal(err)
	}
	ctx, cancel := context.WithTimeout(t.Context(), d)
	defer cancel()
	for _, f := range during {
		go f(a)
	}
	err = a.Run(ctx)
	last := math.Inf(-1)
	for _, r := range b.all() {
		if r.Elapsed < last {
			t.Errorf("record at %v s came after one at %v s", r.Elapsed, last)
		}
		last = r.Elapsed
	}
	return b, err
}

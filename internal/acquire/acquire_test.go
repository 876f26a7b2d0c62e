package acquire

import (
	"context"
	"errors"
	"fmt"
	"io"
	"math"
	"strings"
	"sync"
	"testing"
	"testing/synctest"
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

// silent as a result of next makes Read wait for ever.
var silent = errors.New("silent")

func (s *script) Read(ctx context.Context) (drivers.Reading, error) {
	select {
	case <-time.After(s.every):
	case <-ctx.Done():
		return drivers.Reading{}, ctx.Err()
	}
	r, err := s.next(s.n)
	s.n++
	if err == silent {
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

func TestPressureIsPairedWithTheThermometersLatestReading(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		b, err := bench(t, Config{Devices: []Device{
			{Name: "gauge", Open: steady(time.Second, gauge(20))},
			{Name: "room", Open: steady(700*time.Millisecond, room(21.5))},
		}}, 10*time.Second+time.Millisecond)
		if err != nil {
			t.Fatal(err)
		}
		s := b.samples()
		var pressures int
		for _, r := range s {
			if math.IsNaN(r.Sample.Pressure) {
				if r.Elapsed > 1 {
					t.Errorf("lone temperature at %v s while pressures come", r.Elapsed)
				}
				continue
			}
			pressures++
			if r.Sample.Pressure != 20e5 || r.Sample.Device != 0 || r.Sample.Ambient != units.FromCelsius(21.5) {
				t.Errorf("sample at %v s: %+v", r.Elapsed, r.Sample)
			}
			if want := time.Duration(pressures) * time.Second; r.Elapsed != want.Seconds() {
				t.Errorf("sample %d stamped %v s, want %v", pressures, r.Elapsed, want)
			}
		}
		if pressures != 10 {
			t.Errorf("%d pressures in 10 s at 1 Hz", pressures)
		}
		if e := b.events(); e != "" {
			t.Errorf("events in a quiet hold: %s", e)
		}
	})
}

func TestTemperatureTooOldCountsAsNotMeasured(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		b, _ := bench(t, Config{Devices: []Device{
			{Name: "gauge", Open: steady(time.Second, gauge(20))},
			{Name: "room", Open: always(func() drivers.Source {
				return newScript(500*time.Millisecond, func(n int) (drivers.Reading, error) {
					if n > 0 {
						return drivers.Reading{}, silent
					}
					return room(21), nil
				})
			}), Unhurried: true, Spec: drivers.Spec{Interval: 4}},
		}}, 30*time.Second+time.Millisecond)
		for _, r := range b.samples() {
			if math.IsNaN(r.Sample.Pressure) {
				continue
			}
			// It spoke at 0.5 s; the limit is 15 s.
			if fresh := !math.IsNaN(float64(r.Sample.Ambient)); fresh != (r.Elapsed <= 15.5) {
				t.Errorf("at %v s: temperature %v", r.Elapsed, r.Sample.Ambient)
			}
		}
	})
}

func TestTemperatureAloneIsRecordedWhileNobodyReadsTheGauge(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		b, _ := bench(t, Config{Devices: []Device{
			{Name: "hand", Open: steady(10*time.Minute, gauge(20)), Unhurried: true},
			{Name: "room", Open: steady(10*time.Second, room(21))},
		}}, 30*time.Minute+time.Second)
		lone, pairs := 0, 0
		for _, r := range b.samples() {
			if math.IsNaN(r.Sample.Pressure) {
				lone++
				if r.Sample.Device != 1 {
					t.Errorf("lone temperature names device %d", r.Sample.Device)
				}
			} else {
				pairs++
			}
		}
		if pairs != 3 || lone < 170 {
			t.Errorf("%d pressures, %d lone temperatures", pairs, lone)
		}
		if e := b.events(); e != "" {
			t.Errorf("a person was called lost: %s", e)
		}
	})
}

func TestAnUnpluggedDeviceIsLostAtOnceAndBackWithItsGap(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		opened := 0
		open := func(context.Context) (drivers.Source, error) {
			opened++
			if opened > 1 && opened < 5 {
				return nil, errPulled
			}
			first := opened == 1
			return newScript(time.Second, func(n int) (drivers.Reading, error) {
				if first && n == 5 {
					return drivers.Reading{}, errPulled
				}
				return gauge(20), nil
			}), nil
		}
		b, _ := bench(t, Config{Devices: []Device{{Name: "gauge", Open: open}}}, 30*time.Second)
		// Last reading at 5 s, the error at 6; tries at 6.5, 7.5, 9.5, 13.5 s; its first reading a second later.
		want := "lost gauge@6.0(0.0), back gauge@14.5(9.5), gap gauge@14.5(9.5)"
		if got := b.events(); got != want {
			t.Errorf("events\n got %s\nwant %s", got, want)
		}
		if why := b.of(holdlog.KindEvent)[0].Event.Text; why != errPulled.Error() {
			t.Errorf("lost because of %q", why)
		}
		if n := len(b.samples()); n != 5+16 {
			t.Errorf("%d samples", n)
		}
	})
}

func TestASilentDeviceIsOpenedAgain(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		var sources []*script
		open := func(context.Context) (drivers.Source, error) {
			first := len(sources) == 0
			s := newScript(time.Second, func(n int) (drivers.Reading, error) {
				if first && n == 10 {
					return drivers.Reading{}, silent
				}
				return gauge(20), nil
			})
			sources = append(sources, s)
			return s, nil
		}
		b, _ := bench(t, Config{Devices: []Device{{Name: "gauge", Open: open, Spec: drivers.Spec{Interval: 2}}}}, 30*time.Second)
		// Last reading at 10 s, three periods of 2 s, 0.5 s back-off, 1 s to the next reading.
		want := "lost gauge@16.0(0.0), back gauge@17.5(7.5), gap gauge@17.5(7.5)"
		if got := b.events(); got != want {
			t.Errorf("events\n got %s\nwant %s", got, want)
		}
		for i, s := range sources {
			select {
			case <-s.closed:
			default:
				t.Errorf("source %d was left open", i)
			}
		}
	})
}

func TestASlowDeviceThatNobodyDescribedIsLearntNotLost(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		b, _ := bench(t, Config{Devices: []Device{{Name: "gauge", Open: steady(20*time.Second, gauge(20))}}}, 10*time.Minute+time.Second)
		if n, e := len(b.samples()), b.events(); n != 30 || e != "" {
			t.Errorf("%d samples, events %q", n, e)
		}
	})
}

func TestADeviceThatTalksNonsenseIsLostButNotReopened(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		opened := 0
		open := func(context.Context) (drivers.Source, error) {
			opened++
			return newScript(100*time.Millisecond, func(n int) (drivers.Reading, error) {
				if n < 20 || n > 220 {
					return gauge(20), nil
				}
				r := drivers.Empty()
				r.Raw, r.Doubt = "@@@", "no number"
				return r, nil
			}), nil
		}
		b, _ := bench(t, Config{Devices: []Device{{Name: "gauge", Open: open}}}, 30*time.Second)
		if opened != 1 {
			t.Errorf("opened %d times", opened)
		}
		if got := b.events(); got != "lost gauge@5.0(0.0), back gauge@22.2(20.2), gap gauge@22.2(20.2)" {
			t.Errorf("events %s", got)
		}
		rejects := b.of(holdlog.KindReject)
		counted := 0
		for _, r := range rejects {
			var n int
			if _, err := fmt.Sscanf(r.Why, "%d more", &n); err == nil {
				counted += n
			} else {
				counted++
				if r.Text != "@@@" || r.Why != "no number" {
					t.Errorf("reject %+v", r)
				}
			}
		}
		if counted != 201 {
			t.Errorf("%d rejects accounted for, want 201", counted)
		}
		if len(rejects) > 21*rejectsPerSecond+3 {
			t.Errorf("%d reject records in 20 s", len(rejects))
		}
	})
}

func TestADriverThatPanicsIsAnEventAndTheOthersGoOn(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		b, err := bench(t, Config{Devices: []Device{
			{Name: "bad", Open: always(func() drivers.Source {
				return newScript(time.Second, func(n int) (drivers.Reading, error) {
					if n == 2 {
						panic("index out of range")
					}
					return room(20), nil
				})
			})},
			{Name: "gauge", Open: steady(time.Second, gauge(20))},
		}}, 10*time.Second+time.Millisecond)
		if err != nil {
			t.Fatal(err)
		}
		if got := b.events(); !strings.HasPrefix(got, "lost bad@3.0(0.0), back bad@4.5(2.5)") {
			t.Errorf("events %s", got)
		}
		if why := b.of(holdlog.KindEvent)[0].Event.Text; !strings.Contains(why, "index out of range") {
			t.Errorf("lost because of %q", why)
		}
		n := 0
		for _, r := range b.samples() {
			if r.Sample.Device == 1 {
				n++
			}
		}
		if n != 10 {
			t.Errorf("the other device gave %d samples", n)
		}
	})
}

func TestASlowDiskDelaysNoReading(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		hung := false
		b, _ := bench(t, Config{
			Devices: []Device{{Name: "gauge", Open: steady(100*time.Millisecond, gauge(20))}},
			Emit: func(holdlog.Record) {
				if !hung {
					hung = true
					time.Sleep(5 * time.Minute)
				}
			},
		}, 6*time.Minute+time.Millisecond)
		s := b.samples()
		if len(s) != 3600 {
			t.Fatalf("%d samples of 3600", len(s))
		}
		for i, r := range s {
			if want := float64(i+1) / 10; math.Abs(r.Elapsed-want) > 1e-9 {
				t.Fatalf("sample %d stamped %v, want %v", i, r.Elapsed, want)
			}
		}
	})
}

func TestAFullQueueIsReportedAndKeepsPressuresLongest(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		hung := false
		b, _ := bench(t, Config{
			Backlog: 100,
			Devices: []Device{
				{Name: "gauge", Open: steady(time.Second, gauge(20))},
				{Name: "room", Open: steady(900*time.Millisecond, room(20))},
			},
			Emit: func(holdlog.Record) {
				if !hung {
					hung = true
					time.Sleep(3 * time.Minute)
				}
			},
		}, 4*time.Minute)
		pressures := 0
		for _, r := range b.samples() {
			if !math.IsNaN(r.Sample.Pressure) {
				pressures++
			}
		}
		if pressures < 120 { // room stops at 50 in the queue, so 74 of 100 are pressures, and those after
			t.Errorf("%d pressures kept", pressures)
		}
		lost := 0
		for _, r := range b.of(holdlog.KindEvent) {
			var n int
			if _, err := fmt.Sscanf(r.Event.Text, "the log did not keep up: %d", &n); err == nil {
				lost += n
			}
		}
		if lost < 200 {
			t.Errorf("%d readings reported lost", lost)
		}
	})
}

func TestClockStepAndSuspendAreEvents(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		clock := newBenchClock()
		b, _ := bench(t, Config{Clock: clock, Devices: []Device{{Name: "gauge", Open: steady(time.Second, gauge(20))}}},
			40*time.Second, func(*Acquirer) {
				time.Sleep(5500 * time.Millisecond)
				clock.step(-time.Hour)
				time.Sleep(10 * time.Second)
				clock.sleep(10 * time.Minute)
				time.Sleep(10 * time.Second)
				clock.step(300 * time.Millisecond) // NTP's business
			})
		got := b.events()
		if !strings.HasPrefix(got, "clock_step @6.0(-3600.0), ") || strings.Count(got, "clock_step") != 1 {
			t.Errorf("events %s", got)
		}
		if !strings.Contains(got, "suspend @616.0(600.0)") || !strings.Contains(got, "gap gauge@616.0(601.0)") {
			t.Errorf("events %s", got)
		}
		if strings.Contains(got, "lost") {
			t.Errorf("a sleep is no loss of the device: %s", got)
		}
	})
}

func TestInjectedRecordsAreStampedAndAStopIsTheLast(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		b, err := bench(t, Config{Offset: 1000, Devices: []Device{{Name: "gauge", Open: steady(time.Second, gauge(20))}}},
			time.Hour, func(a *Acquirer) {
				time.Sleep(2500 * time.Millisecond)
				a.Inject(holdlog.Record{Kind: holdlog.KindMark, Text: "door opened"})
				time.Sleep(time.Second)
				a.Inject(holdlog.Record{Kind: holdlog.KindEvent, Event: holdlog.Event{Kind: holdlog.EventStop}})
			})
		if err != nil {
			t.Fatal(err)
		}
		all := b.all()
		if m := b.of(holdlog.KindMark); len(m) != 1 || m[0].Elapsed != 1002.5 || m[0].Wall == 0 {
			t.Errorf("marks %+v", m)
		}
		if last := all[len(all)-1]; last.Event.Kind != holdlog.EventStop || last.Elapsed != 1003.5 {
			t.Errorf("last record %+v", last)
		}
		if n := len(b.samples()); n != 3 {
			t.Errorf("%d samples", n)
		}
	})
}

func TestADevicesOwnTimeIsUsed(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		b, _ := bench(t, Config{Devices: []Device{{
			Name: "sim", Spec: drivers.Spec{Interval: 5},
			Open: always(func() drivers.Source {
				return newScript(50*time.Millisecond, func(n int) (drivers.Reading, error) {
					r := gauge(20)
					r.Elapsed = float64(n) * 5
					return r, nil
				})
			}),
		}}}, 10*time.Second, func(a *Acquirer) {
			time.Sleep(5*time.Second + 10*time.Millisecond)
			a.Inject(holdlog.Record{Kind: holdlog.KindMark, Text: "now"})
		})
		s := b.samples()
		first := s[0]
		for i, r := range s {
			if r.Elapsed != float64(i)*5 || r.Wall-first.Wall != int64(i)*5000 {
				t.Fatalf("sample %d at %v s, wall +%d ms", i, r.Elapsed, r.Wall-first.Wall)
			}
		}
		if m := b.of(holdlog.KindMark); m[0].Elapsed != 495 { // 100 readings so far
			t.Errorf("mark at %v s", m[0].Elapsed)
		}
		if e := b.events(); e != "" {
			t.Errorf("events %s", e)
		}
	})
}

func TestFailureToOpenAtTheStartIsReturnedAndClosesTheRest(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		good := newScript(time.Second, func(int) (drivers.Reading, error) { return gauge(20), nil })
		_, err := bench(t, Config{Devices: []Device{
			{Name: "gauge", Open: always(func() drivers.Source { return good })},
			{Name: "room", Open: func(context.Context) (drivers.Source, error) { return nil, errPulled }},
		}}, time.Hour)
		var open *OpenError
		if !errors.As(err, &open) || open.Device != "room" || !errors.Is(err, errPulled) {
			t.Errorf("error %v", err)
		}
		<-good.closed
	})
}

func TestFiniteDevicesEndTheRun(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		b, err := bench(t, Config{Devices: []Device{{Name: "typed", Finite: true, Unhurried: true, Open: always(func() drivers.Source {
			return newScript(time.Minute, func(n int) (drivers.Reading, error) {
				if n == 3 {
					return drivers.Reading{}, io.EOF
				}
				return gauge(20), nil
			})
		})}}}, time.Hour)
		if !errors.Is(err, ErrEnded) || len(b.samples()) != 3 || b.events() != "" {
			t.Errorf("error %v, %d samples, events %q", err, len(b.samples()), b.events())
		}
	})
}

// deaf is a Source that heeds its Close only.
type deaf struct{ closed chan struct{} }

func (d deaf) Read(context.Context) (drivers.Reading, error) {
	<-d.closed
	return drivers.Reading{}, errors.New("closed")
}
func (d deaf) Close() error { close(d.closed); return nil }

func TestASourceDeafToItsContextIsClosedUnderneath(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		opened := 0
		b, _ := bench(t, Config{Devices: []Device{{Name: "gauge", Open: func(context.Context) (drivers.Source, error) {
			opened++
			if opened == 1 {
				return deaf{make(chan struct{})}, nil
			}
			return newScript(time.Second, func(int) (drivers.Reading, error) { return gauge(20), nil }), nil
		}}}}, 40*time.Second)
		if got := b.events(); got != "lost gauge@32.0(0.0), back gauge@33.5(0.0)" {
			t.Errorf("events %s", got)
		}
	})
}

func TestRunWaitsForNoDeafDevice(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		begin := time.Now()
		bench(t, Config{Devices: []Device{{Name: "gauge", Open: always(func() drivers.Source { return deaf{make(chan struct{})} })}}}, time.Second)
		if took := time.Since(begin); took > time.Second+leaveGrace {
			t.Errorf("Run came back after %v", took)
		}
		time.Sleep(closeGrace) // until the device is closed from outside and its goroutine ends
	})
}

func TestTheSystemClocksRun(t *testing.T) {
	c := SystemClock()
	before := look(c)
	time.Sleep(50 * time.Millisecond)
	slept, stepped, passed := look(c).since(before)
	if passed < 20*time.Millisecond || passed > 10*time.Second || slept.Abs() > time.Second || stepped.Abs() > time.Second {
		t.Errorf("passed %v, slept %v, stepped %v", passed, slept, stepped)
	}
	if ClockName() == "" {
		t.Error("the clock has no name")
	}
}

package acquire

import (
	"errors"
	"fmt"
	"io"
	"math"
	"strings"
	"testing"
	"testing/synctest"
	"time"

	"example.org/holdfast/drivers"
	"example.org/holdfast/internal/holdlog"
	"example.org/holdfast/internal/units"
)

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
			// The thermometer speaks every 0.7 s; at 7 s both speak, in any order.
			age := r.Elapsed - 0.7*math.Floor(r.Elapsed/0.7)
			if pressures != 7 && math.Abs(r.Sample.Skew-age) > 0.051 {
				t.Errorf("at %v s the temperature is %v s old, recorded as %v s", r.Elapsed, age, r.Sample.Skew)
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
						return drivers.Reading{}, errMute
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

// A temperature typed once must not stand beside every later pressure: it would say that the room
// never moved, and the fit would believe it.
func TestATypedTemperatureIsNotRepeated(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		b, _ := bench(t, Config{Devices: []Device{{Name: "hand", Open: always(func() drivers.Source {
			return newScript(10*time.Minute, func(n int) (drivers.Reading, error) {
				r := gauge(20)
				if n == 0 {
					r.Ambient = room(21).Ambient
				}
				return r, nil
			})
		}), Unhurried: true, Spec: drivers.Spec{Interval: 600}}}}, 45*time.Minute)
		for i, r := range b.samples() {
			if known := !math.IsNaN(float64(r.Sample.Ambient)); known != (i == 0) {
				t.Errorf("pressure %d: temperature %v", i, r.Sample.Ambient)
			}
		}
		if n := len(b.samples()); n < 3 {
			t.Errorf("%d samples", n)
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
				clock.step(-24 * time.Hour)
				time.Sleep(10 * time.Second)
				clock.sleep(10 * time.Minute)
				time.Sleep(10 * time.Second)
				clock.step(300 * time.Millisecond) // NTP's business
			})
		got := b.events()
		if !strings.HasPrefix(got, "clock_step @6.0(-86400.0), ") || strings.Count(got, "clock_step") != 1 {
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
		if m := b.of(holdlog.KindMark); m[0].Elapsed != 495 || m[0].Wall-first.Wall != 495000 { // 100 readings so far
			t.Errorf("mark at %v s, wall +%d ms", m[0].Elapsed, m[0].Wall-first.Wall)
		}
		if e := b.events(); e != "" {
			t.Errorf("events %s", e)
		}
	})
}

func TestASimulatorInHasteLosesNothing(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		const n = 5000
		b, err := bench(t, Config{Backlog: 50, Emit: func(holdlog.Record) { time.Sleep(time.Microsecond) }, Devices: []Device{{
			Name: "sim", Spec: drivers.Spec{Interval: 5}, Finite: true,
			Open: always(func() drivers.Source {
				return newScript(0, func(i int) (drivers.Reading, error) {
					if i == n {
						return drivers.Reading{}, io.EOF
					}
					r := gauge(20)
					r.Elapsed = float64(i) * 5
					return r, nil
				})
			}),
		}}}, time.Hour)
		if !errors.Is(err, ErrEnded) || len(b.samples()) != n || b.events() != "" {
			t.Errorf("%d samples of %d, events %q, %v", len(b.samples()), n, b.events(), err)
		}
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

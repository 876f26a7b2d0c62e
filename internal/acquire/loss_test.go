package acquire

import (
	"context"
	"errors"
	"fmt"
	"io"
	"strings"
	"testing"
	"testing/synctest"
	"time"

	"example.org/holdfast/drivers"
	"example.org/holdfast/internal/holdlog"
)

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
					return drivers.Reading{}, errMute
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
		if n, e := len(b.samples()), b.events(); n != 30 || e != "missing gauge@12.0(0.0), complete gauge@20.0(0.0)" {
			t.Errorf("%d samples, events %q", n, e)
		}
	})
}

// Long: one silence with all its accounts.
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

// clumsy is a Source that panics when it is closed.
type clumsy struct{ *script }

func (clumsy) Close() error { panic("closed twice") }

func TestAPanicInCloseIsSurvived(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		b, _ := bench(t, Config{Devices: []Device{{Name: "gauge", Open: always(func() drivers.Source {
			return clumsy{newScript(time.Second, func(n int) (drivers.Reading, error) {
				if n == 2 {
					return drivers.Reading{}, errPulled
				}
				return gauge(20), nil
			})}
		})}}}, 10*time.Second)
		if got := b.events(); !strings.HasPrefix(got, "lost gauge@3.0(0.0), back gauge@4.5(2.5)") {
			t.Errorf("events %s", got)
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
		if got := b.events(); got != "missing gauge@12.0(0.0), lost gauge@32.0(0.0), back gauge@33.5(0.0), complete gauge@33.5(0.0)" {
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

package acquire

import (
	"math"
	"strings"
	"testing"
	"testing/synctest"
	"time"

	"example.org/holdfast/drivers"
	"example.org/holdfast/internal/holdlog"
	"example.org/holdfast/internal/units"
)

// garbled is what a port at the wrong speed says.
func garbled() drivers.Reading {
	r := drivers.Empty()
	r.Raw, r.Doubt = "@@@", "no number"
	return r
}

func TestWhatNeverComesIsSaidWithinFifteenSeconds(t *testing.T) {
	both := func(int) (drivers.Reading, error) {
		r := gauge(20)
		r.Ambient = units.FromCelsius(21)
		return r, nil
	}
	for name, c := range map[string]struct {
		gives string
		read  func(int) (drivers.Reading, error)
		want  []string // in the text of the event; none = no event
	}{
		"silent port":    {"pressure_bar", func(int) (drivers.Reading, error) { return drivers.Reading{}, errMute }, []string{"nothing has come from ttyUSB0", "speed"}},
		"wrong speed":    {"pressure_bar", func(int) (drivers.Reading, error) { return garbled(), nil }, []string{"from ttyUSB0 cannot be read", "speed"}},
		"no thermometer": {"P=pressure_bar,T=ambient_c", func(int) (drivers.Reading, error) { return gauge(20), nil }, []string{"no ambient_c comes from ttyUSB0"}},
		"two fields":     {"pressure_bar,ambient_c,section_c", func(int) (drivers.Reading, error) { return gauge(20), nil }, []string{"no ambient_c and no section_c"}},
		"all there":      {"P=pressure_bar,T=ambient_c", both, nil},
		"a field passed": {"pressure_bar,-,ambient_c", both, nil},
	} {
		t.Run(name, func(t *testing.T) {
			synctest.Test(t, func(t *testing.T) {
				open := always(func() drivers.Source { return newScript(500*time.Millisecond, c.read) })
				b, _ := bench(t, Config{Devices: []Device{{Name: "line", Port: "ttyUSB0", Gives: c.gives, Open: open}}}, 15*time.Second)
				var said []holdlog.Record
				for _, r := range b.of(holdlog.KindEvent) {
					if r.Event.Kind == holdlog.EventMissing {
						said = append(said, r)
					}
				}
				if len(said) != min(len(c.want), 1) {
					t.Fatalf("%d events: %s", len(said), b.events())
				}
				for _, w := range c.want {
					if !strings.Contains(said[0].Event.Text, w) || said[0].Event.Device != "line" {
						t.Errorf("%+v, want %q in it", said[0].Event, w)
					}
				}
			})
		})
	}
}

func TestAFieldThatComesAfterAllIsSaidOnce(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		open := always(func() drivers.Source {
			return newScript(time.Second, func(n int) (drivers.Reading, error) {
				r := gauge(20)
				r.Ambient = units.Temperature(math.NaN())
				if n > 30 {
					r.Ambient = units.FromCelsius(21)
				}
				return r, nil
			})
		})
		b, _ := bench(t, Config{Devices: []Device{{Name: "line", Gives: "pressure_bar,ambient_c", Open: open}}}, time.Minute)
		if got := b.events(); got != "missing line@12.0(0.0), complete line@32.0(0.0)" {
			t.Errorf("events %s", got)
		}
	})
}

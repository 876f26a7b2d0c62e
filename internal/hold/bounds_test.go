package hold_test

import (
	"encoding/json"
	"fmt"
	"strings"
	"testing"

	"example.org/holdfast/internal/bench"
	"example.org/holdfast/internal/hold"
	"example.org/holdfast/internal/holdlog"
	"example.org/holdfast/internal/units"
)

// Each number of a header set to what it cannot be: it is said, the hold is
// judged without it, and nothing becomes a number that no file can hold.
func TestNumbersOfAHeaderThatCannotBeAreLeftOut(t *testing.T) {
	t.Parallel()
	recs := records(bench.BottleCooler(0), holdlog.Settings{}, false)[:700]
	for what, set := range map[string]func(*holdlog.Settings, *holdlog.Device, float64){
		"volume":                func(s *holdlog.Settings, _ *holdlog.Device, v float64) { s.Volume = units.Volume(v) },
		"volume error":          func(s *holdlog.Settings, _ *holdlog.Device, v float64) { s.VolumeError = v },
		"charge":                func(s *holdlog.Settings, _ *holdlog.Device, v float64) { s.Charge = units.Mass(v) },
		"pressure range":        func(_ *holdlog.Settings, d *holdlog.Device, v float64) { d.PressureRange = units.PressureDiff(v) },
		"pressure step":         func(_ *holdlog.Settings, d *holdlog.Device, v float64) { d.PressureStep = units.PressureDiff(v) },
		"temperature step":      func(_ *holdlog.Settings, d *holdlog.Device, v float64) { d.TemperatureStep = units.TempDiff(v) },
		"stability":             func(_ *holdlog.Settings, d *holdlog.Device, v float64) { d.Stability = units.PressureRate(v) },
		"time between readings": func(_ *holdlog.Settings, d *holdlog.Device, v float64) { d.Interval = v },
	} {
		for _, v := range []float64{1e308, -1e308, 1e200, -1} {
			s := holdlog.Settings{For: 3600, Limit: "0.4%/h", Volume: 0.3e-3, Refrigerant: "R290", Charge: 0.06}
			d := holdlog.Device{Name: "line"}
			set(&s, &d, v)
			changed := append([]holdlog.Record{holdlog.HeaderRecord(holdlog.Header{Settings: s, Devices: []holdlog.Device{d}}, 1000)}, recs[1:]...)
			st := apply(changed).State()
			if _, err := json.Marshal(st); err != nil {
				t.Errorf("%s %g: %v", what, v, err)
			}
			if said := fmt.Sprint(st.Events); !strings.Contains(said, what+" "+fmt.Sprintf("%.3g", v)+" cannot be") {
				t.Errorf("%s %g: the events are %s", what, v, said)
			}
			if err := hold.Check(s); d == (holdlog.Device{Name: "line"}) && err == nil {
				t.Errorf("%s %g is taken", what, v)
			}
		}
	}
}

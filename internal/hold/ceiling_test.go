package hold_test

import (
	"strings"
	"testing"

	"example.org/holdfast/internal/hold"
	"example.org/holdfast/internal/holdlog"
	"example.org/holdfast/internal/units"
)

// above records a section at 12 bar gauge under these settings.
func above(set holdlog.Settings) *hold.State {
	h := hold.New()
	h.Apply(holdlog.HeaderRecord(holdlog.Header{Settings: set}, 0))
	s := holdlog.NoSample()
	s.Pressure, s.Ref = 12e5, units.GaugeRef
	for t := range 3 {
		h.Apply(holdlog.Record{Kind: holdlog.KindSample, Elapsed: float64(t), Sample: s})
	}
	return h.State()
}

func TestCeilingRingsUnlessAReasonIsTyped(t *testing.T) {
	rings := above(holdlog.Settings{Ceiling: 10e5})
	if n := len(rings.Alarms); n != 1 || rings.Alarms[0].Kind != hold.AlarmCeiling {
		t.Errorf("at 12 of 10 bar: %d alarms", n)
	}
	quiet := above(holdlog.Settings{Ceiling: 10e5, OverCeiling: "new evaporator, rated 25 bar"})
	if n := len(quiet.Alarms); n != 0 {
		t.Errorf("with a reason: %d alarms", n)
	}
	noted := 0
	for _, e := range quiet.Events {
		if strings.Contains(e.Event.Text, "new evaporator, rated 25 bar") {
			noted++
		}
	}
	if noted != 1 {
		t.Errorf("the reason is noted %d times", noted)
	}
}

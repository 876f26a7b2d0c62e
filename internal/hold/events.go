package hold

import (
	"slices"

	"example.org/holdfast/internal/holdlog"
	"example.org/holdfast/internal/units"
)

// eventAt keeps the newest events. Slices in a State are never changed in place,
// because older States share them.
func (h *Hold) eventAt(t float64, e holdlog.Event) {
	ev := h.s.Events
	if len(ev) >= eventsMost {
		ev = ev[1:]
	}
	h.s.Events = append(slices.Clone(ev), EventAt{Elapsed: t, Event: e})
}

func (h *Hold) alarm(t float64, k AlarmKind, text string) {
	a := h.s.Alarms
	if len(a) >= alarmsMost {
		return
	}
	h.s.Alarms = append(slices.Clone(a), Alarm{Elapsed: t, Kind: k, Text: text})
}

// ceiling rings once when the pressure is above what the section may hold; where
// a reason was typed it is noted instead.
func (h *Hold) ceiling(t float64) {
	c := h.s.Header.Settings.Ceiling
	if c <= 0 || h.s.Gauge <= c || h.ceilingRung {
		return
	}
	h.ceilingRung = true
	above := "above the ceiling of " + units.FormatPressure(float64(c), h.unit())
	if why := h.s.Header.Settings.OverCeiling; why != "" {
		h.event(holdlog.Event{Kind: holdlog.EventSettings, Text: above + "; the reason given: " + why})
		return
	}
	h.alarm(t, AlarmCeiling, above+": let pressure off")
}

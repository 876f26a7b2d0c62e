package hold

import (
	"slices"

	"example.org/holdfast/internal/holdlog"
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

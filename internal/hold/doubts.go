package hold

import (
	"slices"
	"strings"

	"example.org/holdfast/internal/holdlog"
	"example.org/holdfast/internal/verdict"
)

// missing keeps what a device was meant to give and does not, until it does.
func (h *Hold) missing(e holdlog.Event) {
	of := e.Device + ": "
	left := slices.DeleteFunc(slices.Clone(h.s.Missing), func(s string) bool { return strings.HasPrefix(s, of) })
	if e.Kind == holdlog.EventMissing {
		left = append(left, of+e.Text)
	}
	h.s.Missing = left
}

// doubts are the warnings that come from the settings and the devices, not from the fit.
func (h *Hold) doubts() (w []string) {
	for _, text := range h.s.Missing {
		w = append(w, "From "+text+".")
	}
	if u := h.setup; u.toleranceLacks != "" {
		w = append(w, "The tolerated loss of "+h.s.Header.Settings.Tolerate+" sets no limit yet: "+u.toleranceLacks+" missing.")
	}
	if text := h.unread.doubt(); text != "" {
		w = append(w, text)
	}
	if text := h.unitDoubt(); text != "" {
		w = append(w, text)
	}
	if text := h.weather.doubt(h.s.Estimate, h.s.LimitRate, h.s.Elapsed); text != "" {
		w = append(w, text)
	}
	return w
}

// unfilled is the verdict while there is nothing to judge.
func (h *Hold) unfilled(in verdict.Input) verdict.Verdict {
	in.Estimate.Valid = false
	v := verdict.Judge(in)
	v.MoreHold = -1
	switch {
	case !h.s.HasPressure:
		v.Phrase = "no pressure yet"
		v.Reasons = []string{"No pressure has been read yet."}
		v.Advice = []string{"Check that the gauge is connected and switched on."}
	case float64(h.s.Gauge) > openGauge:
		v.Phrase = "waiting for the pressure to stand still"
	default:
		v.Phrase = "not filled, nothing to judge"
		v.Reasons = []string{"The pressure is that of the air around: no gas has been let in."}
		v.Advice = []string{"Fill the section, then close the valve at the part.",
			"If it is filled: is the valve to the gauge open, and does the gauge show gauge or absolute pressure?"}
	}
	v.Warnings = append(v.Warnings, h.doubts()...)
	return v
}

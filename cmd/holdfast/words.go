package main

import (
	"fmt"
	"math"

	"example.org/holdfast/internal/hold"
	"example.org/holdfast/internal/holdlog"
	"example.org/holdfast/internal/units"
	"example.org/holdfast/internal/verdict"
)

// stateWords is the line of an interval: pressure, corrected, leak, verdict.
func stateWords(st *hold.State) string {
	if st.Header.Settings.Kind == "vacuum" {
		return vacuumPressure(float64(st.Pressure)) + "; " + verdictWords(st.Verdict)
	}
	unit := or(st.Header.Settings.Display, "bar")
	text := units.FormatPressureFine(gaugeOf(st, float64(st.Pressure)), unit) + " gauge"
	if len(st.Lost) > 0 {
		text = fmt.Sprintf("no readings for %s, last %s", duration(math.Max(st.Elapsed-st.LastSampleAt, 0)), text)
	}
	if e := st.Estimate; e.Valid {
		rate := func(v float64) string { return units.FormatPressureRate(units.PressureRate(v), unit) }
		text += fmt.Sprintf(", corrected %s, leak %s (%s to %s)", units.FormatPressureFine(gaugeOf(st, e.Corrected), unit),
			rate(e.Rate.Value), rate(e.Rate.Lo), rate(e.Rate.Hi))
	}
	return text + "; " + verdictWords(st.Verdict)
}

func verdictWords(v verdict.Verdict) string {
	if v.Phrase == "" {
		return string(v.Word)
	}
	return string(v.Word) + ", " + v.Phrase
}

func gaugeOf(st *hold.State, pa float64) float64 {
	return float64(units.Absolute(pa).Gauge(st.Atmosphere))
}

func phaseWords(st *hold.State) string {
	if st.Rise != nil && st.Phase == hold.Holding {
		return "closed off under vacuum: watching the rise"
	}
	switch st.Phase {
	case hold.Settling:
		start := float64(st.Pressure)
		if len(st.Curve) > 0 {
			start = st.Curve[0].Raw
		}
		return fmt.Sprintf("closed at %s gauge, settling; the hold of %s begins",
			units.FormatPressureFine(gaugeOf(st, start), or(st.Header.Settings.Display, "bar")), duration(st.HoldFor))
	case hold.Holding:
		return "holding: the heat of filling no longer matters much"
	}
	return string(st.Phase)
}

func alarmWords(a hold.Alarm) string {
	switch a.Kind {
	case hold.AlarmLeak:
		return "leaking, " + a.Text
	case hold.AlarmTight:
		return "tight, " + a.Text
	}
	return a.Text
}

// eventWords says an event of the log.
func eventWords(e holdlog.Event) string {
	text := string(e.Kind)
	switch e.Kind {
	case holdlog.EventRefill:
		text = "a new filling"
	case holdlog.EventClosed:
		text = "the valve is closed"
	case holdlog.EventLost:
		text = "lost " + e.Device + ", trying again"
	case holdlog.EventBack:
		text = e.Device + " is back" + after(" after ", e.Seconds)
	case holdlog.EventMissing:
		text = e.Device
	case holdlog.EventComplete:
		text = e.Device + " gives all it should now"
	case holdlog.EventGap:
		text = "gap: nothing recorded" + after(" for ", e.Seconds)
	case holdlog.EventClockStep:
		text = "the wall clock jumped; the fit does not care"
	case holdlog.EventSuspend:
		text = "gap: asleep" + after(" for ", e.Seconds)
	case holdlog.EventContinued:
		text = "the log goes on after a gap" + after(" of ", e.Seconds)
	case holdlog.EventRecovered:
		text = "a torn last line was set aside"
	case holdlog.EventWriteError:
		text = "the disk"
	case holdlog.EventStop:
		text = "stopped"
	case holdlog.EventSignal:
		text = "ended by the system"
	case holdlog.EventSettings:
		text = "settings"
	}
	if e.Text != "" {
		text += ": " + e.Text
	}
	return text
}

// after says how long something took, where that is known.
func after(word string, s float64) string {
	if s <= 0 {
		return ""
	}
	return word + duration(s)
}

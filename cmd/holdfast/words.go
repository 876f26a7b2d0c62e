package main

import (
	"fmt"
	"math"
	"strings"

	"example.org/holdfast/internal/hold"
	"example.org/holdfast/internal/holdlog"
	"example.org/holdfast/internal/units"
	"example.org/holdfast/internal/verdict"
)

// stateWords is the line of an interval at a time of the hold, s: the verdict
// first, for ears and small displays, then what the screen shows beside it.
func stateWords(st *hold.State, now float64) string {
	parts := []string{verdictWords(st.Verdict), readingWords(st)}
	if silent := silentFor(st, now); silent > 0 {
		parts = append([]string{"no readings for " + duration(silent) + ", the last said"}, parts...)
	}
	if rate := rateWords(st); rate != "" {
		parts = append(parts, rate)
	}
	return strings.Join(append(parts, timeWords(st, now)...), "; ")
}

// silentFor is how long readings have been missing, s; 0 = they come.
func silentFor(st *hold.State, now float64) float64 {
	age := now - st.LastSampleAt
	if st.Samples == 0 || len(st.Lost) == 0 && age <= math.Max(3*math.Max(st.Interval, st.Header.Settings.AskEvery), leastSilence) {
		return 0
	}
	return math.Max(age, 0)
}

// leastSilence is the silence from which on it is said, however fast the instrument is, s.
const leastSilence = 20.0

// readingWords is the last reading: pressure, as it would be at the temperature of the start, temperatures.
func readingWords(st *hold.State) string {
	unit := or(st.Header.Settings.Display, "bar")
	text := units.FormatPressureFine(gaugeOf(st, float64(st.Pressure)), unit) + " gauge"
	if st.Header.Settings.Kind == "vacuum" {
		text = vacuumPressure(float64(st.Pressure))
	} else if e := st.Estimate; e.Valid {
		text += ", corrected " + units.FormatPressureFine(gaugeOf(st, e.Corrected), unit)
	}
	if st.HasAmbient {
		text += ", air " + units.FormatTemperature(st.Ambient, "C")
	}
	if st.HasSection {
		text += ", part " + units.FormatTemperature(st.Section, "C")
	}
	return text
}

// rateWords is the leak with its interval and what could hide, of a vacuum the rise; "" = nothing is known yet.
func rateWords(st *hold.State) string {
	if r := st.Rise; r != nil {
		if !r.Valid {
			return ""
		}
		perHour := func(v float64) string { return units.Significant(v*units.SecondsPerHour, 2) }
		text := fmt.Sprintf("steady rise %s Pa/h (%s to %s)", perHour(r.Leak.Value), perHour(r.Leak.Lo), perHour(r.Leak.Hi))
		if r.Plateau.Value > 0 {
			text += ", would level off at " + vacuumPressure(r.Plateau.Value)
		}
		return text
	}
	e := st.Estimate
	if !e.Valid {
		return ""
	}
	unit := or(st.Header.Settings.Display, "bar")
	rate := func(v float64) string { return units.FormatPressureRate(units.PressureRate(v), unit) }
	lo, hi := rate(e.Rate.Lo), rate(e.Rate.Hi)
	if number, unit, _ := strings.Cut(lo, " "); strings.HasSuffix(hi, " "+unit) { // the unit is said once
		lo = number
	}
	text := fmt.Sprintf("leak %s (%s to %s)", rate(e.Rate.Value), lo, hi)
	if hides := st.Verdict.Hides; hides.PercentPerHour > 0 {
		what := "could hide "
		if st.Verdict.Word == verdict.Leaking {
			what = "at most "
		}
		text += ", " + what + units.Significant(hides.PercentPerHour, 2) + " %/h"
		if hides.HasRefrigerant && !strings.Contains(st.Verdict.Phrase, "nothing above") { // else the phrase has it
			text += ", " + units.FormatMassRate(hides.Refrigerant)
		}
	}
	return text
}

// timeWords is how much of the set time is left, and whether holding on would decide.
func timeWords(st *hold.State, now float64) (out []string) {
	if st.Phase != hold.Settling && st.Phase != hold.Holding {
		return nil
	}
	if left := st.SegmentStart + st.HoldFor - now; left > 0 {
		out = append(out, roughly(left)+" left")
	}
	v := st.Verdict
	if v.Word != verdict.Unproven || !v.Limit.Set || st.Rise == nil && !st.Estimate.Valid {
		return out
	}
	switch {
	case v.MoreHold > 0:
		out = append(out, "about "+roughly(v.MoreHold)+" more would decide")
	case v.MoreHold < 0:
		out = append(out, "a longer hold would not help")
	}
	return out
}

// roughly says a time of several minutes in whole ones.
func roughly(s float64) string {
	if s >= 300 {
		s = math.Ceil(s/60) * 60
	}
	return duration(s)
}

// limitWords is the limit as it is understood here.
func limitWords(st *hold.State) string {
	switch l := st.Verdict.Limit; {
	case st.Header.Settings.Kind == "vacuum":
		return "accepted: " + or(st.Header.Settings.Accept, "nothing is set")
	case !l.Set:
		return "no limit is set"
	case st.LimitRate > 0:
		return "limit " + l.Text + ", here " + units.FormatPressureRate(units.PressureRate(st.LimitRate), or(st.Header.Settings.Display, "bar"))
	default:
		return "limit " + l.Text
	}
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
		return "closed off under vacuum: watching the rise for " + duration(st.HoldFor) + "; " + limitWords(st)
	}
	switch st.Phase {
	case hold.Filling:
		if st.Header.Settings.Kind == "vacuum" {
			return "pumping down"
		}
	case hold.Settling:
		start := float64(st.Pressure)
		if len(st.Curve) > 0 {
			start = st.Curve[0].Raw
		}
		return fmt.Sprintf("closed at %s gauge, settling; the hold of %s begins; %s",
			units.FormatPressureFine(gaugeOf(st, start), or(st.Header.Settings.Display, "bar")), duration(st.HoldFor), limitWords(st))
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

package main

import (
	"errors"
	"fmt"
	"math"
	"strings"
	"sync"
	"time"

	"example.org/holdfast/internal/hold"
	"example.org/holdfast/internal/holdlog"
	"example.org/holdfast/internal/tui/holdscreen"
	"example.org/holdfast/internal/units"
)

// supposition is what a saved hold is judged by instead of what its record says.
type supposition struct {
	over        override
	air         bool    // the barometer is supposed: measured ones do not count
	thermometer string  // "" = as recorded
	start, end  float64 // s since the first record; samples outside do not count
}

// The questions of the panel, in their order.
const (
	askVolume = iota
	askLimit
	askGas
	askAir
	askThermometer
	askFrom
	askTo
)

// supposable are the questions of the panel.
func supposable() []holdscreen.Ask {
	return []holdscreen.Ask{
		{Label: "volume", Hint: "Of the section: 0.3L, 0.3L +-5%."},
		{Label: "limit", Hint: "0.4%/h, 5mbar/h, or 3g/yr with volume and refrigerant."},
		{Label: "gas", Hint: "What was filled in: nitrogen, dry air, argon, helium, CO2."},
		{Label: "air pressure", Hint: "Around the gauge, 1002mbar, or the height above the sea, 1400m."},
		{Label: "thermometer", Hint: "none: without it. room, part: taken as there. 2K: true to 2 K only, so that it weighs less."},
		{Label: "from", Hint: "Time after the filling from which on it counts: 10min."},
		{Label: "to", Hint: "Time after the filling up to which it counts: 50min."},
	}
}

// whatIf offers the questions for a saved hold. Judging reads the records, waits
// for the last of them and changes none.
func whatIf(t *tape) *holdscreen.WhatIf {
	recorded := sync.OnceValues(func() (*hold.State, error) {
		records, err := t.whole()
		h := hold.New()
		for r := range records.all() {
			h.Apply(r)
		}
		return h.State(), err
	})
	return &holdscreen.WhatIf{
		Asks: supposable(),
		Was:  asRecorded,
		Read: func(i int, text string) (string, error) {
			answers := make([]string, askTo+1)
			answers[i] = text
			if _, err := suppose(answers, 0); err != nil {
				return "", withoutFlag(err)
			}
			return echoOf(i, text), nil
		},
		Judge: func(answers []string) (*hold.State, error) {
			st, err := recorded()
			if err != nil || strings.Join(answers, "") == "" {
				return st, err
			}
			s, err := suppose(answers, st.SegmentStart)
			if err != nil {
				return nil, err
			}
			return s.judge(t.so())
		},
	}
}

// withoutFlag takes the name of a flag off an error: in a form the question stands beside it.
func withoutFlag(err error) error {
	if flag, rest, ok := strings.Cut(err.Error(), ": "); ok && strings.HasPrefix(flag, "--") {
		return errors.New(rest)
	}
	return err
}

// asRecorded is the answers that the record itself gives.
func asRecorded(st *hold.State) []string {
	set := st.Header.Settings
	volume := "not known"
	if set.Volume > 0 {
		volume = units.FormatVolume(set.Volume)
	}
	place := "none"
	switch {
	case set.Thermometer != "":
		place = set.Thermometer
	case st.HasSection:
		place = "part"
	case st.HasAmbient:
		place = "room"
	}
	held := time.Duration(max(st.Elapsed-st.SegmentStart, 0)) * time.Second
	return []string{volume, or(st.Verdict.Limit.Text, "none"), or(set.Gas, "nitrogen"), units.FormatPressure(float64(st.Atmosphere), "mbar"),
		place, "0", units.FormatDuration(held)}
}

// echoOf is how an answer was read, where that is not plain from the answer itself.
func echoOf(i int, text string) string {
	switch i {
	case askVolume:
		v, relative, _ := units.ParseVolumeTolerance(text) // the error was seen before
		if relative > 0 {
			return units.FormatVolume(v) + ", known to " + units.FormatShare(relative)
		}
		return units.FormatVolume(v)
	case askLimit:
		r, _ := units.ParseRate(text)
		return r.String()
	case askFrom, askTo:
		d, _ := units.ParseDuration(text)
		return units.FormatDuration(d)
	case askThermometer:
		if d, err := units.ParseTempDiff(strings.ToLower(text)); err == nil {
			return fmt.Sprintf("true to %s K only", units.FormatNumber(float64(d)))
		}
	}
	return text
}

// suppose reads the answers; the times count from since.
func suppose(answers []string, since float64) (s supposition, err error) {
	s.start, s.end = math.Inf(-1), math.Inf(1)
	flags := settingsFlags{Volume: answers[askVolume], Limit: answers[askLimit], Gas: answers[askGas]}
	if air := answers[askAir]; air != "" {
		s.air = true
		flags.Barometer = air
		if _, err := units.ParseBarometer(air); err != nil {
			flags.Barometer, flags.Altitude = "", air
		}
	}
	if t := strings.ToLower(answers[askThermometer]); t != "" {
		if _, err := units.ParseTempDiff(t); err == nil {
			flags.TemperatureStep = t
		} else {
			s.thermometer, flags.Thermometer = t, t
		}
	}
	if s.over, err = flags.overrides(); err != nil {
		return s, err
	}
	for _, q := range []struct {
		text string
		to   *float64
	}{{answers[askFrom], &s.start}, {answers[askTo], &s.end}} {
		if q.text == "" {
			continue
		}
		d, err := units.ParseDuration(q.text)
		if err != nil {
			return s, err
		}
		*q.to = since + d.Seconds()
	}
	if !(s.start < s.end) {
		return s, fmt.Errorf("it would end before it begins")
	}
	return s, nil
}

// judge reduces the records as they would be under the supposition.
func (s supposition) judge(records reel) (*hold.State, error) {
	h := hold.New()
	closed := math.IsInf(s.start, -1)
	for r := range records.all() {
		if r.Elapsed > s.end {
			stop := event(holdlog.EventStop, "")
			stop.Elapsed = s.end
			h.Apply(stop)
			break
		}
		if r.Header != nil {
			changed := *r.Header
			if err := s.over(&changed); err != nil {
				return nil, err
			}
			if err := hold.Check(changed.Settings); err != nil {
				return nil, err
			}
			r.Header = &changed
		}
		if r.Kind == holdlog.KindSample {
			r.Sample = s.sample(r)
		}
		h.Apply(r)
		if !closed && r.Kind == holdlog.KindSample && !math.IsNaN(r.Sample.Pressure) {
			closed = true
			shut := event(holdlog.EventClosed, "")
			shut.Elapsed = r.Elapsed
			h.Apply(shut)
		}
	}
	return h.State(), nil
}

// sample is a measurement as it is supposed to be. What comes before the start
// keeps its temperatures: the part remembers them.
func (s supposition) sample(r holdlog.Record) holdlog.Sample {
	m, none := r.Sample, units.Temperature(math.NaN())
	if r.Elapsed < s.start {
		m.Pressure = math.NaN()
	}
	if s.air {
		m.Barometer = units.Absolute(math.NaN())
	}
	either := m.Section
	if math.IsNaN(float64(either)) {
		either = m.Ambient
	}
	switch s.thermometer {
	case "none":
		m.Ambient, m.Section = none, none
	case "room":
		if math.IsNaN(float64(m.Ambient)) {
			m.Ambient = either
		}
		m.Section = none
	case "part":
		m.Ambient, m.Section = none, either
	}
	return m
}

// Package trial looks at the first seconds of an instrument's readings and says
// in words what seems wrong with it: nothing comes, nothing can be read, a unit
// is not what was said, noise, spikes, steps, drift, a gauge that is not at zero
// when it is open. It judges the instrument at rest, never a hold.
//
// Its limits are common practice, no source: they stand beside each rule. Values
// are SI; times are seconds.
package trial

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"example.org/holdfast/drivers"
	"example.org/holdfast/internal/units"
)

// Heard is one reading and when it came, in s.
type Heard struct {
	At      float64
	Reading drivers.Reading
}

// Setup is what is known of the instrument and of how it stands.
type Setup struct {
	Spec      drivers.Spec
	Open      bool           // the gauge is open to the air
	Barometer units.Absolute // air pressure around it; 0 = not known
	PerUnit   float64        // Pa in one unit of what the pressure was said to be in; 0 = not known
	Unit      string         // for the words; "" = bar
}

// Finding is one thing to say.
type Finding struct {
	What  string `json:"what"`  // a word for scripts
	Words string `json:"words"` // for people
	Bad   bool   `json:"bad"`   // a hold should not begin like this
}

// Result is what came of a trial. NaN = not known.
type Result struct {
	Readings int // good ones
	Doubts   int
	Seconds  float64 // from the first to the last good reading
	Last     drivers.Reading
	Mean     float64 // of the pressure, Pa against Last.Ref
	Noise    float64 // standard deviation of one pressure reading, Pa
	Step     float64 // smallest change seen, Pa
	Drift    float64 // of the pressure, Pa/s
	Findings []Finding
}

// Look makes a Result of what was heard.
func Look(heard []Heard, set Setup) Result {
	r := Result{Last: drivers.Empty(), Mean: math.NaN(), Noise: math.NaN(), Step: math.NaN(), Drift: math.NaN()}
	good := slices.DeleteFunc(slices.Clone(heard), func(h Heard) bool { return h.Reading.Doubt != "" })
	r.Readings, r.Doubts = len(good), len(heard)-len(good)
	if n := len(good); n > 0 {
		r.Seconds = good[n-1].At - good[0].At
	}
	for _, h := range good {
		r.Last = latest(r.Last, h.Reading)
	}
	r.doubts(heard)
	r.temperatures(set)
	at, p := pressures(good)
	if len(p) > 0 {
		r.measure(at, p)
		r.pressure(at, p, set)
		r.reference(set)
	}
	return r
}

func (r *Result) say(bad bool, what, format string, args ...any) {
	r.Findings = append(r.Findings, Finding{what, fmt.Sprintf(format, args...), bad})
}

// latest keeps the last of each quantity, for some instruments send them one by one.
func latest(last, next drivers.Reading) drivers.Reading {
	if next.HasPressure() {
		last.Pressure, last.Ref = next.Pressure, next.Ref
	}
	if !math.IsNaN(float64(next.Ambient)) {
		last.Ambient = next.Ambient
	}
	if !math.IsNaN(float64(next.Section)) {
		last.Section = next.Section
	}
	if !math.IsNaN(float64(next.Barometer)) {
		last.Barometer = next.Barometer
	}
	last.Raw = next.Raw
	return last
}

// doubts says what most of the readings that cannot be used have in common.
func (r *Result) doubts(heard []Heard) {
	switch {
	case len(heard) == 0:
		r.say(true, "silent", "nothing came from it: check that it has power, that its send line is connected, and the baud rate")
		return
	case r.Doubts == 0:
		return
	}
	count := map[string]int{}
	for _, h := range heard {
		if d := h.Reading.Doubt; d != "" {
			count[d]++
		}
	}
	var reasons []string
	for d := range count {
		reasons = append(reasons, d)
	}
	slices.SortFunc(reasons, func(a, b string) int { return cmp.Or(cmp.Compare(count[b], count[a]), cmp.Compare(a, b)) })
	r.say(r.Doubts > r.Readings/20, "unusable", "%d of %d readings cannot be used, most often: %s", r.Doubts, len(heard), reasons[0])
}

// A room that people work in, in K. Outside of it a unit is suspected.
const (
	coldRoom = 253.15
	hotRoom  = 318.15
)

// temperatures suspects the unit of a thermometer whose room nobody could stand.
func (r *Result) temperatures(set Setup) {
	for _, t := range []struct {
		what string
		v    units.Temperature
	}{{"the room", r.Last.Ambient}, {"the part", r.Last.Section}} {
		if v := float64(t.v); math.IsNaN(v) || v >= coldRoom && v <= hotRoom {
			continue
		}
		words := fmt.Sprintf("%s is at %s", t.what, units.FormatTemperature(t.v, "C"))
		if other := fahrenheit(t.v); other >= coldRoom && other <= hotRoom {
			words += fmt.Sprintf(": is the number in Fahrenheit? Then it is %s, and its column ends in _f", units.FormatTemperature(other, "C"))
		}
		r.say(t.what == "the room", "unit", "%s", words)
	}
}

// fahrenheit takes the number that was read as Celsius for Fahrenheit.
func fahrenheit(t units.Temperature) units.Temperature {
	return units.FromCelsius((t.Celsius() - 32) / 1.8)
}

// pressures picks the pressures.
func pressures(good []Heard) (at, p []float64) {
	for _, h := range good {
		if h.Reading.HasPressure() {
			at, p = append(at, h.At), append(p, h.Reading.Pressure)
		}
	}
	return at, p
}

// atmosphere is the air pressure to compare with.
func (set Setup) atmosphere() float64 {
	if set.Barometer > 0 {
		return float64(set.Barometer)
	}
	return 101325 // standard atmosphere
}

// words writes a difference of pressures.
func (set Setup) words(pa float64) string {
	unit := set.Unit
	if unit == "" {
		unit = "bar"
	}
	return units.FormatPressureFine(pa, unit)
}

package line

import (
	"errors"
	"fmt"
	"math"
	"strings"
	"unicode"
	"unicode/utf8"

	"example.org/holdfast/drivers"
	"example.org/holdfast/internal/units"
)

// Bounds of what a reading can be. Outside of them the device, the wiring or
// the stated unit is wrong. Common practice, no source: chosen far outside of
// any refrigeration work.
const (
	lowestGauge      = -115e3 // Pa; more than the densest air at ground level
	highestPressure  = 1e8    // Pa; 1000 bar
	lowestBarometer  = 45e3   // Pa
	highestBarometer = 115e3  // Pa
	coldest          = 150.0  // K
	hottest          = 450.0  // K
	maxRaw           = 160    // characters of the device's words that are kept
)

// read makes a Reading of a line; false = the line is empty.
func (l layout) read(line rawLine) (drivers.Reading, bool) {
	text := strings.TrimFunc(degrees(line.text), func(r rune) bool { return unicode.IsSpace(r) || unicode.IsControl(r) })
	if text == "" {
		return drivers.Reading{}, false
	}
	r := drivers.Empty()
	if err := l.fill(&r, text, line.long); err != nil {
		r = drivers.Empty()
		r.Doubt = err.Error()
	}
	r.Raw = printable(text)
	return r, true
}

// degrees makes the degree sign of the old one-byte character sets UTF-8.
func degrees(text string) string {
	if utf8.ValidString(text) {
		return text
	}
	return strings.NewReplacer("\xb0C", "°C", "\xb0F", "°F", "\xf8C", "°C", "\xf8F", "°F").Replace(text)
}

// fill sets what the line says in r. Its error is the doubt about the line.
func (l layout) fill(r *drivers.Reading, text string, long bool) error {
	if long {
		return fmt.Errorf("line longer than %d characters", maxLine)
	}
	if strings.ContainsFunc(text, garbled) {
		return errors.New("unreadable bytes in the line: check the baud rate and the cable")
	}
	values, err := l.values(text)
	if err != nil {
		return err
	}
	found := false
	for i, f := range l.fields {
		if f.skip || values[i] == "" {
			continue
		}
		if err := l.set(r, f, values[i]); err != nil {
			return err
		}
		found = true
	}
	if !found {
		return errors.New("no value in the line")
	}
	return nil
}

// garbled characters come of a wrong baud rate or a bad line. A digit may
// have been one of them, so that the numbers around are not to be trusted.
func garbled(r rune) bool { return r == unicode.ReplacementChar || unicode.IsControl(r) && r != '\t' }

// set puts one value where it belongs.
func (l layout) set(r *drivers.Reading, f field, text string) error {
	v, unit, err := units.ParseNumber(text)
	if err != nil {
		return fmt.Errorf("%s %q is no usable number", f.name, printable(text))
	}
	if unit != "" && !l.agrees(unit, f.column) {
		return fmt.Errorf("%s %q is not in the unit that the fields state", f.name, printable(text))
	}
	c := f.column
	switch c.Quantity {
	case units.PressureQuantity:
		r.Pressure, r.Ref = c.SI(v*l.scale)-l.zero, c.Ref
		return checkPressure(r.Pressure, c.Ref)
	case units.BarometerQuantity:
		r.Barometer = units.Absolute(c.SI(v))
		return inside("barometer", c.SI(v), lowestBarometer, highestBarometer, "Pa")
	case units.AmbientQuantity:
		r.Ambient = units.Temperature(c.SI(v))
	case units.SectionQuantity:
		r.Section = units.Temperature(c.SI(v))
	}
	return inside(f.name, c.SI(v), coldest, hottest, "K")
}

// agrees reports whether the unit behind a number is the column's. A bare "bar"
// agrees with bar_abs, for devices seldom say it; psi or barg does not. Where
// the number is scaled first, it is in the device's own unit: any word will do.
func (l layout) agrees(unit string, c units.Column) bool {
	switch c.Quantity {
	case units.AmbientQuantity, units.SectionQuantity:
		t, err := units.ParseTemperature("300"+unit, "")
		return err == nil && math.Abs(float64(t)-c.SI(300)) < 1e-9
	case units.PressureQuantity:
		if l.scale != 1 {
			return true
		}
	}
	pa, ref, canonical, err := units.PressureUnit(unit)
	if err != nil || pa != c.Scale {
		return false
	}
	saysGauge := ref == units.GaugeRef && !strings.EqualFold(unit, canonical)
	return !(ref == units.AbsoluteRef && c.Ref == units.GaugeRef) && !(saysGauge && c.Ref == units.AbsoluteRef)
}

func checkPressure(pa float64, ref units.Reference) error {
	switch {
	case ref == units.AbsoluteRef && pa < 0:
		return fmt.Errorf("absolute pressure %.6g Pa is below zero", pa)
	case pa < lowestGauge:
		return fmt.Errorf("gauge pressure %.6g Pa is below a full vacuum", pa)
	case !(pa <= highestPressure):
		return fmt.Errorf("pressure %.6g Pa is beyond any gauge", pa)
	}
	return nil
}

func inside(name string, v, lo, hi float64, unit string) error {
	if v >= lo && v <= hi {
		return nil
	}
	return fmt.Errorf("%s %.6g %s is outside of %.6g to %.6g %s", name, v, unit, lo, hi, unit)
}

// printable is what of the device's words may reach a screen and a log.
func printable(text string) string {
	var b strings.Builder
	n := 0
	for _, r := range text {
		if r == '\t' {
			r = ' '
		}
		if r == unicode.ReplacementChar {
			r = '?'
		}
		if !unicode.IsPrint(r) {
			continue
		}
		if n++; n > maxRaw {
			break
		}
		b.WriteRune(r)
	}
	return b.String()
}

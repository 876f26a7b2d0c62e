package drivers

import (
	"errors"
	"fmt"
	"math"
	"strings"

	"example.org/holdfast/internal/units"
)

// Field is one number that a device gives, as the person said it: where the
// device has it, and what it is.
type Field struct {
	Key    string       // where: a word of a line, a register, a file, a query; "" = by position
	Name   string       // of the column, as written
	Skip   bool         // "-": the device has something here that nobody wants
	Column units.Column // what the number is, unless Skip
}

// ParseFields reads a list such as "pressure_bar_abs,-,ambient_c" or
// "P=pressure_bar,T=ambient_c": the columns of the CSV import, each with the
// key before it under which the device has it. It refuses a list that could
// not give one clear reading.
func ParseFields(text string) ([]Field, error) {
	if strings.TrimSpace(text) == "" {
		return nil, errors.New("no fields given")
	}
	var all []Field
	for _, part := range strings.Split(text, ",") {
		f, err := parseField(strings.TrimSpace(part))
		if err != nil {
			return nil, err
		}
		all = append(all, f)
	}
	return all, checkFields(all)
}

func parseField(text string) (Field, error) {
	f := Field{Name: text}
	if at := strings.LastIndexByte(text, '='); at >= 0 {
		f.Key, f.Name = strings.TrimSpace(text[:at]), strings.TrimSpace(text[at+1:])
		if f.Key == "" {
			return f, fmt.Errorf("field %q has nothing before its =", text)
		}
	}
	if f.Name == "-" {
		f.Skip = true
		return f, nil
	}
	var err error
	f.Column, err = units.ParseColumn(f.Name)
	return f, err
}

func checkFields(all []Field) error {
	quantities := make(map[units.Quantity]string)
	keys := make(map[string]bool)
	for _, f := range all {
		if f.Key != "" && keys[strings.ToLower(f.Key)] {
			return fmt.Errorf("key %q stands twice in the fields", f.Key)
		}
		keys[strings.ToLower(f.Key)] = true
		if f.Skip {
			continue
		}
		if other, twice := quantities[f.Column.Quantity]; twice {
			return fmt.Errorf("fields %q and %q are the same quantity", other, f.Name)
		}
		quantities[f.Column.Quantity] = f.Name
	}
	if len(quantities) == 0 {
		return errors.New("every field is skipped")
	}
	return nil
}

// HasPressure reports whether one of the fields is the pressure.
func HasPressure(fields []Field) bool {
	for _, f := range fields {
		if !f.Skip && f.Column.Quantity == units.PressureQuantity {
			return true
		}
	}
	return false
}

// Calibration corrects a pressure. The zero value changes nothing.
type Calibration struct {
	Scale float64            // multiplies the pressure; 0 = 1
	Zero  units.PressureDiff // shown where there is no pressure, after Scale, Pa; taken off
}

// Check refuses a calibration that is not finite, or one of fields without a pressure.
func (c Calibration) Check(fields []Field) error {
	if zero := float64(c.Zero); math.IsNaN(c.Scale) || math.IsInf(c.Scale, 0) || math.IsNaN(zero) || math.IsInf(zero, 0) {
		return fmt.Errorf("scale %v and zero %v must be finite", c.Scale, zero)
	}
	if (c.Scale != 0 && c.Scale != 1 || c.Zero != 0) && !HasPressure(fields) {
		return errors.New("scale and zero belong to a pressure, and the fields hold none")
	}
	return nil
}

// Apply corrects a pressure in Pa.
func (c Calibration) Apply(pa float64) float64 {
	if c.Scale != 0 {
		pa *= c.Scale
	}
	return pa - float64(c.Zero)
}

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
)

// Put sets the field's quantity in r to a value in SI (Pa, K), a pressure
// corrected by the calibration. Its error is the Doubt about a value that
// cannot be; the value stays in r all the same.
func (f Field) Put(r *Reading, si float64, cal Calibration) error {
	switch f.Column.Quantity {
	case units.PressureQuantity:
		r.Pressure, r.Ref = cal.Apply(si), f.Column.Ref
		return checkPressure(r.Pressure, r.Ref)
	case units.BarometerQuantity:
		r.Barometer = units.Absolute(si)
		return inside("barometer", si, lowestBarometer, highestBarometer, "Pa")
	case units.AmbientQuantity:
		r.Ambient = units.Temperature(si)
	case units.SectionQuantity:
		r.Section = units.Temperature(si)
	}
	err := inside(f.Name, si, coldest, hottest, "K")
	if number := f.Column.FromSI(si); err != nil && number > roomCold && number < roomHot {
		err = fmt.Errorf("%w; is %.6g in kelvin? Then its column ends in _k", err, number)
	}
	return err
}

// What a thermometer in kelvin shows in a room.
const roomCold, roomHot = 263.0, 318.0

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

// Agrees reports whether a unit that the device wrote behind its number is the
// column's. A bare "bar" agrees with bar_abs, for devices seldom say it; psi or
// barg does not.
func (f Field) Agrees(unit string) bool {
	c := f.Column
	if c.Quantity == units.AmbientQuantity || c.Quantity == units.SectionQuantity {
		t, err := units.ParseTemperature("300"+unit, "")
		return err == nil && math.Abs(float64(t)-c.SI(300)) < 1e-9
	}
	pa, ref, canonical, err := units.PressureUnit(unit)
	if err != nil || pa != c.Scale {
		return false
	}
	saysGauge := ref == units.GaugeRef && !strings.EqualFold(unit, canonical)
	return !(ref == units.AbsoluteRef && c.Ref == units.GaugeRef) && !(saysGauge && c.Ref == units.AbsoluteRef)
}

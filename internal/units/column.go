package units

import (
	"errors"
	"fmt"
	"strings"
)

// ErrNotQuantity is in the error of ParseColumn when the name is of no
// quantity it knows, so that an importer can pass such a column over and still
// refuse a pressure in an unknown unit.
var ErrNotQuantity = errors.New("not a column of pressure, temperature or barometer")

// Quantity says what a column of readings holds.
type Quantity uint8

// The quantities of a column.
const (
	PressureQuantity  Quantity = iota + 1 // of the section, Pa against the column's Ref
	AmbientQuantity                       // temperature of the air beside the section, K
	SectionQuantity                       // temperature on the section itself, K
	BarometerQuantity                     // pressure of the air, Pa absolute
)

// Column is one column of numbers in one unit, as its name states it.
type Column struct {
	Quantity Quantity
	Ref      Reference // of a pressure; a barometer is absolute
	Unit     string    // canonical: "bar", "bara", "C"
	Scale    float64   // SI = value * Scale + Offset
	Offset   float64
}

// SI converts a number of the column to pascal or kelvin.
func (c Column) SI(v float64) float64 { return v*c.Scale + c.Offset }

// FromSI converts pascal or kelvin to a number of the column.
func (c Column) FromSI(si float64) float64 { return (si - c.Offset) / c.Scale }

// ParseColumn reads the name of a column, the quantity and its unit:
// pressure_bar_abs, pressure_psi, ambient_c, section_f, barometer_hpa.
func ParseColumn(name string) (Column, error) {
	quantity, unit, _ := strings.Cut(strings.TrimSpace(name), "_")
	switch strings.ToLower(quantity) {
	case "pressure":
		return pressureColumn(name, unit)
	case "barometer":
		return barometerColumn(name, unit)
	case "ambient":
		return temperatureColumn(name, unit, AmbientQuantity)
	case "section":
		return temperatureColumn(name, unit, SectionQuantity)
	}
	return Column{}, fmt.Errorf("column %s: %w", quote(name), ErrNotQuantity)
}

func pressureColumn(name, unit string) (Column, error) {
	scale, ref, canonical, err := PressureUnit(unit)
	if err != nil {
		return Column{}, fmt.Errorf("column %s has no known pressure unit: use pressure_ with pa_abs, kpa_abs, bar_abs, mbar_abs, psia, micron, or for gauge pa, kpa, bar, mbar, psi", quote(name))
	}
	return Column{Quantity: PressureQuantity, Ref: ref, Unit: canonical, Scale: scale}, nil
}

func barometerColumn(name, unit string) (Column, error) {
	base, ref, explicit, ok := lookupPressure(unit)
	if !ok || explicit && ref == GaugeRef {
		return Column{}, fmt.Errorf("column %s has no known unit of a barometer: use barometer_ with pa, hpa, kpa, mbar, bar, psi, inhg or torr", quote(name))
	}
	return Column{Quantity: BarometerQuantity, Ref: AbsoluteRef, Unit: base.canonical(AbsoluteRef), Scale: base.pa}, nil
}

func temperatureColumn(name, unit string, q Quantity) (Column, error) {
	scale, offset, canonical, ok := temperatureUnit(unit)
	if !ok {
		return Column{}, fmt.Errorf("column %s has no known temperature unit: end it with _c, _f or _k", quote(name))
	}
	return Column{Quantity: q, Unit: canonical, Scale: scale, Offset: offset}, nil
}

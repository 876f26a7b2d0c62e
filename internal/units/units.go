// Package units holds the physical quantities holdfast works with as distinct
// types, so that the compiler keeps gauge and absolute pressure, a temperature
// and a temperature difference, a leak and a pressure rate apart.
//
// Every value is a float64 in SI inside; units as people write them exist only
// at the edges, in the Parse and Format functions. The package knows no gas and
// no instrument. Conversion factors are exact by definition (SI Brochure, 9th
// edition; 1 atm = 101325 Pa, 1 lbf/in2 from 1 lb = 0.45359237 kg, 1 in =
// 0.0254 m and g0 = 9.80665 m/s2, 1 Torr = 101325/760 Pa), but for the inch of
// mercury, which is conventional.
package units

// Gauge is a pressure above the surrounding atmosphere, in pascal.
type Gauge float64

// Absolute is a pressure above vacuum, in pascal.
type Absolute float64

// PressureDiff is a difference of two pressures of the same reference, in pascal.
type PressureDiff float64

// PressureRate is a loss of pressure per time, in pascal per second; positive = loss.
type PressureRate float64

// Temperature is a thermodynamic temperature, in kelvin.
type Temperature float64

// TempDiff is a difference of two temperatures, in kelvin.
type TempDiff float64

// Volume is a volume, in cubic metres.
type Volume float64

// Mass is a mass, in kilograms.
type Mass float64

// LeakRate is a gas throughput, in Pa m3/s, of the gas and at the temperature
// that the context names; positive = loss.
type LeakRate float64

// MassRate is a mass flow, in kilograms per second; positive = loss.
type MassRate float64

// StandardAtmosphere is the pressure of the ISO 2533 standard atmosphere at sea level.
const StandardAtmosphere Absolute = 101325

// Seconds in the longer units of time. A year is the Julian year of 365.25 days.
const (
	SecondsPerHour = 3600.0
	SecondsPerYear = 365.25 * 86400
)

// Absolute adds the atmosphere around the gauge: the one bridge between the two references.
func (g Gauge) Absolute(atmosphere Absolute) Absolute { return Absolute(g) + atmosphere }

// Gauge takes off the atmosphere around the gauge.
func (a Absolute) Gauge(atmosphere Absolute) Gauge { return Gauge(a - atmosphere) }

// PerHour gives the rate in pascal per hour.
func (r PressureRate) PerHour() float64 { return float64(r) * SecondsPerHour }

// PaPerHour makes a PressureRate from pascal per hour.
func PaPerHour(v float64) PressureRate { return PressureRate(v / SecondsPerHour) }

// Celsius gives the temperature in degrees Celsius.
func (t Temperature) Celsius() float64 { return float64(t) - 273.15 }

// FromCelsius makes a Temperature from degrees Celsius.
func FromCelsius(v float64) Temperature { return Temperature(v + 273.15) }

// GramsPerYear gives the mass flow in grams per year.
func (m MassRate) GramsPerYear() float64 { return float64(m) * 1000 * SecondsPerYear }

// GramsPerYear makes a MassRate from grams per year.
func GramsPerYear(v float64) MassRate { return MassRate(v / 1000 / SecondsPerYear) }

// Litres gives the volume in litres.
func (v Volume) Litres() float64 { return float64(v) * 1000 }

// Reference says what a pressure is measured against.
type Reference uint8

// The two references.
const (
	GaugeRef Reference = iota
	AbsoluteRef
)

// Pressure is a pressure as it was read or typed, with its reference still
// attached; it becomes an Absolute through Abs once the atmosphere is known.
type Pressure struct {
	Pa   float64   // in pascal, against Ref
	Ref  Reference // gauge or absolute
	Unit string    // the unit it was given in, as in the tables of parse.go; "" = SI
}

// Abs gives the absolute pressure, given the atmosphere around the gauge.
func (p Pressure) Abs(atmosphere Absolute) Absolute {
	if p.Ref == AbsoluteRef {
		return Absolute(p.Pa)
	}
	return Gauge(p.Pa).Absolute(atmosphere)
}

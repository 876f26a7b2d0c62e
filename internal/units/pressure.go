package units

import (
	"fmt"
	"strings"
)

// The units of pressure, as an error message offers them.
const pressureUnitList = "Pa, hPa, kPa, MPa, bar, mbar, psi, kg/cm2, inHg (gauge; add a or abs for absolute), or micron, mTorr, Torr (absolute)"

// Bounds of what a pressure and a barometer can be, in pascal.
const (
	lowestGauge      = -115e3 // a little more vacuum than the densest air at ground level leaves room for
	lowestBarometer  = 45e3   // air at about 6300 m
	highestBarometer = 115e3  // above every surface record, and a shaft of some hundred metres
)

// pressureUnit is one unit without its reference.
type pressureUnit struct {
	symbol   string
	pa       float64
	decimals int  // for a reading as people know it
	vacuum   bool // a unit of vacuum gauges: absolute without saying so
}

// pressureBase looks a unit up by its bare name. Letter case does not matter,
// with one exception: mPa is a thousandth of a pascal, and nobody who fills a
// circuit means that, so it is refused and not read as MPa.
func pressureBase(name string) (pressureUnit, bool) {
	if name == "mPa" {
		return pressureUnit{}, false
	}
	switch strings.ToLower(name) {
	case "pa":
		return pressureUnit{"Pa", 1, 0, false}, true
	case "hpa":
		return pressureUnit{"hPa", 100, 1, false}, true
	case "kpa":
		return pressureUnit{"kPa", 1e3, 1, false}, true
	case "mpa":
		return pressureUnit{"MPa", 1e6, 3, false}, true
	case "bar":
		return pressureUnit{"bar", 1e5, 2, false}, true
	case "mbar":
		return pressureUnit{"mbar", 100, 1, false}, true
	case "psi":
		return pressureUnit{"psi", psi, 1, false}, true
	case "kg/cm2", "kgf/cm2", "kgcm2":
		return pressureUnit{"kg/cm2", kgPerCm2, 2, false}, true
	case "inhg":
		return pressureUnit{"inHg", inchOfMercury, 2, false}, true
	case "torr":
		return pressureUnit{"Torr", torr, 1, true}, true
	case "mtorr":
		return pressureUnit{"mTorr", torr / 1000, 0, true}, true
	case "micron", "microns":
		return pressureUnit{"micron", torr / 1000, 0, true}, true
	}
	return pressureUnit{}, false
}

// Units of pressure in pascal. The inch of mercury is the conventional one:
// mercury of 13595.1 kg/m3 under g0.
const (
	standardGravity = 9.80665
	pound           = 0.45359237
	inch            = 0.0254
	psi             = pound * standardGravity / (inch * inch)
	kgPerCm2        = standardGravity / 1e-4
	inchOfMercury   = 13595.1 * standardGravity * inch
	atmosphere      = 101325.0
	torr            = atmosphere / 760
)

// canonical writes the unit with its reference, in the form PressureUnit reads back.
func (u pressureUnit) canonical(ref Reference) string {
	switch {
	case ref == GaugeRef || u.vacuum:
		return u.symbol
	case u.symbol == "bar" || u.symbol == "mbar" || u.symbol == "psi":
		return u.symbol + "a"
	}
	return u.symbol + " abs"
}

// refSuffix splits the words for gauge and absolute off the end of a unit name.
func refSuffix(name string) (base string, ref Reference, found bool) {
	lower := strings.ToLower(name)
	for _, suffix := range []string{"(absolute)", "absolute", "(abs)", "abs", "(a)", "a"} {
		if strings.HasSuffix(lower, suffix) {
			return name[:len(name)-len(suffix)], AbsoluteRef, true
		}
	}
	for _, suffix := range []string{"(gauge)", "gauge", "(g)", "g"} {
		if strings.HasSuffix(lower, suffix) {
			return name[:len(name)-len(suffix)], GaugeRef, true
		}
	}
	return name, GaugeRef, false
}

// lookupPressure finds a unit with or without its reference; explicit says that
// the name stated the reference itself.
func lookupPressure(name string) (unit pressureUnit, ref Reference, explicit, ok bool) {
	name = strings.ReplaceAll(squeeze(name), "_", "")
	if unit, ok = pressureBase(name); ok {
		if unit.vacuum {
			return unit, AbsoluteRef, false, true
		}
		return unit, GaugeRef, false, true
	}
	base, ref, explicit := refSuffix(name)
	unit, ok = pressureBase(base)
	if !explicit || !ok || unit.vacuum && ref == GaugeRef {
		return pressureUnit{}, GaugeRef, false, false
	}
	return unit, ref, true, true
}

// PressureUnit gives the size of a pressure unit in pascal, what it is measured
// against, and its one spelling: "psig" is psi, "bar(a)" and "bar_abs" are bara.
// Without a suffix a unit is gauge, but micron, mTorr and Torr are absolute.
func PressureUnit(name string) (pa float64, ref Reference, canonical string, err error) {
	unit, ref, _, ok := lookupPressure(name)
	if !ok {
		return 0, GaugeRef, "", unknownPressureUnit(name)
	}
	return unit.pa, ref, unit.canonical(ref), nil
}

func unknownPressureUnit(name string) error {
	if strings.HasPrefix(squeeze(name), "mPa") {
		return fmt.Errorf("pressure unit %s is a thousandth of a pascal: write MPa for a million, or kPa or Pa", quote(name))
	}
	return fmt.Errorf("pressure unit %s is unknown: use %s", quote(name), pressureUnitList)
}

// ParsePressure reads a pressure with its unit, such as "19,8bar", "290 psi" or
// "20.8 bara". A bare number takes the unit def; with an empty def it is an error.
func ParsePressure(s, def string) (Pressure, error) {
	v, name, err := ParseNumber(s)
	if err != nil {
		return Pressure{}, fmt.Errorf("pressure %w", err)
	}
	if name == "" {
		name = def
	}
	if name == "" {
		return Pressure{}, unitError("pressure", s, "", pressureUnitList)
	}
	scale, ref, unit, err := PressureUnit(name)
	if err != nil {
		return Pressure{}, fmt.Errorf("pressure %s: %w", quote(s), err)
	}
	pa, err := scaled(s, v, scale)
	if err != nil {
		return Pressure{}, fmt.Errorf("pressure %w", err)
	}
	if ref == AbsoluteRef && pa < 0 {
		return Pressure{}, fmt.Errorf("absolute pressure %s is below zero: a gauge reading takes g, such as barg or psig", quote(s))
	}
	if ref == GaugeRef && pa < lowestGauge {
		return Pressure{}, fmt.Errorf("gauge pressure %s is below a full vacuum: check the unit", quote(s))
	}
	return Pressure{Pa: pa, Ref: ref, Unit: unit}, nil
}

// ParseBarometer reads the pressure of the air, such as "101.3kPa", "1013 hPa"
// or "29.92 inHg". A barometer is always absolute, so no suffix is needed.
func ParseBarometer(s string) (Absolute, error) {
	v, name, err := ParseNumber(s)
	if err != nil {
		return 0, fmt.Errorf("barometer %w", err)
	}
	unit, ref, explicit, ok := lookupPressure(name)
	if !ok {
		return 0, unitError("barometer", s, name, "hPa, kPa, mbar, inHg, psi or Torr")
	}
	if explicit && ref == GaugeRef {
		return 0, fmt.Errorf("barometer %s is a gauge pressure: a barometer is absolute, write it without g", quote(s))
	}
	pa := v * unit.pa
	if !(pa >= lowestBarometer && pa <= highestBarometer) {
		return 0, fmt.Errorf("barometer %s is not a pressure of the air at the ground: about 1013 hPa (101.3kPa) at sea level, 850 hPa at 1400 m", quote(s))
	}
	return Absolute(pa), nil
}

// ParsePressureDiff reads a difference of pressures, such as the readable step
// "0.1bar". It may be negative (the zero error of a sensor).
func ParsePressureDiff(s string) (PressureDiff, error) {
	v, name, err := ParseNumber(s)
	if err != nil {
		return 0, fmt.Errorf("pressure difference %w", err)
	}
	unit, _, _, ok := lookupPressure(name)
	if !ok {
		return 0, unitError("pressure difference", s, name, "Pa, hPa, kPa, MPa, bar, mbar, psi, kg/cm2, inHg, Torr, mTorr or micron")
	}
	pa, err := scaled(s, v, unit.pa)
	if err != nil {
		return 0, fmt.Errorf("pressure difference %w", err)
	}
	return PressureDiff(pa), nil
}

// Accuracy is the stated accuracy of a sensor, as a half-width: a share of its
// full scale, or a pressure, or (zero) unknown.
type Accuracy struct {
	FullScale float64      // fraction of the span of the sensor
	Pressure  PressureDiff // pascal
}

// Of gives the half-width for a sensor of this span.
func (a Accuracy) Of(span PressureDiff) PressureDiff {
	return a.Pressure + PressureDiff(a.FullScale)*span
}

// ParseAccuracy reads a stated accuracy: "0.25%FS", "0.5 % FS" or "0.05bar". A
// percentage without FS may be of the reading and is refused.
func ParseAccuracy(s string) (Accuracy, error) {
	v, name, err := ParseNumber(s)
	if err != nil {
		return Accuracy{}, fmt.Errorf("accuracy %w", err)
	}
	if v <= 0 {
		return Accuracy{}, fmt.Errorf("accuracy %s is not above zero: write it such as 0.25%%FS or 0.05bar", quote(s))
	}
	switch strings.ToLower(squeeze(name)) {
	case "%fs", "%f.s.":
		if v > 100 {
			return Accuracy{}, fmt.Errorf("accuracy %s is more than the full scale", quote(s))
		}
		return Accuracy{FullScale: v / 100}, nil
	case "%":
		return Accuracy{}, fmt.Errorf("accuracy %s may be of the reading or of full scale: write %%FS, or a pressure such as 0.05bar", quote(s))
	}
	width, err := ParsePressureDiff(s)
	if err != nil {
		return Accuracy{}, fmt.Errorf("accuracy %s has unknown unit %s: write it such as 0.25%%FS or 0.05bar", quote(s), quote(name))
	}
	return Accuracy{Pressure: width}, nil
}

package units

import (
	"fmt"
	"strings"
)

const foot = 12 * inch

// The accepted units, as an error message offers them.
const (
	volumeUnitList = "l, ml, cm3, m3, ft3 or in3"
	massUnitList   = "g, kg, oz or lb"
)

// volumeUnit gives the size of a unit of volume in cubic metres. A plain "L" is
// a litre; letter case does not matter.
func volumeUnit(name string) (m3 float64, canonical string, ok bool) {
	switch strings.ToLower(squeeze(name)) {
	case "l", "litre", "litres", "liter", "liters", "dm3":
		return 1e-3, "l", true
	case "dl":
		return 1e-4, "dl", true
	case "cl":
		return 1e-5, "cl", true
	case "ml":
		return 1e-6, "ml", true
	case "cm3", "cc", "ccm":
		return 1e-6, "cm3", true
	case "m3":
		return 1, "m3", true
	case "ft3", "cuft", "cu.ft":
		return foot * foot * foot, "ft3", true
	case "in3", "cuin", "cu.in":
		return inch * inch * inch, "in3", true
	}
	return 0, "", false
}

// massUnit gives the size of a unit of mass in kilograms.
func massUnit(name string) (kg float64, canonical string, ok bool) {
	switch strings.ToLower(squeeze(name)) {
	case "g", "gram", "grams":
		return 1e-3, "g", true
	case "mg":
		return 1e-6, "mg", true
	case "kg":
		return 1, "kg", true
	case "oz":
		return pound / 16, "oz", true
	case "lb", "lbs":
		return pound, "lb", true
	}
	return 0, "", false
}

// The largest that anything beside a refrigeration circuit can be.
const (
	mostVolume = 1000.0 // m3
	mostMass   = 1e5    // kg
)

// positive reads a number above zero with a unit and of most in SI; what names it in errors.
func positive(what, s, accepted string, most float64, lookup func(string) (float64, string, bool)) (float64, error) {
	v, name, err := ParseNumber(s)
	if err != nil {
		return 0, fmt.Errorf("%s %w", what, err)
	}
	factor, _, ok := lookup(name)
	if !ok {
		return 0, unitError(what, s, name, accepted)
	}
	if v <= 0 {
		return 0, fmt.Errorf("%s %s is not above zero", what, quote(s))
	}
	si, err := scaledTo(s, v, factor, most)
	if err != nil {
		return 0, fmt.Errorf("%s %w", what, err)
	}
	return si, nil
}

// ParseVolume reads a volume above zero: "0.3L", "300 cm3", "0.02 ft3".
func ParseVolume(s string) (Volume, error) {
	v, err := positive("volume", s, volumeUnitList, mostVolume, volumeUnit)
	return Volume(v), err
}

// ParseMass reads a mass above zero: "45g", "0.045kg", "1.6oz", "0.1lb".
func ParseMass(s string) (Mass, error) {
	v, err := positive("mass", s, massUnitList, mostMass, massUnit)
	return Mass(v), err
}

// ParseVolumeTolerance reads a volume with how well it is known: "0.3L ±5%",
// "0.3L+-5%" or "0.3L ±20ml". The second result is relative (0.05 for 5 %), 0
// when nothing is said.
func ParseVolumeTolerance(s string) (v Volume, relative float64, err error) {
	plain := strings.NewReplacer("+/-", "±", "+-", "±").Replace(s)
	amount, tolerance, stated := strings.Cut(plain, "±")
	v, err = ParseVolume(amount)
	if err != nil || !stated {
		return v, 0, err
	}
	if strings.HasSuffix(strings.TrimSpace(tolerance), "%") {
		relative, err = ParseShare(tolerance)
	} else {
		var width Volume
		width, err = ParseVolume(tolerance)
		relative = float64(width / v)
	}
	if err != nil {
		return 0, 0, fmt.Errorf("tolerance of volume %s: %w", quote(s), err)
	}
	if relative >= 1 {
		return 0, 0, fmt.Errorf("tolerance of volume %s is as large as the volume", quote(s))
	}
	return v, relative, nil
}

// ParseShare reads a percentage from 0 to 100 %, such as "20%", as a fraction.
func ParseShare(s string) (float64, error) {
	v, name, err := ParseNumber(s)
	if err != nil {
		return 0, fmt.Errorf("share %w", err)
	}
	if name != "%" {
		return 0, unitError("share", s, name, "%, such as 20%")
	}
	if v < 0 || v > 100 {
		return 0, fmt.Errorf("share %s is not between 0%% and 100%%", quote(s))
	}
	return v / 100, nil
}

// ParseAltitude reads a height above sea level, such as "1400m" or "4600ft", in
// metres. AtmosphereAt says whether it knows the air there.
func ParseAltitude(s string) (metres float64, err error) {
	v, name, err := ParseNumber(s)
	if err != nil {
		return 0, fmt.Errorf("altitude %w", err)
	}
	var factor float64
	switch strings.ToLower(squeeze(name)) {
	case "m":
		factor = 1
	case "km":
		factor = 1000
	case "ft", "feet":
		factor = foot
	default:
		return 0, unitError("altitude", s, name, "m, km or ft")
	}
	metres, err = scaled(s, v, factor)
	if err != nil {
		return 0, fmt.Errorf("altitude %w", err)
	}
	return metres, nil
}

package units

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"time"
)

// FormatNumber writes v with as few digits as read back to the same value,
// always with a decimal point.
func FormatNumber(v float64) string { return shortExponent(strconv.FormatFloat(v, 'g', -1, 64)) }

// Significant writes v rounded to so many significant digits, without an
// exponent from 0.001 to 99999. NaN is "-".
func Significant(v float64, digits int) string {
	switch {
	case math.IsNaN(v):
		return "-"
	case v == 0:
		return "0"
	case math.IsInf(v, 0):
		return strings.TrimPrefix(strconv.FormatFloat(v, 'f', 0, 64), "+")
	}
	digits = max(digits, 1)
	scientific := strconv.FormatFloat(v, 'e', digits-1, 64)
	_, power, _ := strings.Cut(scientific, "e")
	exponent, err := strconv.Atoi(power)
	if err != nil || exponent < -3 || exponent > 4 {
		return shortExponent(scientific)
	}
	rounded, err := strconv.ParseFloat(scientific, 64)
	if err != nil {
		return shortExponent(scientific)
	}
	return strconv.FormatFloat(rounded, 'f', max(0, digits-1-exponent), 64)
}

// Rounded writes a value with the digits that its uncertainty of half deserves:
// to the second digit of it where it begins with 1 to 3.5, else to its first
// (the rule of the Particle Data Group, from memory). An uncertainty of nothing,
// or one that is not known, leaves three significant digits.
func Rounded(v, half float64) string {
	if !(half > 0) || math.IsInf(half, 0) || math.IsNaN(v) || math.IsInf(v, 0) {
		return Significant(v, 3)
	}
	place := int(math.Floor(math.Log10(half)))
	if half < 3.55*math.Pow10(place) {
		place--
	}
	if place > 0 {
		unit := math.Pow10(place)
		v = math.Round(v/unit) * unit
	}
	return fixed(v, min(max(-place, 0), 6))
}

// shortExponent turns "2.2e-04" into "2.2e-4".
func shortExponent(s string) string {
	mantissa, power, found := strings.Cut(s, "e")
	if !found {
		return s
	}
	sign := ""
	if power[0] == '-' {
		sign = "-"
	}
	return mantissa + "e" + sign + strings.TrimLeft(power, "+-0")
}

// fixed writes v with so many decimals; NaN is "-" and minus zero is zero.
func fixed(v float64, decimals int) string {
	if math.IsNaN(v) {
		return "-"
	}
	s := strconv.FormatFloat(v, 'f', decimals, 64)
	if strings.Trim(s, "-0.") == "" {
		return strings.TrimPrefix(s, "-")
	}
	return strings.TrimPrefix(s, "+")
}

// FormatPressure writes a pressure of pa pascal in unit, with the decimals that
// a gauge in this unit shows: "19.80 bar", "287.2 psi". The number is against
// the reference of unit; an unknown unit is written in Pa.
func FormatPressure(pa float64, unit string) string { return formatPressure(pa, unit, 0) }

// FormatPressureFine writes one decimal more than FormatPressure, as a
// transducer resolves it: "19.803 bar".
func FormatPressureFine(pa float64, unit string) string { return formatPressure(pa, unit, 1) }

func formatPressure(pa float64, unit string, more int) string {
	base, ref, _, ok := lookupPressure(unit)
	if !ok {
		return fixed(pa, more) + " Pa"
	}
	return fixed(pa/base.pa, base.decimals+more) + " " + base.canonical(ref)
}

// String says the pressure and its reference in words, to echo what was read:
// "19.80 bar gauge".
func (p Pressure) String() string {
	symbol, pa, decimals := "Pa", 1.0, 0
	if base, _, _, ok := lookupPressure(p.Unit); ok {
		symbol, pa, decimals = base.symbol, base.pa, base.decimals
	}
	word := " gauge"
	if p.Ref == AbsoluteRef {
		word = " absolute"
	}
	return fixed(p.Pa/pa, decimals) + " " + symbol + word
}

// RateUnit gives the pressure unit in which a loss per hour reads well beside
// pressures in unit: mbar for bar, Pa for kPa and MPa.
func RateUnit(unit string) string {
	base, _, _, ok := lookupPressure(unit)
	switch {
	case !ok, base.symbol == "kPa", base.symbol == "MPa":
		return "Pa"
	case base.symbol == "bar":
		return "mbar"
	}
	return base.symbol
}

// FormatPressureRate writes a loss per hour to two significant digits, in the
// given pressure unit or, below a thousand of it, in the small unit that
// RateUnit names: "12 mbar/h", "2.5 bar/h", "0.17 psi/h". An unknown unit is
// written in Pa.
func FormatPressureRate(r PressureRate, unit string) string {
	for _, name := range []string{RateUnit(unit), unit} {
		base, _, _, ok := lookupPressure(name)
		if v := r.PerHour() / base.pa; ok && (name == unit || math.Abs(v) < 999.5) {
			return Significant(v, 2) + " " + base.symbol + "/h"
		}
	}
	return Significant(r.PerHour(), 2) + " Pa/h"
}

// FormatMassRate writes a loss in grams per year to two significant digits, and
// in kilograms from 10 kg/yr.
func FormatMassRate(m MassRate) string {
	g := m.GramsPerYear()
	if math.Abs(g) >= 1e4 {
		return Significant(g/1000, 2) + " kg/yr"
	}
	return Significant(g, 2) + " g/yr"
}

// FormatLeakRate writes a throughput in mbar.l/s to two significant digits, with
// an exponent below 0.1: "2.2e-4 mbar.l/s".
func FormatLeakRate(q LeakRate) string {
	v := float64(q) * 10
	if v != 0 && math.Abs(v) < 0.1 {
		return shortExponent(strconv.FormatFloat(v, 'e', 1, 64)) + " mbar.l/s"
	}
	return Significant(v, 2) + " mbar.l/s"
}

// FormatCount writes how many there are of something with a regular plural: "1 reading", "3 readings".
func FormatCount(n int, noun string) string {
	if n == 1 {
		return "1 " + noun
	}
	return strconv.Itoa(n) + " " + noun + "s"
}

// FormatVolume writes a volume to three significant digits, in millilitres
// below one litre.
func FormatVolume(v Volume) string {
	if l := v.Litres(); math.Abs(l) < 0.9995 {
		return Significant(l*1000, 3) + " ml"
	}
	return Significant(v.Litres(), 3) + " l"
}

// FormatMass writes a mass to three significant digits, in grams below one kilogram.
func FormatMass(m Mass) string {
	if math.Abs(float64(m)) < 0.9995 {
		return Significant(float64(m)*1000, 3) + " g"
	}
	return Significant(float64(m), 3) + " kg"
}

// FormatShare writes a fraction as a percentage to two significant digits.
func FormatShare(fraction float64) string { return Significant(fraction*100, 2) + " %" }

// FormatTemperature writes a temperature to a tenth, in "C", "F" or "K"; an
// unknown unit is written in C.
func FormatTemperature(t Temperature, unit string) string {
	scale, offset, symbol, ok := temperatureUnit(unit)
	if !ok {
		scale, offset, symbol = 1, 273.15, "C"
	}
	return fixed((float64(t)-offset)/scale, 1) + " " + symbol
}

// FormatTempDiff writes a difference of temperatures in kelvin, to two significant digits.
func FormatTempDiff(d TempDiff) string { return Significant(float64(d), 2) + " K" }

// FormatHeld writes a time in s since something began, to the second below an hour and to the minute above.
func FormatHeld(s float64) string {
	d := time.Duration(s * float64(time.Second)).Round(time.Second)
	if d >= time.Hour {
		d = d.Round(time.Minute)
	}
	return FormatDuration(d)
}

// FormatDuration writes a time as people say it, "1h30m" and "2d", leaving out
// what is zero. ParseDuration reads it back to the same nanosecond.
func FormatDuration(d time.Duration) string {
	if d < 0 {
		return "-" + FormatDuration(max(-d, 0)) // the smallest Duration has no positive counterpart
	}
	if d < time.Second {
		return d.String()
	}
	var b strings.Builder
	if d >= 2*day {
		fmt.Fprintf(&b, "%dd", d/day)
		d %= day
	}
	if d >= time.Hour {
		fmt.Fprintf(&b, "%dh", d/time.Hour)
		d %= time.Hour
	}
	if d >= time.Minute {
		fmt.Fprintf(&b, "%dm", d/time.Minute)
		d %= time.Minute
	}
	if d > 0 {
		seconds := strconv.FormatFloat(float64(d)/float64(time.Second), 'f', 9, 64)
		b.WriteString(strings.TrimRight(strings.TrimRight(seconds, "0"), ".") + "s")
	}
	return b.String()
}

// FormatSpan writes a time that may be years: "1y", "6 months", else as FormatDuration.
func FormatSpan(d time.Duration) string {
	switch {
	case d > 0 && d%year == 0:
		return fmt.Sprintf("%dy", d/year)
	case d > 0 && d%(year/12) == 0 && d < 2*year:
		return fmt.Sprintf("%d months", d/(year/12))
	}
	return FormatDuration(d)
}

// FormatTime writes a moment of so many milliseconds since 1970 in RFC 3339
// with milliseconds, in the zone of loc; nil is UTC.
func FormatTime(ms int64, loc *time.Location) string {
	if loc == nil {
		loc = time.UTC
	}
	return time.UnixMilli(ms).In(loc).Format("2006-01-02T15:04:05.000Z07:00")
}

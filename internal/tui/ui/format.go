package ui

import (
	"fmt"
	"math"
	"strings"
	"time"

	"example.org/holdfast/internal/units"
)

// Unit is a pressure unit of the screen.
type Unit struct {
	Name     string  // as shown
	Pa       float64 // pascal in one of it
	Fine     string  // unit for small differences
	FinePa   float64 // pascal in one of Fine
	Decimals int     // of a reading whose step is not known
}

// UnitOf finds the unit for a display setting; anything unknown is bar. A
// reference in the name ("psia") is left out: the caller shows it.
func UnitOf(name string) Unit {
	pa, _, canonical, err := units.PressureUnit(strings.TrimSpace(name))
	if err != nil {
		return UnitOf("bar")
	}
	if bare, found := strings.CutSuffix(canonical, "a"); found && bare != "P" && !strings.HasSuffix(bare, "P") {
		canonical = bare
	}
	fine := units.RateUnit(canonical)
	finePa, _, _, err := units.PressureUnit(fine)
	if err != nil {
		fine, finePa = canonical, pa
	}
	return Unit{Name: canonical, Pa: pa, Fine: fine, FinePa: finePa, Decimals: usual(pa)}
}

// usual is the number of decimals a gauge in a unit of pa pascal shows: a few
// hundred pascal in the last place.
func usual(pa float64) int {
	switch {
	case pa > 5e5:
		return 3
	case pa > 5e4:
		return 2
	case pa > 500:
		return 1
	}
	return 0
}

// Reading writes a pressure in pascal with the decimals that the instrument's
// readable step (Pa, 0 = unknown) deserves.
func (u Unit) Reading(pa float64, step float64) string {
	return Number(pa/u.Pa, u.digits(step))
}

func (u Unit) digits(step float64) int {
	if !(step > 0) {
		return u.Decimals
	}
	d := int(math.Ceil(-math.Log10(step/u.Pa) - 0.05))
	return min(max(d, 0), u.Decimals+1)
}

// Number writes v with d decimals and without a negative zero; what is not finite is "--".
func Number(v float64, d int) string {
	if math.IsNaN(v) || math.IsInf(v, 0) || math.Abs(v) > 1e15 {
		return "--"
	}
	s := fmt.Sprintf("%.*f", d, v)
	if strings.Trim(s, "-0.") == "" {
		s = strings.TrimPrefix(s, "-")
	}
	return s
}

// Clock writes a length of time in s as h:mm:ss, or m:ss below an hour.
func Clock(s float64) string {
	neg := ""
	if s < 0 {
		neg, s = "-", -s
	}
	if !(s < 1e9) {
		return "--"
	}
	n := int(s)
	if n >= 3600 {
		return fmt.Sprintf("%s%d:%02d:%02d", neg, n/3600, n/60%60, n%60)
	}
	return fmt.Sprintf("%s%d:%02d", neg, n/60, n%60)
}

// Span writes a length of time in s in words, roughly: "34 s", "12 min", "1 h 40 min".
func Span(s float64) string {
	switch {
	case !(s >= 0) || s > 1e9:
		return "--"
	case s < 9.95:
		return strings.TrimSuffix(fmt.Sprintf("%.1f", s), ".0") + " s"
	case s < 120:
		return fmt.Sprintf("%.0f s", s)
	case s < 7200:
		return fmt.Sprintf("%d min", int(s/60))
	}
	if m := int(s/60) % 60; m > 0 {
		return fmt.Sprintf("%d h %d min", int(s/3600), m)
	}
	return fmt.Sprintf("%d h", int(s/3600))
}

// WallClock writes Unix milliseconds as hours and minutes in a zone given as an
// RFC 3339 offset ("+02:00"); an unknown zone is UTC and says so.
func WallClock(ms int64, zone string) string {
	if ms == 0 {
		return ""
	}
	t := time.UnixMilli(ms).UTC()
	if z, err := time.Parse("Z07:00", zone); err == nil {
		return t.In(z.Location()).Format("15:04")
	}
	return t.Format("15:04") + " UTC"
}

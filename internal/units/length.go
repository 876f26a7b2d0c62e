package units

import (
	"fmt"
	"strconv"
	"strings"
)

// lengthUnit gives the size of a unit of length in metres.
func lengthUnit(name string) (m float64, ok bool) {
	switch strings.ToLower(squeeze(name)) {
	case "m":
		return 1, true
	case "cm":
		return 0.01, true
	case "mm":
		return 0.001, true
	case "in", "inch", `"`:
		return inch, true
	case "ft", "feet":
		return foot, true
	}
	return 0, false
}

// ParseLength reads a length above zero, in metres: "3m", "0.7mm", "0.028in", "1/4in", "10ft".
func ParseLength(s string) (metres float64, err error) {
	text := strings.TrimSpace(s)
	over := 1.0
	if top, rest, ok := strings.Cut(text, "/"); ok { // the trade's fractions of an inch
		n, err := strconv.ParseUint(strings.TrimSpace(top), 10, 16)
		if err != nil || n == 0 {
			return 0, fmt.Errorf("length %s has a fraction that is not understood: write 1/4in", quote(s))
		}
		over, text = float64(n), rest
	}
	v, name, err := ParseNumber(text)
	if err != nil {
		return 0, fmt.Errorf("length %w", err)
	}
	unit, ok := lengthUnit(name)
	if !ok {
		return 0, unitError("length", s, name, "m, cm, mm, in or ft")
	}
	if v <= 0 {
		return 0, fmt.Errorf("length %s is not above zero", quote(s))
	}
	if strings.Contains(s, "/") {
		v = over / v
	}
	metres, err = scaled(s, v, unit)
	if err != nil {
		return 0, fmt.Errorf("length %w", err)
	}
	return metres, nil
}

// ParseArea reads an area above zero, in square metres: "0.12m2", "1200cm2".
func ParseArea(s string) (m2 float64, err error) {
	v, name, err := ParseNumber(s)
	if err != nil {
		return 0, fmt.Errorf("area %w", err)
	}
	length, ok := lengthUnit(strings.TrimSuffix(squeeze(name), "2"))
	if !ok || !strings.HasSuffix(squeeze(name), "2") {
		return 0, unitError("area", s, name, "m2, cm2, in2 or ft2")
	}
	if v <= 0 {
		return 0, fmt.Errorf("area %s is not above zero", quote(s))
	}
	return scaled(s, v, length*length)
}

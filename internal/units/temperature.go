package units

import (
	"fmt"
	"strings"
)

// temperatureUnit gives kelvin = value * scale + offset. The offsets are those
// of the SI Brochure (0 C = 273.15 K) and of 32 F = 0 C.
func temperatureUnit(name string) (scale, offset float64, canonical string, ok bool) {
	switch strings.ToLower(squeeze(name)) {
	case "c", "degc", "celsius":
		return 1, 273.15, "C", true
	case "f", "degf", "fahrenheit":
		return 5.0 / 9, 273.15 - 32*5.0/9, "F", true
	case "k", "kelvin":
		return 1, 0, "K", true
	}
	return 0, 0, "", false
}

// mostTemperature is above that of a torch of oxygen and acetylene, K.
const mostTemperature = 5000

// ParseTemperature reads a temperature, such as "21.5C", "70 °F" or "294K". A
// bare number takes the unit def; with an empty def it is an error.
func ParseTemperature(s, def string) (Temperature, error) {
	v, name, err := ParseNumber(s)
	if err != nil {
		return 0, fmt.Errorf("temperature %w", err)
	}
	if name == "" {
		name = def
	}
	scale, offset, _, ok := temperatureUnit(name)
	if !ok {
		return 0, unitError("temperature", s, name, "C, F or K")
	}
	kelvin := v*scale + offset
	if kelvin < 0 {
		return 0, fmt.Errorf("temperature %s is below absolute zero: check the unit", quote(s))
	}
	if kelvin > mostTemperature {
		return 0, fmt.Errorf("temperature %s is hotter than any flame: check the unit", quote(s))
	}
	return Temperature(kelvin), nil
}

// ParseTempDiff reads a difference of temperatures, such as the readable step
// "0.5C", "1F" or "0.1K". It may be negative (the error of a thermometer).
func ParseTempDiff(s string) (TempDiff, error) {
	v, name, err := ParseNumber(s)
	if err != nil {
		return 0, fmt.Errorf("temperature difference %w", err)
	}
	scale, _, _, ok := temperatureUnit(name)
	if !ok {
		return 0, unitError("temperature difference", s, name, "C, F or K")
	}
	kelvin, err := scaledTo(s, v, scale, mostTemperature)
	if err != nil {
		return 0, fmt.Errorf("temperature difference %w", err)
	}
	return TempDiff(kelvin), nil
}

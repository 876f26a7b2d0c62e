package units

import (
	"math"
	"strings"
	"testing"
)

// What a person types as a temperature, a length, an area or an accuracy: read as
// a finite number, or refused with the text in the message.
func FuzzParseTemperatureLengthAndAccuracy(f *testing.F) {
	for _, s := range []string{"21.5C", "-40F", "294.65 K", "21,5", "0.5K", "0.7mm", "1/4in", "3m", "20mm2", "0.25%FS", "±50mbar", "1e308C", "\x1b[2J"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		check := func(what string, v float64, err error) {
			if err == nil && (math.IsNaN(v) || math.IsInf(v, 0)) {
				t.Errorf("%s %q is %v", what, s, v)
			}
			if err != nil && strings.ContainsAny(err.Error(), "\x1b\n\x00") {
				t.Errorf("%s: the message repeats control bytes: %q", what, err)
			}
		}
		temp, err := ParseTemperature(s, "")
		check("temperature", float64(temp), err)
		if err == nil && temp < 0 {
			t.Errorf("temperature %q is %v K", s, float64(temp))
		}
		diff, err := ParseTempDiff(s)
		check("difference", float64(diff), err)
		length, err := ParseLength(s)
		check("length", length, err)
		area, err := ParseArea(s)
		check("area", area, err)
		_, err = ParseAccuracy(s)
		check("accuracy", 0, err)
	})
}

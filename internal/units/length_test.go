package units_test

import (
	"math"
	"testing"

	"example.org/holdfast/internal/units"
)

func TestParseLengthAndArea(t *testing.T) {
	for text, want := range map[string]float64{
		"3m": 3, "0.7mm": 0.0007, "0,7 mm": 0.0007, "0.028in": 0.028 * 0.0254, "1/4in": 0.00635, `3/16"`: 0.0047625, "10 ft": 3.048, "25cm": 0.25,
	} {
		if got, err := units.ParseLength(text); err != nil || math.Abs(got/want-1) > 1e-12 {
			t.Errorf("ParseLength(%q) = %v, %v; want %v", text, got, err, want)
		}
	}
	for text, want := range map[string]float64{"0.12m2": 0.12, "1200 cm²": 0.12, "1ft2": 0.3048 * 0.3048} {
		if got, err := units.ParseArea(text); err != nil || math.Abs(got/want-1) > 1e-12 {
			t.Errorf("ParseArea(%q) = %v, %v; want %v", text, got, err, want)
		}
	}
	for _, text := range []string{"", "3", "-1m", "0mm", "1/0in", "x/4in", "3 kg", "1e400m"} {
		if got, err := units.ParseLength(text); err == nil {
			t.Errorf("ParseLength(%q) = %v", text, got)
		}
		if got, err := units.ParseArea(text); err == nil {
			t.Errorf("ParseArea(%q) = %v", text, got)
		}
	}
	if got, err := units.ParseArea("3m"); err == nil {
		t.Errorf("a length is an area of %v", got)
	}
}

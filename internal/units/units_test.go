package units_test

import (
	"encoding"
	"math"
	"testing"

	"example.org/holdfast/internal/units"
)

// The bridge between the references, with figures of the trade (common
// practice, no source): 0 psig at sea level is 14.7 psia; 29.92 inHg of vacuum is none.
func TestGaugeAndAbsoluteMeetOnlyThroughTheAtmosphere(t *testing.T) {
	zero, err := units.ParsePressure("0 psig", "")
	if err != nil {
		t.Fatal(err)
	}
	if got := units.FormatPressure(float64(zero.Abs(units.StandardAtmosphere)), "psia"); got != "14.7 psia" {
		t.Errorf("0 psig at sea level is %s", got)
	}
	vacuum, err := units.ParsePressure("-29.92 inHg", "")
	if err != nil || math.Abs(float64(vacuum.Abs(units.StandardAtmosphere))) > 10 {
		t.Errorf("-29.92 inHg is %v Pa absolute, %v", vacuum.Abs(units.StandardAtmosphere), err)
	}
	stated, err := units.ParsePressure("20.8 bara", "")
	if err != nil || stated.Abs(85000) != 2.08e6 {
		t.Errorf("an absolute pressure takes the atmosphere on: %v, %v", stated.Abs(85000), err)
	}
	if got := units.Gauge(2e6).Absolute(85000).Gauge(85000); got != 2e6 {
		t.Errorf("2 MPa gauge there and back is %v", got)
	}
}

// What a flag package does with a text.
func TestFlagsReadQuantitiesFromText(t *testing.T) {
	var (
		volume units.Volume
		mass   units.Mass
		step   units.PressureDiff
		width  units.TempDiff
		rate   units.Rate
	)
	for text, dst := range map[string]encoding.TextUnmarshaler{"0.3L": &volume, "45g": &mass, "0.1bar": &step, "0.5C": &width, "0,4%/h": &rate} {
		if err := dst.UnmarshalText([]byte(text)); err != nil {
			t.Error(err)
		}
		if dst.UnmarshalText([]byte("7")) == nil {
			t.Errorf("%T takes a number without a unit", dst)
		}
	}
	if !near(float64(volume), 0.0003, 1e-12) || !near(float64(mass), 0.045, 1e-12) || step != 1e4 || width != 0.5 || rate.String() != "0.4%/h" {
		t.Errorf("read %v, %v, %v, %v, %v", volume, mass, step, width, rate)
	}
}

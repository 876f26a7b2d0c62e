package units_test

import (
	"encoding/json"
	"math"
	"strings"
	"testing"

	"example.org/holdfast/internal/units"
)

// The fixed points of the two scales (SI Brochure; the Fahrenheit scale by its definition).
func TestParseTemperatureAtFixedPoints(t *testing.T) {
	for _, c := range []struct {
		in, def string
		kelvin  float64
	}{
		{"0C", "", 273.15}, {"32 °F", "", 273.15}, {"212F", "", 373.15}, {"-40 °C", "", 233.15}, {"-40F", "", 233.15},
		{"-459.67 F", "", 0}, {"294,15 K", "", 294.15}, {"21", "C", 294.15}, {"77", "f", 298.15}, {"21 ℃", "", 294.15}, {"21 degC", "", 294.15},
	} {
		got, err := units.ParseTemperature(c.in, c.def)
		if err != nil || math.Abs(float64(got)-c.kelvin) > 1e-9 {
			t.Errorf("ParseTemperature(%q, %q) = %v, %v; want %v", c.in, c.def, got, err, c.kelvin)
		}
	}
	for _, in := range []string{"21", "-300C", "-1K", "21 bar", "warm"} {
		if got, err := units.ParseTemperature(in, ""); err == nil {
			t.Errorf("ParseTemperature(%q) = %v; want an error", in, got)
		}
	}
}

func TestParseTempDiffHasNoOffset(t *testing.T) {
	for in, kelvin := range map[string]float64{"0.5C": 0.5, "9F": 5, "0,1 K": 0.1, "-1.8°F": -1} {
		got, err := units.ParseTempDiff(in)
		if err != nil || math.Abs(float64(got)-kelvin) > 1e-12 {
			t.Errorf("ParseTempDiff(%q) = %v, %v; want %v", in, got, err, kelvin)
		}
	}
	if got, err := units.ParseTempDiff("0.5"); err == nil {
		t.Errorf("ParseTempDiff of a bare number = %v", got)
	}
}

// 1 ft3 = 28.31685 l, 1 in3 = 16.38706 cm3, 1 oz = 28.34952 g, 1 lb = 453.5924 g:
// NIST SP 811 (2008), appendix B.8, from memory.
func TestAmountsAgreeWithPrintedFactors(t *testing.T) {
	for in, litres := range map[string]float64{
		"0.3L": 0.3, "0,3 l": 0.3, "300ml": 0.3, "300 cm3": 0.3, "300cm³": 0.3, "300 cc": 0.3, "30cl": 0.3, "0.0003 m3": 0.3,
		"1 ft3": 28.31685, "0.02 cu ft": 0.566337, "5 in3": 0.0819353, "2 litres": 2,
	} {
		got, err := units.ParseVolume(in)
		if err != nil || !near(got.Litres(), litres, 4e-7) {
			t.Errorf("ParseVolume(%q) = %v l, %v; want %v", in, got.Litres(), err, litres)
		}
	}
	for in, grams := range map[string]float64{"45g": 45, "0.045kg": 45, "1 oz": 28.34952, "0.1lb": 45.35924, "500 mg": 0.5} {
		got, err := units.ParseMass(in)
		if err != nil || !near(float64(got)*1000, grams, 2e-7) {
			t.Errorf("ParseMass(%q) = %v kg, %v; want %v g", in, got, err, grams)
		}
	}
	for _, in := range []string{"0.3", "0 l", "-1 l", "3 g", "l", "1e-320 ml"} {
		if got, err := units.ParseVolume(in); err == nil {
			t.Errorf("ParseVolume(%q) = %v; want an error", in, got)
		}
	}
}

func TestParseVolumeTolerance(t *testing.T) {
	for _, c := range []struct {
		in               string
		litres, relative float64
	}{
		{"0.3L", 0.3, 0}, {"0.3L ±5%", 0.3, 0.05}, {"0.3L+-5%", 0.3, 0.05}, {"0,3 l +/- 2,5 %", 0.3, 0.025}, {"400ml ±20ml", 0.4, 0.05}, {"1l±0%", 1, 0},
	} {
		v, rel, err := units.ParseVolumeTolerance(c.in)
		if err != nil || !near(v.Litres(), c.litres, 1e-12) || math.Abs(rel-c.relative) > 1e-12 {
			t.Errorf("ParseVolumeTolerance(%q) = %v l, %v, %v; want %v, %v", c.in, v.Litres(), rel, err, c.litres, c.relative)
		}
	}
	for _, in := range []string{"0.3L ±", "0.3L ±5", "0.3L ±-5%", "0.3L ±100%", "0.3L ±1l", "0.3 ±5%", "±5%", "0.3L ±5% x"} {
		if v, rel, err := units.ParseVolumeTolerance(in); err == nil {
			t.Errorf("ParseVolumeTolerance(%q) = %v, %v; want an error", in, v, rel)
		}
	}
}

func TestParseAltitude(t *testing.T) {
	for in, m := range map[string]float64{"1400m": 1400, "4600ft": 1402.08, "1,4 km": 1400, "-50 m": -50, "0m": 0} {
		got, err := units.ParseAltitude(in)
		if err != nil || math.Abs(got-m) > 1e-9 {
			t.Errorf("ParseAltitude(%q) = %v, %v; want %v", in, got, err, m)
		}
	}
	for _, in := range []string{"1400", "1.400,0m", "high"} {
		if got, err := units.ParseAltitude(in); err == nil {
			t.Errorf("ParseAltitude(%q) = %v; want an error", in, got)
		}
	}
}

func TestQuantitiesReadTextAndTheNumbersTheyAreWrittenAs(t *testing.T) {
	type record struct {
		Volume units.Volume       `json:"volume_m3"`
		Charge units.Mass         `json:"charge_kg"`
		Step   units.PressureDiff `json:"step_pa"`
		Width  units.TempDiff     `json:"width_k"`
		Limit  units.Rate         `json:"limit"`
	}
	limit, err := units.ParseRate("3 g/yr")
	if err != nil {
		t.Fatal(err)
	}
	want := record{0.0003, 0.045, 1e4, -0.5, limit}
	data, err := json.Marshal(want)
	if err != nil {
		t.Fatal(err)
	}
	if !strings.Contains(string(data), `"volume_m3":0.0003`) {
		t.Errorf("a volume is not written as a number in SI: %s", data)
	}
	for _, in := range []string{string(data), `{"volume_m3":"0.3l","charge_kg":"45g","step_pa":"0.1bar","width_k":"-0.5C","limit":"3g/yr"}`} {
		var got record
		if err := json.Unmarshal([]byte(in), &got); err != nil || got != want {
			t.Errorf("%s reads as %+v, %v; want %+v", in, got, err, want)
		}
	}
	var got record
	if err := json.Unmarshal([]byte(`{"volume_m3":"0.3"}`), &got); err == nil {
		t.Errorf("a text without unit reads as %v", got.Volume)
	}
	if err := json.Unmarshal([]byte(`{"volume_m3":null,"limit":""}`), &got); err != nil || got.Volume != 0 || !got.Limit.IsZero() {
		t.Errorf("null reads as %+v, %v; want nothing", got, err)
	}
}

func FuzzParseAmounts(f *testing.F) {
	for _, s := range []string{"0.3L ±5%", "300 cm³+-1%", "45g", "1.6oz", "21.5 °C", "-40F", "1400m", "20%", "-1 l ±"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		if v, rel, err := units.ParseVolumeTolerance(s); err == nil && !(v > 0 && rel >= 0 && rel < 1 && !math.IsInf(float64(v), 0)) {
			t.Fatalf("ParseVolumeTolerance(%q) = %v, %v", s, v, rel)
		}
		if m, err := units.ParseMass(s); err == nil && !(m > 0 && !math.IsInf(float64(m), 0)) {
			t.Fatalf("ParseMass(%q) = %v", s, m)
		}
		if k, err := units.ParseTemperature(s, ""); err == nil && !(k >= 0 && !math.IsInf(float64(k), 0)) {
			t.Fatalf("ParseTemperature(%q) = %v", s, k)
		}
		if share, err := units.ParseShare(s); err == nil && !(share >= 0 && share <= 1) {
			t.Fatalf("ParseShare(%q) = %v", s, share)
		}
		if m, err := units.ParseAltitude(s); err == nil && math.IsInf(m, 0) {
			t.Fatalf("ParseAltitude(%q) = %v", s, m)
		}
		if d, err := units.ParseTempDiff(s); err == nil && math.IsNaN(float64(d)) {
			t.Fatalf("ParseTempDiff(%q) = %v", s, d)
		}
	})
}

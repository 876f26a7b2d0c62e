package units_test

import (
	"errors"
	"math"
	"strings"
	"testing"

	"example.org/holdfast/internal/units"
)

// One table, hence its length.
func TestColumnNamesOfTheImport(t *testing.T) {
	for _, c := range []struct {
		name     string
		quantity units.Quantity
		ref      units.Reference
		unit     string
		in, si   float64
	}{
		{"pressure_pa_abs", units.PressureQuantity, units.AbsoluteRef, "Pa abs", 2.1e6, 2.1e6},
		{"pressure_kpa_abs", units.PressureQuantity, units.AbsoluteRef, "kPa abs", 2100, 2.1e6},
		{"pressure_bar_abs", units.PressureQuantity, units.AbsoluteRef, "bara", 21, 2.1e6},
		{"pressure_mbar_abs", units.PressureQuantity, units.AbsoluteRef, "mbara", 21000, 2.1e6},
		{"pressure_psia", units.PressureQuantity, units.AbsoluteRef, "psia", 14.6959487755, 101325},
		{"pressure_pa", units.PressureQuantity, units.GaugeRef, "Pa", -500, -500},
		{"pressure_kpa", units.PressureQuantity, units.GaugeRef, "kPa", 2000, 2e6},
		{"pressure_bar", units.PressureQuantity, units.GaugeRef, "bar", 20, 2e6},
		{"pressure_mbar", units.PressureQuantity, units.GaugeRef, "mbar", 20000, 2e6},
		{"pressure_psi", units.PressureQuantity, units.GaugeRef, "psi", 290.0754754, 2e6},
		{"pressure_micron", units.PressureQuantity, units.AbsoluteRef, "micron", 760000, 101325},
		{"Pressure_PSI", units.PressureQuantity, units.GaugeRef, "psi", 290.0754754, 2e6},
		{"ambient_c", units.AmbientQuantity, 0, "C", 25, 298.15},
		{"ambient_f", units.AmbientQuantity, 0, "F", 212, 373.15},
		{"ambient_k", units.AmbientQuantity, 0, "K", 298.15, 298.15},
		{"section_f", units.SectionQuantity, 0, "F", -40, 233.15},
		{"barometer_hpa", units.BarometerQuantity, units.AbsoluteRef, "hPa abs", 1013.25, 101325},
		{"barometer_mbar", units.BarometerQuantity, units.AbsoluteRef, "mbara", 1013.25, 101325},
		{"barometer_kpa_abs", units.BarometerQuantity, units.AbsoluteRef, "kPa abs", 101.325, 101325},
		{"barometer_inhg", units.BarometerQuantity, units.AbsoluteRef, "inHg abs", 29.92125, 101325},
	} {
		col, err := units.ParseColumn(c.name)
		if err != nil || col.Quantity != c.quantity || col.Ref != c.ref || col.Unit != c.unit {
			t.Errorf("ParseColumn(%q) = %+v, %v; want %v ref %v %q", c.name, col, err, c.quantity, c.ref, c.unit)
			continue
		}
		if got := col.SI(c.in); !near(got, c.si, 1e-6) {
			t.Errorf("%s: %v is %v SI, want %v", c.name, c.in, got, c.si)
		}
		if got := col.FromSI(col.SI(c.in)); !near(got, c.in, 1e-12) {
			t.Errorf("%s: %v there and back is %v", c.name, c.in, got)
		}
	}
}

func TestColumnErrorsTellOtherColumnsFromWrongUnits(t *testing.T) {
	for _, name := range []string{"elapsed_s", "time", "note", "", "-", "humidity_pct"} {
		if _, err := units.ParseColumn(name); !errors.Is(err, units.ErrNotQuantity) {
			t.Errorf("ParseColumn(%q): %v; want ErrNotQuantity", name, err)
		}
	}
	for name, want := range map[string]string{
		"pressure": "pressure_ with", "pressure_": "pressure_ with", "pressure_furlong": "pressure_ with",
		"ambient": "_c, _f or _k", "section_bar": "_c, _f or _k", "barometer_psig": "barometer_ with",
	} {
		_, err := units.ParseColumn(name)
		if err == nil || errors.Is(err, units.ErrNotQuantity) || !strings.Contains(err.Error(), want) {
			t.Errorf("ParseColumn(%q): %v; want an error with %q", name, err, want)
		}
	}
}

func FuzzParseColumn(f *testing.F) {
	for _, s := range []string{"pressure_bar_abs", "ambient_c", "barometer_hpa", "section_", "elapsed_s", "pressure_mPa"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		col, err := units.ParseColumn(s)
		if err != nil {
			return
		}
		if col.Scale <= 0 || math.IsInf(col.Scale, 0) || col.Unit == "" || col.Quantity == 0 {
			t.Fatalf("ParseColumn(%q) = %+v", s, col)
		}
	})
}

package units_test

import (
	"math"
	"regexp"
	"strings"
	"testing"

	"example.org/holdfast/internal/units"
)

func parseRate(t *testing.T, s string) units.Rate {
	t.Helper()
	r, err := units.ParseRate(s)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// Every way to write one limit, by hand: 3 g in a year of 31557600 s is
// 9.506e-11 kg/s; 1 mbar l = 0.1 Pa m3.
func TestParseRateForms(t *testing.T) {
	const hour = 3600.0
	for _, c := range []struct {
		in   string
		kind units.RateKind
		si   float64
		text string
	}{
		{"3g/yr", units.MassPerTime, 0.003 / 31557600, "3g/yr"},
		{"3 g/a", units.MassPerTime, 0.003 / 31557600, "3g/yr"},
		{"3 g/year", units.MassPerTime, 0.003 / 31557600, "3g/yr"},
		{"5 oz/yr", units.MassPerTime, 0.1417476 / 31557600, "5oz/yr"},
		{"1e-5mbar.l/s", units.Throughput, 1e-6, "1e-5mbar.l/s"},
		{"1e-5 mbar*l/s", units.Throughput, 1e-6, "1e-5mbar.l/s"},
		{"1e-5 mbar l/s", units.Throughput, 1e-6, "1e-5mbar.l/s"},
		{"1e-5 mbar·L/s", units.Throughput, 1e-6, "1e-5mbar.l/s"},
		{"1e-6Pa.m3/s", units.Throughput, 1e-6, "1e-6Pa.m3/s"},
		{"1e-6 Pa m³/s", units.Throughput, 1e-6, "1e-6Pa.m3/s"},
		{"1e-5 std cm3/s", units.Throughput, 1.01325e-6, "1e-5std.cm3/s"},
		{"1e-5 scc/s", units.Throughput, 1.01325e-6, "1e-5std.cm3/s"},
		{"1e-5 atm.cm3/s", units.Throughput, 1.01325e-6, "1e-5atm.cm3/s"},
		{"0.6 sccm", units.Throughput, 1.01325e-3, "0.6sccm"},
		{"500Pa/h", units.PressurePerTime, 500 / hour, "500Pa/h"},
		{"5mbar/h", units.PressurePerTime, 500 / hour, "5mbar/h"},
		{"0,2psi/hr", units.PressurePerTime, 1378.951459 / hour, "0.2psi/h"},
		{"0.2 psig/hour", units.PressurePerTime, 1378.951459 / hour, "0.2psi/h"},
		{"1 kg/cm2/h", units.PressurePerTime, 98066.5 / hour, "1kg/cm2/h"},
		{"10 micron/min", units.PressurePerTime, 1.3332237 / 60, "10micron/min"},
		{"0.4%/h", units.FractionPerTime, 0.004 / hour, "0.4%/h"},
		{"2.4 %/day", units.FractionPerTime, 0.001 / hour, "2.4%/d"},
	} {
		r, err := units.ParseRate(c.in)
		if err != nil || r.Kind != c.kind || !near(r.Value, c.si, 2e-7) || r.Text != c.text {
			t.Errorf("ParseRate(%q) = %+v, %v; want kind %v, %v, %q", c.in, r, err, c.kind, c.si, c.text)
		}
	}
}

func TestParseRateRefusesAndSaysWhatToWrite(t *testing.T) {
	for in, want := range map[string]string{
		"-3g/yr": "not above zero", "0%/h": "not above zero", "0g/yr": "not above zero", "3": "has no unit", "3g": "unknown unit",
		"3/h": "unknown unit", "5bar": "unknown unit", "5 mbar/m": "unknown unit", "5 l/s": "unknown unit", "5 mPa.m3/s": "unknown unit",
		"fast": "does not start with a number", "": "does not start with a number", "1e-323Pa/yr": "anything in this trade", "1e308MPa/s": "anything in this trade",
	} {
		r, err := units.ParseRate(in)
		if err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("ParseRate(%q) = %+v, %v; want an error with %q", in, r, err, want)
			continue
		}
		if want != "anything in this trade" && !strings.Contains(err.Error(), "3g/yr") {
			t.Errorf("ParseRate(%q): %v; want the accepted forms in it", in, err)
		}
	}
}

// testdata/throughput_units.csv, sources in its head.
func TestThroughputUnitsAgreeWithTheTable(t *testing.T) {
	explained := regexp.MustCompile(` \([^)]*\)`)
	checked := 0
	for _, row := range table(t, "throughput_units.csv") {
		if strings.HasPrefix(row["unit"], "mol/s") {
			continue // an amount of substance needs a temperature
		}
		name := explained.ReplaceAllString(row["unit"], "")
		r := parseRate(t, "1 "+name)
		if want := number(t, row["Pa_m3_s_per_unit"]); r.Kind != units.Throughput || !near(r.Value, want, 1e-12) {
			t.Errorf("1 %s = %v, want %v Pa m3/s", name, r.Value, want)
		}
		checked++
	}
	if checked != 9 {
		t.Errorf("%d units checked, want 9", checked)
	}
}

// The published values quoted in the head of testdata/throughput_units.csv.
func TestThroughputAgreesWithPublishedValues(t *testing.T) {
	std := parseRate(t, "1 std cm3/s").Value
	if got := parseRate(t, "1 mbar l/s").Value / std; !near(got, 0.987, 5e-4) {
		t.Errorf("1 mbar l/s = %v std cm3/s, published 0.987", got)
	}
	if got := parseRate(t, "1 Pa m3/s").Value / std; !near(got, 9.87, 5e-4) {
		t.Errorf("1 Pa m3/s = %v std cm3/s, published 9.87", got)
	}
	if got := parseRate(t, "1 sccm").Value / 0.1; !near(got, 0.0168875, 1e-6) {
		t.Errorf("1 sccm = %v mbar l/s, published 0.0168875", got)
	}
}

// testdata/mass_rate_to_throughput.csv, computed apart from holdfast: the rows
// of the Julian year, turned back into a mass flow with R of CODATA 2018.
func TestOneGramPerYearAgreesWithTheTable(t *testing.T) {
	gramPerYear := parseRate(t, "1g/yr").Value
	if !near(gramPerYear, float64(units.GramsPerYear(1)), 1e-12) {
		t.Errorf("1g/yr is %v, GramsPerYear(1) is %v", gramPerYear, units.GramsPerYear(1))
	}
	checked := 0
	for _, row := range table(t, "mass_rate_to_throughput.csv") {
		if row["year_d"] != "365.25" {
			continue
		}
		molar, kelvin := number(t, row["M_g_mol"])/1000, number(t, row["T_K"])
		throughput := gramPerYear / molar * 8.314462618 * kelvin
		if want := number(t, row["Pa_m3_s_per_g_per_yr"]); !near(throughput, want, 1e-9) {
			t.Errorf("1 g/yr of %s at %v K = %v Pa m3/s, want %v", row["gas"], kelvin, throughput, want)
		}
		checked++
	}
	if checked != 18 {
		t.Errorf("%d rows checked, want 18", checked)
	}
}

func FuzzParseRate(f *testing.F) {
	for _, s := range []string{"3g/yr", "1e-5 mbar*l/s", "1 std cm3/s", "0.6sccm", "0,4%/h", "1 kg/cm2/h", "10 micron ft3/h", "-1g/yr", "1/h", "5 lusec"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		r, err := units.ParseRate(s)
		if err != nil {
			return
		}
		if !(r.Value > 0) || math.IsInf(r.Value, 0) {
			t.Fatalf("ParseRate(%q) = %+v", s, r)
		}
		if again, err := units.ParseRate(r.Text); err != nil || again != r {
			t.Fatalf("%q: %+v reads back as %+v, %v", s, r, again, err)
		}
	})
}

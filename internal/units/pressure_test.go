package units_test

import (
	"math"
	"strings"
	"testing"

	"example.org/holdfast/internal/units"
)

// near reports whether got is within a relative tolerance of want.
func near(got, want, relative float64) bool {
	return math.Abs(got-want) <= relative*math.Abs(want)
}

// Factors of NIST SP 811 (2008), appendix B.8, seven digits as printed there: from memory.
func TestPressureUnitsAgreeWithPrintedFactors(t *testing.T) {
	for unit, pa := range map[string]float64{
		"psi": 6.894757e3, "inHg": 3.386389e3, "Torr": 1.333224e2, "kg/cm2": 9.80665e4,
		"bar": 1e5, "mbar": 1e2, "hPa": 1e2, "kPa": 1e3, "MPa": 1e6, "Pa": 1,
	} {
		got, _, _, err := units.PressureUnit(unit)
		if err != nil || !near(got, pa, 4e-7) {
			t.Errorf("PressureUnit(%q) = %v, %v; want %v Pa", unit, got, err, pa)
		}
	}
}

// Figures of the trade (common practice, no source): 500 micron is 0.5 Torr, 66.7 Pa
// or 0.667 mbar; an inch of mercury is 25400 micron.
func TestVacuumUnitsAgreeWithTheFiguresOfTheTrade(t *testing.T) {
	micron, ref, _, err := units.PressureUnit("micron")
	if err != nil || ref != units.AbsoluteRef {
		t.Fatalf("PressureUnit(micron): reference %v, %v; want absolute", ref, err)
	}
	if got := units.FormatPressure(500*micron, "Torr"); got != "0.5 Torr" {
		t.Errorf("500 micron = %s", got)
	}
	if !near(500*micron, 66.7, 1e-3) {
		t.Errorf("500 micron = %v Pa, want 66.7", 500*micron)
	}
	inHg, _, _, err := units.PressureUnit("inHg")
	if err != nil || !near(inHg/micron, 25400, 1e-6) {
		t.Errorf("1 inHg = %v micron, %v; want 25400", inHg/micron, err)
	}
}

func TestParsePressureKeepsTheReference(t *testing.T) {
	for _, c := range []struct {
		in, def string
		pa      float64
		ref     units.Reference
		unit    string
	}{
		{"290 psi", "", 290 * 6894.757293168, units.GaugeRef, "psi"},
		{"290psig", "", 290 * 6894.757293168, units.GaugeRef, "psi"},
		{"14.7 PSIA", "", 14.7 * 6894.757293168, units.AbsoluteRef, "psia"},
		{"19,8bar", "", 1.98e6, units.GaugeRef, "bar"},
		{"19.8 barg", "", 1.98e6, units.GaugeRef, "bar"},
		{"19.8 bar(g)", "", 1.98e6, units.GaugeRef, "bar"},
		{"20.8 bara", "", 2.08e6, units.AbsoluteRef, "bara"},
		{"20.8 bar abs", "", 2.08e6, units.AbsoluteRef, "bara"},
		{"20.8 bar_abs", "", 2.08e6, units.AbsoluteRef, "bara"},
		{"20.8", "bar(a)", 2.08e6, units.AbsoluteRef, "bara"},
		{"1980 kPa", "", 1.98e6, units.GaugeRef, "kPa"},
		{"2080 kPa absolute", "", 2.08e6, units.AbsoluteRef, "kPa abs"},
		{"1.98MPa gauge", "", 1.98e6, units.GaugeRef, "MPa"},
		{"1.98mpa", "", 1.98e6, units.GaugeRef, "MPa"},
		{"66 Pa", "", 66, units.GaugeRef, "Pa"},
		{"66 Paa", "", 66, units.AbsoluteRef, "Pa abs"},
		{"2 kgf/cm²", "", 196133, units.GaugeRef, "kg/cm2"},
		{"-29 inHg", "", -98205.27057, units.GaugeRef, "inHg"},
		{"760 Torr", "", 101325, units.AbsoluteRef, "Torr"},
		{"760 torr abs", "", 101325, units.AbsoluteRef, "Torr"},
		{"0 bara", "", 0, units.AbsoluteRef, "bara"},
	} {
		p, err := units.ParsePressure(c.in, c.def)
		if err != nil || !near(p.Pa, c.pa, 1e-9) || p.Ref != c.ref || p.Unit != c.unit {
			t.Errorf("ParsePressure(%q, %q) = %+v, %v; want %v Pa, ref %v, %q", c.in, c.def, p, err, c.pa, c.ref, c.unit)
		}
	}
}

func TestParsePressureRefusesAndSaysWhatToWrite(t *testing.T) {
	for _, c := range []struct{ in, def, want string }{
		{"19.8", "", "has no unit: write Pa, hPa, kPa"},
		{"19.8 furlong", "", `"furlong" is unknown: use Pa`},
		{"19.8", "furlong", `"furlong" is unknown`},
		{"1.8 mPa", "", "write MPa"},
		{"-1 bara", "", "below zero"},
		{"-2 bar", "", "below a full vacuum"},
		{"500 micron gauge", "", "is unknown"},
		{"1e308 MPa", "", "larger than"},
		{"1.234,5 bar", "", "no thousands separators"},
	} {
		p, err := units.ParsePressure(c.in, c.def)
		if err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("ParsePressure(%q, %q) = %+v, %v; want an error with %q", c.in, c.def, p, err, c.want)
		}
	}
}

func TestPressureEchoSaysUnitAndReference(t *testing.T) {
	for in, want := range map[string]string{
		"19,8bar":     "19.80 bar gauge",
		"20.8 bara":   "20.80 bar absolute",
		"290 psig":    "290.0 psi gauge",
		"500 micron":  "500 micron absolute",
		"101.325kPaa": "101.3 kPa absolute",
	} {
		p, err := units.ParsePressure(in, "")
		if err != nil || p.String() != want {
			t.Errorf("%q echoes as %q, %v; want %q", in, p.String(), err, want)
		}
	}
}

func TestBarometerIsAbsoluteWithoutSayingSo(t *testing.T) {
	for in, pa := range map[string]float64{
		"101.3kPa": 101300, "1013,25 hPa": 101325, "850mbar": 85000, "29.9213 inHg": 101325, "760 Torr": 101325, "14.696 psia": 101325.35,
	} {
		got, err := units.ParseBarometer(in)
		if err != nil || !near(float64(got), pa, 1e-5) {
			t.Errorf("ParseBarometer(%q) = %v, %v; want %v", in, got, err, pa)
		}
	}
	for _, in := range []string{"101.3", "14.7 psig", "1013 kPa", "1 bar gauge", "0 Pa", "20 C"} {
		if got, err := units.ParseBarometer(in); err == nil {
			t.Errorf("ParseBarometer(%q) = %v; want an error", in, got)
		}
	}
}

func TestParsePressureDiffNeedsNoReference(t *testing.T) {
	for in, pa := range map[string]float64{"0.1bar": 1e4, "1psi": 6894.757293168, "-2 mbar": -200, "25barg": 2.5e6, "5 micron": 0.6666118} {
		got, err := units.ParsePressureDiff(in)
		if err != nil || !near(float64(got), pa, 1e-7) {
			t.Errorf("ParsePressureDiff(%q) = %v, %v; want %v", in, got, err, pa)
		}
	}
	for _, in := range []string{"0.1", "0.1 K", "bar", "1e308 bar"} {
		if got, err := units.ParsePressureDiff(in); err == nil {
			t.Errorf("ParsePressureDiff(%q) = %v; want an error", in, got)
		}
	}
}

func TestStatedAccuracyOfASensor(t *testing.T) {
	const span = 25e5 // 25 bar
	for in, pa := range map[string]float64{"0.25%FS": 6250, "0,25 % fs": 6250, "0.05bar": 5000, "1 %F.S.": 25000} {
		a, err := units.ParseAccuracy(in)
		if err != nil || !near(float64(a.Of(span)), pa, 1e-12) {
			t.Errorf("ParseAccuracy(%q) of 25 bar = %v Pa, %v; want %v", in, a.Of(span), err, pa)
		}
	}
	for in, want := range map[string]string{
		"0.25%": "of the reading", "0.25": "0.25%FS", "-1%FS": "above zero", "0 bar": "above zero", "200%FS": "full scale", "1 C": "unknown unit",
	} {
		if a, err := units.ParseAccuracy(in); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("ParseAccuracy(%q) = %+v, %v; want an error with %q", in, a, err, want)
		}
	}
}

func FuzzParsePressure(f *testing.F) {
	for _, s := range []string{"290 psi", "19,8bar", "20.8 bara", "-30inHg", "1 kPa abs", "1 mPa", "5 micron", "7"} {
		f.Add(s, "bar")
	}
	f.Fuzz(func(t *testing.T, s, def string) {
		p, err := units.ParsePressure(s, def)
		if err != nil {
			return
		}
		scale, ref, canonical, err := units.PressureUnit(p.Unit)
		if err != nil || ref != p.Ref || canonical != p.Unit {
			t.Fatalf("%q: unit %q reads back as %q ref %v, %v", s, p.Unit, canonical, ref, err)
		}
		again, err := units.ParsePressure(units.FormatNumber(p.Pa/scale)+" "+p.Unit, "")
		if err != nil || math.Abs(again.Pa-p.Pa) > 1e-12*math.Abs(p.Pa) {
			t.Fatalf("%q: %+v reads back as %+v, %v", s, p, again, err)
		}
	})
}

func FuzzParseBarometerAndPressureDiff(f *testing.F) {
	f.Add("101.3kPa")
	f.Add("14.7 psig")
	f.Fuzz(func(t *testing.T, s string) {
		if b, err := units.ParseBarometer(s); err == nil && !(b > 40e3 && b < 120e3) {
			t.Fatalf("ParseBarometer(%q) = %v", s, b)
		}
		if d, err := units.ParsePressureDiff(s); err == nil && (math.IsInf(float64(d), 0) || math.IsNaN(float64(d))) {
			t.Fatalf("ParsePressureDiff(%q) = %v", s, d)
		}
		if a, err := units.ParseAccuracy(s); err == nil && !(a.Of(1) > 0) {
			t.Fatalf("ParseAccuracy(%q) = %+v", s, a)
		}
	})
}

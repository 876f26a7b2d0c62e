package units_test

import (
	"math"
	"strings"
	"testing"

	"example.org/holdfast/internal/units"
)

func TestParseNumberReadsPointCommaExponentAndSign(t *testing.T) {
	for _, c := range []struct {
		in   string
		v    float64
		rest string
	}{
		{"290 psi", 290, "psi"},
		{"19,8bar", 19.8, "bar"},
		{"-30 inHg", -30, "inHg"},
		{"\u22122.5 C", -2.5, "C"},
		{"+.5h", 0.5, "h"},
		{"1e-5mbar.l/s", 1e-5, "mbar.l/s"},
		{"1,5E3 Pa", 1500, "Pa"},
		{"1,234 bar", 1.234, "bar"}, // a comma is never a thousands separator
		{"3e", 3, "e"},
		{"  7  ", 7, ""},
		{"0.3L ±5%", 0.3, "L ±5%"},
	} {
		v, rest, err := units.ParseNumber(c.in)
		if err != nil || v != c.v || rest != c.rest {
			t.Errorf("ParseNumber(%q) = %v, %q, %v; want %v, %q", c.in, v, rest, err, c.v, c.rest)
		}
	}
}

func TestParseNumberRefusesWhatItWouldHaveToGuess(t *testing.T) {
	for _, in := range []string{
		"", " ", "bar", "1.234,5", "1,234.5", "1,234,567", "1.2.3", "1 234", "1'234", "5.", "5,", ",5",
		"1e999", "-1e999", "NaN", "Inf", "-inf", "--1", "+-1", "e5", "1e5.5",
	} {
		if v, rest, err := units.ParseNumber(in); err == nil {
			t.Errorf("ParseNumber(%q) = %v, %q; want an error", in, v, rest)
		}
	}
}

func TestErrorsStayOnOneShortLine(t *testing.T) {
	_, err := units.ParsePressure("12 "+strings.Repeat("x\n", 5000), "")
	if err == nil || strings.Contains(err.Error(), "\n") || len(err.Error()) > 500 {
		t.Errorf("error is not one short line: %v", err)
	}
}

func FuzzParseNumber(f *testing.F) {
	for _, s := range []string{"19,8bar", "1.234,5", "-3e-7", "NaN", "1e400", "\u22125", "0x1p4", ""} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		v, _, err := units.ParseNumber(s)
		if err != nil {
			return
		}
		if math.IsNaN(v) || math.IsInf(v, 0) {
			t.Fatalf("ParseNumber(%q) = %v", s, v)
		}
		again, rest, err := units.ParseNumber(units.FormatNumber(v))
		if err != nil || rest != "" || again != v {
			t.Fatalf("%q: %v written as %q reads as %v, %q, %v", s, v, units.FormatNumber(v), again, rest, err)
		}
	})
}

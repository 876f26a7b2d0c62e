package units_test

import (
	"math"
	"strings"
	"testing"
	"time"

	"example.org/holdfast/internal/units"
)

func TestParseDurationAsPeopleWriteIt(t *testing.T) {
	for in, want := range map[string]time.Duration{
		"1h": time.Hour, "90m": 90 * time.Minute, "1h30m": 90 * time.Minute, "1h30": 90 * time.Minute, "1:30:00": 90 * time.Minute,
		"1h 30 min": 90 * time.Minute, "1,5h": 90 * time.Minute, "90 min": 90 * time.Minute, "2d": 48 * time.Hour, "2 days 3 hours": 51 * time.Hour,
		"10s": 10 * time.Second, "2m30": 150 * time.Second, "0:00:07.5": 7500 * time.Millisecond, "250ms": 250 * time.Millisecond,
		"1w": 168 * time.Hour, "+5m": 5 * time.Minute, ".5h": 30 * time.Minute, "0s": 0,
	} {
		if got, err := units.ParseDuration(in); err != nil || got != want {
			t.Errorf("ParseDuration(%q) = %v, %v; want %v", in, got, err, want)
		}
	}
	for _, in := range []string{"", "90", "0", "1:30", "-5m", "1h-5m", "1h90", "1h3.5", "30s5", "1y", "6 months", "1h30x", "1:60:00", "1::2", "1:2:3:4", "-1:00:00", "1e30h", "soon"} {
		if got, err := units.ParseDuration(in); err == nil {
			t.Errorf("ParseDuration(%q) = %v; want an error", in, got)
		}
	}
}

// Where both read a text, they must read the same time.
func TestParseDurationAgreesWithTheStandardLibrary(t *testing.T) {
	for _, in := range []string{"1h30m10.5s", "1.5h", "3m", "2h45m", "100us", "1µs", "7ns", "1h15m30.918s", "0.000001s", "30m1h"} {
		want, err := time.ParseDuration(in)
		if err != nil {
			t.Fatal(err)
		}
		if got, err := units.ParseDuration(in); err != nil || got != want {
			t.Errorf("ParseDuration(%q) = %v, %v; want %v", in, got, err, want)
		}
	}
}

func TestFormatDurationLeavesOutWhatIsZero(t *testing.T) {
	for d, want := range map[time.Duration]string{
		90 * time.Minute: "1h30m", time.Hour: "1h", 48 * time.Hour: "2d", 49 * time.Hour: "2d1h", 26 * time.Hour: "26h", 45 * time.Second: "45s",
		10 * time.Minute: "10m", 1500 * time.Millisecond: "1.5s", 0: "0s", -90 * time.Minute: "-1h30m", time.Hour + 5*time.Second: "1h5s",
	} {
		if got := units.FormatDuration(d); got != want {
			t.Errorf("FormatDuration(%v) = %q, want %q", d, got, want)
		}
	}
}

func TestToleratedLossOverYears(t *testing.T) {
	const year = 8766 * time.Hour
	for _, c := range []struct {
		in    string
		share float64
		span  time.Duration
	}{
		{"20%/1y", 0.2, year}, {"20 % / 2 years", 0.2, 2 * year}, {"10%/6 months", 0.1, year / 2}, {"5%/yr", 0.05, year}, {"2,5%/90d", 0.025, 2160 * time.Hour},
	} {
		share, span, err := units.ParseTolerance(c.in)
		if err != nil || math.Abs(share-c.share) > 1e-15 || span != c.span {
			t.Errorf("ParseTolerance(%q) = %v, %v, %v; want %v, %v", c.in, share, span, err, c.share, c.span)
		}
	}
	for in, want := range map[string]string{
		"20%": "has no time", "20/1y": "has no unit", "0%/1y": "above zero", "120%/1y": "not between", "20%/0y": "above zero",
		"20%/6m": "minutes or months", "20%/-1y": "is negative", "20%/1": "no unit", "-5%/1y": "not between",
	} {
		if share, span, err := units.ParseTolerance(in); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("ParseTolerance(%q) = %v, %v, %v; want an error with %q", in, share, span, err, want)
		}
	}
	for d, want := range map[time.Duration]string{year: "1y", 3 * year: "3y", year / 2: "6 months", 90 * time.Minute: "1h30m"} {
		if got := units.FormatSpan(d); got != want {
			t.Errorf("FormatSpan(%v) = %q, want %q", d, got, want)
		}
	}
}

func TestVacuumAcceptance(t *testing.T) {
	for in, pa := range map[string]float64{"80Pa@60min": 80, "600 micron @ 1h": 79.99342, "0.8mbar@1:00:00": 80} {
		most, after, err := units.ParseAcceptance(in)
		if err != nil || !near(float64(most), pa, 1e-6) || after != time.Hour {
			t.Errorf("ParseAcceptance(%q) = %v, %v, %v; want %v Pa, 1h", in, most, after, err, pa)
		}
	}
	for _, in := range []string{"80Pa", "80@60min", "80Pa@60", "0Pa@1h", "-1Pa@1h", "80Pa@0s", "1.1bar@1h", "1e308Pa@1h", "@"} {
		if most, after, err := units.ParseAcceptance(in); err == nil {
			t.Errorf("ParseAcceptance(%q) = %v, %v; want an error", in, most, after)
		}
	}
}

func FuzzParseDuration(f *testing.F) {
	for _, s := range []string{"1h30", "1:30:00", "90 min", "2d", "1.5h", "1µs", "90", "-5m", "1h30m10.000000001s"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		d, err := units.ParseDuration(s)
		if err != nil {
			return
		}
		text := units.FormatDuration(d)
		again, err := units.ParseDuration(text)
		// Above 104 days a float64 of nanoseconds no longer holds each one.
		if err != nil || math.Abs(float64(again-d)) > 1e-15*float64(d) {
			t.Fatalf("%q: %v written as %q reads as %v, %v", s, d, text, again, err)
		}
	})
}

func FuzzParseToleranceAndAcceptance(f *testing.F) {
	for _, s := range []string{"20%/1y", "5%/yr", "20%/6m", "80Pa@60min", "500 micron@30m", "@", "/"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		if share, span, err := units.ParseTolerance(s); err == nil && !(share > 0 && share <= 1 && span > 0) {
			t.Fatalf("ParseTolerance(%q) = %v, %v", s, share, span)
		}
		if most, after, err := units.ParseAcceptance(s); err == nil && !(most > 0 && most < 101325 && after > 0) {
			t.Fatalf("ParseAcceptance(%q) = %v, %v", s, most, after)
		}
	})
}

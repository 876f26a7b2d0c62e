package manual

import (
	"context"
	"errors"
	"io"
	"math"
	"strings"
	"testing"
	"time"

	"example.org/holdfast/internal/units"
)

func mustNew(t testing.TB, cfg Config) *Manual {
	t.Helper()
	m, err := New(cfg)
	if err != nil {
		t.Fatal(err)
	}
	return m
}

func TestTypedReadingsAreUnderstoodAndEchoed(t *testing.T) {
	nan := math.NaN()
	for _, c := range []struct {
		text    string
		pa      float64
		ref     units.Reference
		ambient float64 // C
		echo    string
	}{
		{"19,8bar", 1980000, units.GaugeRef, nan, "read as 19.80 bar gauge"},
		{"19.8", 1980000, units.GaugeRef, nan, "read as 19.80 bar gauge"},
		{"20.8 bara", 2080000, units.AbsoluteRef, nan, "read as 20.80 bar absolute"},
		{"290 psi", 290 * 6894.757, units.GaugeRef, nan, "read as 290.0 psi gauge"}, // 6894.757 Pa: NIST SP 811 (2008), appendix B.8
		{"19.8 bar 21.5C", 1980000, units.GaugeRef, 21.5, "read as 19.80 bar gauge, 21.5 C"},
		{"19.8 21.5", 1980000, units.GaugeRef, 21.5, "read as 19.80 bar gauge, 21.5 C"},
		{"19,8; 21,5", 1980000, units.GaugeRef, 21.5, "read as 19.80 bar gauge, 21.5 C"},
		{"19.8 bar, 70 °F", 1980000, units.GaugeRef, 21.111, "read as 19.80 bar gauge, 70.0 F"},
		{"21.5C 19.8bar", 1980000, units.GaugeRef, 21.5, "read as 19.80 bar gauge, 21.5 C"},
		{"21.5C", nan, units.GaugeRef, 21.5, "read as 21.5 C"},
		{"-0,9", -90000, units.GaugeRef, nan, "read as -0.90 bar gauge"},
	} {
		r, echo, err := mustNew(t, Config{}).Enter(c.text)
		if err != nil {
			t.Errorf("%q: %v", c.text, err)
			continue
		}
		near := func(got, want, tol float64) bool {
			return math.IsNaN(got) == math.IsNaN(want) && !(math.Abs(got-want) > tol)
		}
		if !near(r.Pressure, c.pa, 1) || r.Ref != c.ref || !near(r.Ambient.Celsius(), c.ambient, 0.001) || echo != c.echo || r.Raw != c.text {
			t.Errorf("%q: %v Pa, ref %d, %v C, raw %q, echo %q", c.text, r.Pressure, r.Ref, r.Ambient.Celsius(), r.Raw, echo)
		}
	}
}

func TestSlipsAreRefusedWithAReason(t *testing.T) {
	for text, says := range map[string]string{
		"":               "nothing typed",
		"abc":            "number",
		"19.8 furlong":   "unit",
		"1.234,5":        "separator",
		"19.8 21.5 7":    "3 numbers",
		"-2 bar":         "vacuum",
		"-2 bara":        "below zero",
		"5000 bar":       "beyond",
		"19.8 bar 500 C": "check the unit",
		"1e999":          "range",
		"nan":            "number",
	} {
		r, echo, err := mustNew(t, Config{}).Enter(text)
		if err == nil || !strings.Contains(err.Error(), says) || echo != "" || r.HasPressure() {
			t.Errorf("%q: error %v, want %q in it; echo %q", text, err, says, echo)
		}
	}
}

func TestABareNumberTakesTheUnitOfTheLastReadingSubmitted(t *testing.T) {
	m := mustNew(t, Config{})
	m.Enter("290 psi")
	if _, echo, _ := m.Enter("20"); echo != "read as 20.00 bar gauge" {
		t.Errorf("before it was submitted: %q", echo)
	}
	r, _, _ := m.Enter("290 psi")
	m.Submit(r, time.Unix(0, 0))
	if _, echo, _ := m.Enter("288"); echo != "read as 288.0 psi gauge" || m.Unit() != "psi" {
		t.Errorf("after it was submitted: %q, unit %q", echo, m.Unit())
	}
}

func TestTheStepIsWhatTheDecimalsShow(t *testing.T) {
	m := mustNew(t, Config{})
	for _, c := range []struct {
		text string
		step float64 // Pa
	}{{"20", 1e5}, {"19,8", 1e4}, {"19", 1e4}, {"19.75 bar 21.55C", 1e3}, {"285 psi", 6894.757}} {
		r, _, err := m.Enter(c.text)
		if err != nil || math.Abs(float64(r.Step)-c.step) > 1e-2 {
			t.Errorf("%q: step %v Pa, want %v (%v)", c.text, r.Step, c.step, err)
		}
		m.Submit(r, time.Unix(0, 0))
	}
	known := mustNew(t, Config{PressureStep: 1e4})
	if r, _, _ := known.Enter("20"); r.Step != 0 || known.Spec().PressureStep != 1e4 {
		t.Errorf("a stated step: reading %v, spec %v", r.Step, known.Spec().PressureStep)
	}
}

func TestReadingsComeOutInOrderAndEnd(t *testing.T) {
	m := mustNew(t, Config{OnPart: true})
	src, _ := m.Open(t.Context())
	go m.Feed(strings.NewReader("19.8 21\n\nrubbish\n19.7 21\n"), time.Now, func(string, error) {})
	for _, want := range []float64{1980000, 1970000} {
		r, err := src.Read(t.Context())
		if err != nil || math.Abs(r.Pressure-want) > 1e-6 || math.Abs(r.Section.Celsius()-21) > 1e-9 {
			t.Errorf("got %+v, %v", r, err)
		}
	}
	if _, err := src.Read(t.Context()); !errors.Is(err, io.EOF) {
		t.Errorf("at the end: %v", err)
	}
}

func TestLinesAreAnsweredOneByOne(t *testing.T) {
	var said []string
	err := mustNew(t, Config{}).Feed(strings.NewReader("290 psi\nx\n285"), time.Now, func(echo string, err error) {
		if err != nil {
			echo = "refused"
		}
		said = append(said, echo)
	})
	if got := strings.Join(said, "|"); err != nil || got != "read as 290.0 psi gauge|refused|read as 285.0 psi gauge" {
		t.Errorf("said %q, %v", got, err)
	}
}

func TestContextAndCloseEndARead(t *testing.T) {
	m := mustNew(t, Config{})
	src, _ := m.Open(t.Context())
	ctx, cancel := context.WithTimeout(t.Context(), 10*time.Millisecond)
	defer cancel()
	if _, err := src.Read(ctx); !errors.Is(err, context.DeadlineExceeded) {
		t.Errorf("context: %v", err)
	}
	time.AfterFunc(10*time.Millisecond, func() { src.Close() })
	if _, err := src.Read(t.Context()); err == nil {
		t.Error("a closed source gave a reading")
	}
}

func TestReadingsFallDue(t *testing.T) {
	m := mustNew(t, Config{AskEvery: 10 * time.Minute})
	begin := time.Unix(1000, 0)
	if in, asks := m.Due(begin); in > 0 || !asks {
		t.Errorf("the first is due at once, got %v, %v", in, asks)
	}
	r, _, _ := m.Enter("20")
	m.Submit(r, begin)
	if in, _ := m.Due(begin.Add(4 * time.Minute)); in != 6*time.Minute {
		t.Errorf("due in %v", in)
	}
	if in, _ := m.Due(begin.Add(11 * time.Minute)); in != -time.Minute {
		t.Errorf("overdue by %v", -in)
	}
	if _, asks := mustNew(t, Config{}).Due(begin); asks {
		t.Error("asks without AskEvery")
	}
}

func TestWrongUnitsInTheConfigurationAreRefused(t *testing.T) {
	for _, cfg := range []Config{{Unit: "C"}, {TemperatureUnit: "bar"}, {AskEvery: -1}} {
		if _, err := New(cfg); err == nil {
			t.Errorf("%+v was accepted", cfg)
		}
	}
}

func FuzzEnter(f *testing.F) {
	for _, s := range []string{"19,8bar", "290 psi 70F", "\u221230 inHg", "19.8; 21,5", "\x1b[2J", "1e999"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, text string) {
		r, echo, err := mustNew(t, Config{}).Enter(text)
		if err != nil {
			return
		}
		if !r.HasPressure() && math.IsNaN(float64(r.Ambient)) {
			t.Errorf("%q: accepted and empty", text)
		}
		if math.IsInf(r.Pressure, 0) || r.Pressure > highestPressure || float64(r.Ambient) < coldest {
			t.Errorf("%q: accepted an impossible value", text)
		}
		for _, c := range r.Raw + echo {
			if c < ' ' {
				t.Errorf("%q: control character in %q or %q", text, r.Raw, echo)
			}
		}
	})
}

package line

import (
	"context"
	"errors"
	"io"
	"math"
	"strings"
	"testing"

	"example.org/holdfast/drivers"
	"example.org/holdfast/drivers/drivertest"
	"example.org/holdfast/internal/units"
)

func mustNew(t testing.TB, cfg Config) drivers.Driver {
	t.Helper()
	d, err := New(cfg)
	if err != nil {
		t.Fatal(err)
	}
	return d
}

// said plays lines to a driver, with a line end before them for the driver to begin at.
func said(t testing.TB, cfg Config, text string) []drivers.Reading {
	t.Helper()
	src := mustNew(t, cfg).Source(drivertest.Play(drivertest.Stream([]byte("\n"+text)), drivertest.Faults{}))
	all, err := drivertest.Readings(context.Background(), src)
	if !errors.Is(err, io.EOF) {
		t.Fatalf("%q: ended with %v", text, err)
	}
	return all
}

func TestConformance(t *testing.T) {
	for name, c := range map[string]struct {
		fields string
		good   int
		doubts int
	}{
		"comma":     {"pressure_bar_abs,ambient_c", 8, 3},
		"keys":      {"P=pressure_bar,T=ambient_c", 6, 1},
		"json":      {"p=pressure_bar,t=section_c", 4, 2},
		"semicolon": {"pressure_psi,-,ambient_f", 4, 0},
	} {
		t.Run(name, func(t *testing.T) {
			d := mustNew(t, Config{Fields: c.fields})
			capture := drivertest.Load(t, "testdata/"+name+".capture")
			drivertest.Conform(t, d, capture)
			all, _ := drivertest.Readings(t.Context(), d.Source(drivertest.Play(capture, drivertest.Faults{})))
			good := len(drivertest.Good(all))
			if good != c.good || len(all)-good != c.doubts {
				for _, r := range all {
					t.Log(drivertest.Describe(r))
				}
				t.Errorf("%d good readings and %d doubts, want %d and %d", good, len(all)-good, c.good, c.doubts)
			}
		})
	}
}

const (
	byPosition = "pressure_bar_abs,ambient_c"
	byKey      = "P=pressure_bar,T=ambient_c"
)

// Long: a table.
func TestLinesInTheirManyForms(t *testing.T) {
	nan := math.NaN()
	for _, c := range []struct {
		fields, line  string
		pa, ambient   float64 // Pa, C
		section, baro float64 // C, Pa
	}{
		{byPosition, "12.345,21.50", 1234500, 21.5, nan, nan},
		{byPosition, " 12.345 , 21.50 ", 1234500, 21.5, nan, nan},
		{byPosition, "12,345;21,50", 1234500, 21.5, nan, nan},
		{byPosition, "12.345\t21.50", 1234500, 21.5, nan, nan},
		{byPosition, "12.345|21.50", 1234500, 21.5, nan, nan},
		{byPosition, "12.345   21.50", 1234500, 21.5, nan, nan},
		{byPosition, "12,345 21,50", 1234500, 21.5, nan, nan},
		{byPosition, "12.345 bar 21.50 C", 1234500, 21.5, nan, nan},
		{byPosition, "12.345 bar,21.50 \xb0C", 1234500, 21.5, nan, nan},
		{byPosition, "12.345,21.5,", 1234500, 21.5, nan, nan},
		{byPosition, "12.345,", 1234500, nan, nan, nan},
		{byPosition, ",21.5", nan, 21.5, nan, nan},
		{byPosition, "+1.2345e1,-5", 1234500, -5, nan, nan},
		{byPosition, "\x00\x00 12.345,21.50\x00", 1234500, 21.5, nan, nan},
		{"pressure_psi", "100", 689475.729, nan, nan, nan}, // 1 psi = 6894.757 Pa: NIST SP 811 (2008), appendix B.8
		{"pressure_bar", "12,5", 1250000, nan, nan, nan},
		{"-,section_f,barometer_hpa,pressure_kpa", "7,212,1013.25,2000", 2e6, nan, 100, 101325},
		{byKey, "P=12.345 T=21.5", 1234500, 21.5, nan, nan},
		{byKey, "P: 12.345 bar", 1234500, nan, nan, nan},
		{byKey, "P : 12,345 bar; T : 21,5", 1234500, 21.5, nan, nan},
		{byKey, "P=12.345,T=21.5,H=40", 1234500, 21.5, nan, nan},
		{byKey, "12:30:01 TP=9 P=12.345bar T=21.5C ok", 1234500, 21.5, nan, nan},
		{byKey, "t=21.5", nan, 21.5, nan, nan},
		{byKey, `{"p":12.345,"T":21.5,"ok":true}`, 1234500, 21.5, nan, nan},
		{"Druck (bar)=pressure_bar", "Druck (bar): 12,345", 1234500, nan, nan, nan},
	} {
		all := said(t, Config{Fields: c.fields}, c.line+"\n")
		if len(all) != 1 || all[0].Doubt != "" {
			t.Errorf("%q: %d readings, %+v", c.line, len(all), all)
			continue
		}
		r := all[0]
		near := func(what string, got, want, tol float64) {
			if math.IsNaN(got) != math.IsNaN(want) || math.Abs(got-want) > tol {
				t.Errorf("%q: %s %v, want %v", c.line, what, got, want)
			}
		}
		near("pressure", r.Pressure, c.pa, 0.5)
		near("ambient", r.Ambient.Celsius(), c.ambient, 1e-6)
		near("section", r.Section.Celsius(), c.section, 1e-6)
		near("barometer", float64(r.Barometer), c.baro, 1e-6)
	}
}

// Long: a table.
func TestWhatCannotBeReadIsADoubtWithItsWords(t *testing.T) {
	for _, c := range []struct{ fields, line, doubt string }{
		{byPosition, "12.345", "1 fields, expected 2"},
		{byPosition, "12.345,21.5,3", "3 fields, expected 2"},
		{byPosition, "12,345,21,50", "4 fields, expected 2"},
		{byPosition, "nan,21.5", "no usable number"},
		{byPosition, "inf,21.5", "no usable number"},
		{byPosition, "1e400,21.5", "no usable number"},
		{byPosition, "12.345x,21.5", "unit"},
		{byPosition, "12.345 psi,21.5", "unit"},
		{byPosition, "12.345 barg,21.5", "unit"},
		{byPosition, "12.345,70 F", "unit"},
		{byPosition, "1.234.5,21.5", "no usable number"},
		{byPosition, "-0.5,21.5", "below zero"},
		{byPosition, "12345,21.5", "beyond"},
		{byPosition, "12.345,-127", "outside"},
		{byPosition, "12.345,999", "outside"},
		{byPosition, ",", "no value"},
		{byPosition, "1\x002.345,21.5", "unreadable"},
		{byPosition, "1\xff2.345,21.5", "unreadable"},
		{byPosition, "12.3\x0e45,21.5", "unreadable"},
		{byPosition, `{"p":12}`, "no keys"},
		{byPosition, strings.Repeat("1", 600), "longer"},
		{"pressure_bar", "-1.5", "full vacuum"},
		{"barometer_kpa", "10", "barometer"},
		{byKey, "hello", "no value"},
		{byKey, "P=1 P=2", "twice"},
		{byKey, "P= T=21.5", "no usable number"},
		{byKey, "P=--- T=21.5", "no usable number"},
		{byKey, "P=1,234.5", "no usable number"},
		{byKey, `{"p":12.3`, "JSON"},
		{byKey, `{"p":NaN}`, "JSON"},
		{byKey, `{"p":1} {"p":2}`, "JSON"},
		{byKey, `{"p":[1]}`, "number"},
		{byKey, `{"p":1,"P":2}`, "twice"},
	} {
		all := said(t, Config{Fields: c.fields}, c.line+"\n")
		if len(all) != 1 || !strings.Contains(all[0].Doubt, c.doubt) {
			t.Errorf("%.40q: want a doubt with %q, got %+v", c.line, c.doubt, all)
			continue
		}
		r := all[0]
		if r.Raw == "" || !math.IsNaN(r.Pressure) || !math.IsNaN(float64(r.Ambient)) {
			t.Errorf("%.40q: doubtful reading carries values or no words: %s", c.line, drivertest.Describe(r))
		}
	}
}

func TestTheFirstPartOfALineIsDropped(t *testing.T) {
	src := mustNew(t, Config{Fields: byPosition}).Source(
		drivertest.Play(drivertest.Stream([]byte("2.345,21.5\r\n12.345,21.5\r\n12.3")), drivertest.Faults{}))
	all, _ := drivertest.Readings(t.Context(), src)
	if len(all) != 1 || all[0].Pressure != 1234500 {
		t.Errorf("got %+v", all)
	}
}

func TestScaleAndZeroApplyToThePressureOnly(t *testing.T) {
	// 0.5 V to 4.5 V for 0 to 40 bar: 10 bar per volt, 5 bar at rest.
	r := said(t, Config{Fields: "pressure_bar,ambient_c", Scale: 10, Zero: 5e5}, "2.5 V,21\n")[0]
	if math.Abs(r.Pressure-20e5) > 1e-6 || r.Ambient != units.FromCelsius(21) {
		t.Error(drivertest.Describe(r))
	}
}

func TestConfigurationsThatCannotWorkAreRefused(t *testing.T) {
	for _, c := range []struct {
		cfg  Config
		says string
	}{
		{Config{}, "no fields"},
		{Config{Fields: "-,-"}, "skipped"},
		{Config{Fields: "pressure_bar,pressure_psi"}, "same quantity"},
		{Config{Fields: "P=pressure_bar,ambient_c"}, "no key"},
		{Config{Fields: "P=pressure_bar,p=ambient_c"}, "twice"},
		{Config{Fields: "pressure_furlong"}, "pressure_furlong"},
		{Config{Fields: "humidity"}, "humidity"},
		{Config{Fields: "ambient_c", Scale: 2}, "belong to a pressure"},
		{Config{Fields: "pressure_bar", Scale: math.Inf(1)}, "finite"},
	} {
		if _, err := New(c.cfg); err == nil || !strings.Contains(err.Error(), c.says) {
			t.Errorf("%+v: error %v, want %q in it", c.cfg, err, c.says)
		}
	}
}

func FuzzLines(f *testing.F) {
	for _, s := range []string{"12.345,21.50\r\n", "P=12.345 T=21.5\n", `{"p":12.3,"t":21.5}` + "\n", "12,345;21,50\r", "\x00\xff\n", "P: 12.3 bar"} {
		f.Add([]byte(s), byPosition)
		f.Add([]byte(s), byKey)
	}
	f.Add([]byte("1 2 3\n"), "-,section_k,barometer_hpa")
	f.Fuzz(func(t *testing.T, data []byte, fields string) {
		d, err := New(Config{Fields: fields})
		if err != nil {
			return
		}
		run := func(piece func(int) int) []drivers.Reading {
			all, err := drivertest.Readings(t.Context(), d.Source(drivertest.Play(drivertest.Stream(data), drivertest.Faults{Piece: piece})))
			if !errors.Is(err, io.EOF) {
				t.Fatalf("ended with %v", err)
			}
			return all
		}
		whole, bytewise := run(nil), run(func(int) int { return 1 })
		if len(whole) != len(bytewise) {
			t.Fatalf("%d readings at once, %d byte by byte", len(whole), len(bytewise))
		}
		for i, r := range whole {
			if !drivertest.Same(r, bytewise[i]) {
				t.Errorf("differs byte by byte: %s", drivertest.Describe(r))
			}
			if r.Doubt == "" && (r.Pressure > 1e8 || r.Ref == units.AbsoluteRef && r.Pressure < 0 ||
				float64(r.Ambient) > 450 || float64(r.Section) < 150) {
				t.Errorf("impossible and not doubted: %s", drivertest.Describe(r))
			}
			if strings.ContainsFunc(r.Raw, func(c rune) bool { return c < ' ' || c == 0x7f || c >= 0x80 && c < 0xa0 }) {
				t.Errorf("control characters in %q", r.Raw)
			}
		}
	})
}

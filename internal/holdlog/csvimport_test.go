package holdlog

import (
	"errors"
	"math"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"example.org/holdfast/internal/units"
)

// imported reads CSV and gives the header and the rest.
func imported(t testing.TB, text string, o ImportOptions) (Header, []Record) {
	t.Helper()
	c, err := ImportCSV(strings.NewReader(text), o)
	if err != nil {
		t.Fatalf("%v\n%s", err, text)
	}
	all := readAll(t, c.Next)
	if all[0].Kind != KindHeader || all[0].Header.Version != Version {
		t.Fatalf("first record %+v", all[0])
	}
	return *all[0].Header, all[1:]
}

func near(a, b float64) bool { return math.Abs(a-b) <= 1e-9*math.Max(math.Abs(a), math.Abs(b)) }

// The first rows as they stand in the files, converted here by hand: 1 bar =
// 100 kPa, 0 C = 273.15 K (SI Brochure, 9th edition), 1 psi = 6894.757293168 Pa
// (from 1 lb = 0.45359237 kg, 1 in = 0.0254 m, 9.80665 m/s2).
func TestSampleHoldsAreImported(t *testing.T) {
	for file, want := range map[string]struct {
		rows              int
		pressure, ambient float64
		ref               units.Reference
		wall              int64
		last              float64
	}{
		"still-leak-21bar-1h":     {721, 2099700, 19.975 + 273.15, units.AbsoluteRef, 0, 3600},
		"no-thermometer-tight":    {721, 1998770, math.NaN(), units.GaugeRef, 0, 3600},
		"psi-and-fahrenheit-leak": {721, 231.88 * 6894.757293168, (65.82-32)/1.8 + 273.15, units.GaugeRef, 0, 3600},
		"needle-by-hand-leak":     {9, 1.4e6, 18 + 273.15, units.GaugeRef, 1772607600000, 7200},
	} {
		s, err := Open(filepath.Join("testdata", "holds", file+".csv"), Options{})
		if err != nil {
			t.Fatal(err)
		}
		all := readAll(t, s.Next)[1:]
		if err := s.Close(); err != nil {
			t.Error(err)
		}
		first, last := all[0], all[len(all)-1]
		if len(all) != want.rows || first.Sample.Ref != want.ref || first.Wall != want.wall || last.Elapsed != want.last || first.Elapsed != 0 {
			t.Errorf("%s: %d rows from %+v to %+v", file, len(all), first, last)
		}
		if !near(first.Sample.Pressure, want.pressure) {
			t.Errorf("%s: pressure %v, want %v", file, first.Sample.Pressure, want.pressure)
		}
		if a := float64(first.Sample.Ambient); !near(a, want.ambient) && !(a != a && want.ambient != want.ambient) {
			t.Errorf("%s: ambient %v, want %v", file, a, want.ambient)
		}
		for _, r := range all {
			if r.Kind != KindSample {
				t.Errorf("%s: %+v", file, r)
			}
		}
	}
}

func TestLayoutsOfCSVThatMeanTheSame(t *testing.T) {
	const plain = "elapsed_s,pressure_bar_abs,ambient_c,section_c,barometer_kpa\n0,20.5,21.5,19.25,101.3\n60,20.4,,NaN,\n"
	header, want := imported(t, plain, ImportOptions{})
	if len(want) != 2 || want[1].Elapsed != 60 || !near(want[1].Sample.Pressure, 2.04e6) || want[1].Sample.Ambient == want[1].Sample.Ambient {
		t.Fatalf("%+v", want)
	}
	if g := header.Devices[0].Gives; g != "elapsed_s,pressure_bar_abs,ambient_c,section_c,barometer_kpa" {
		t.Error(g)
	}
	semicolon := strings.NewReplacer(",", ";", ".", ",").Replace(plain)
	for name, text := range map[string]string{
		"semicolons":                 semicolon,
		"semicolons, decimal points": strings.ReplaceAll(plain, ",", ";"),
		"another column":             "note;elapsed_s;pressure_bar_abs;ambient_c;section_c;barometer_kpa\n\"a;b\";0;20,5;21,5;19,25;101,3\n;60;20,4;;NaN;\n",
		"byte order mark":            "\xef\xbb\xbf" + plain,
		"CR LF":                      strings.ReplaceAll(plain, "\n", "\r\n"),
		"no newline at the end":      strings.TrimSuffix(plain, "\n"),
		"sep line":                   "sep=;\n" + semicolon,
		"blank lines":                "\n\n" + strings.ReplaceAll(plain, "\n", "\n\n"),
		"all quoted":                 "\"" + strings.NewReplacer(",", "\",\"", "\n", "\"\n\"").Replace(strings.TrimSuffix(plain, "\n")) + "\"\n",
		"spaces":                     strings.ReplaceAll(plain, ",", " , "),
		"quoted decimal commas":      strings.NewReplacer("20.5", `"20,5"`, "20.4", `"20,4"`).Replace(plain),
		"capitals":                   strings.Replace(plain, "elapsed_s,pressure_bar_abs", "Elapsed_s,PRESSURE_BAR_ABS", 1),
		"empty cells at the end":     strings.ReplaceAll(strings.Replace(plain, "kpa\n", "kpa\n", 1), "101.3\n", "101.3,,\n"),
	} {
		_, got := imported(t, text, ImportOptions{})
		if !slices.EqualFunc(got, want, equal) {
			t.Errorf("%s:\n%s\n got %+v\nwant %+v", name, text, got, want)
		}
	}
}

func TestTimesOfCSV(t *testing.T) {
	h, got := imported(t, "time,pressure_bar\n2026-03-04T23:59:30.500+02:00,1\n2026-03-04T22:00:00Z,2\n2026-03-05 00:00:01+02:00,3\n", ImportOptions{})
	if h.Zone != "+02:00" || len(got) != 3 || got[0].Elapsed != 0 || got[1].Elapsed != 29.5 || got[2].Elapsed != 30.5 {
		t.Errorf("%q %+v", h.Zone, got)
	}
	_, got = imported(t, "elapsed_s,time,pressure_bar\n5,2026-03-04T00:00:00Z,1\n6,,2\n7.5,2026-03-04T00:00:01.234Z,3\n", ImportOptions{})
	if got[0].Elapsed != 5 || got[1].Wall != 0 || got[2].Elapsed != 7.5 || got[2].Wall-got[0].Wall != 1234 {
		t.Errorf("%+v", got)
	}
}

func TestRowsThatCannotBeUsedSayTheirLine(t *testing.T) {
	const head = "elapsed_s,pressure_bar,ambient_c\n0,20,20\n"
	for row, why := range map[string]string{
		"5,abc,20":                              `line 3: pressure_bar: "abc" does not start with a number`,
		"5,20,20 C":                             `line 3: ambient_c: "20 C" is not a number`,
		"5,inf,20":                              "line 3: pressure_bar",
		"5,1e999,20":                            "line 3: pressure_bar",
		"5,1e305,20":                            "line 3: pressure_bar",
		"5,0x10,20":                             "line 3: pressure_bar",
		",20,20":                                "line 3: no time",
		"-1,20,20":                              "line 3: time goes backwards",
		"1e300,20,20":                           "line 3: 1e+300 s is no time of a hold",
		"4e7,20,20":                             "line 3: its time is more than a year from that of the first row",
		"5,20":                                  "line 3: 2 cells under 3 titles",
		"5,19,8,20,1":                           "line 3: 5 cells under 3 titles; decimal commas",
		`5,"1.234,5",20`:                        "line 3: pressure_bar",
		`5,20,"20`:                              "line 3: a quote that does not end",
		`5,20,2"0`:                              "line 3: a quote that does not end",
		"5,20,\x00":                             "line 3: ambient_c",
		strings.Repeat("9", maxLine+5) + ",1,1": "line 3: longer than",
	} {
		_, got := imported(t, head+row+"\n", ImportOptions{})
		if len(got) != 2 || got[1].Kind != KindReject || !strings.HasPrefix(got[1].Why, why) {
			t.Errorf("%.40q gave %+v, want %q", row, got[1:], why)
		}
	}
}

func TestOneStrayQuoteDoesNotSwallowTheFile(t *testing.T) {
	rows := "0,20,x\n1,20,\"x\n" + strings.Repeat("2,20,x\n", 1000)
	_, got := imported(t, "elapsed_s,pressure_bar,note\n"+rows, ImportOptions{})
	if n := len(got); n < 980 {
		t.Errorf("%d of 1002 rows left", n)
	}
	_, got = imported(t, "elapsed_s,pressure_bar,note\n0,20,\"two\nlines, \"\"quoted\"\"\"\n1,20,\n", ImportOptions{})
	if len(got) != 2 || got[0].Kind != KindSample || got[1].Elapsed != 1 {
		t.Errorf("%+v", got)
	}
}

func TestBadRowsBeforeTheFirstGoodOne(t *testing.T) {
	for _, n := range []int{1, 3, 1500} {
		_, got := imported(t, "time,pressure_bar\n"+strings.Repeat("soon,1\n", n)+"2026-03-04T00:00:00Z,1\n", ImportOptions{})
		if len(got) != n+1 || got[n].Kind != KindSample || got[n].Elapsed != 0 {
			t.Errorf("%d records after %d bad rows, last %+v", len(got), n, got[len(got)-1])
		}
	}
	if _, got := imported(t, "time,pressure_bar\n", ImportOptions{}); len(got) != 0 {
		t.Errorf("%+v", got)
	}
}

func TestColumnsThatCannotBeReadAreNamed(t *testing.T) {
	for text, want := range map[string]string{
		"0,2099700,19.9\n5,2098900,20.1\n": `no pressure column among "0", "2099700", "19.9"`,
		"elapsed_s,P1 (psi)\n0,280\n":      `no pressure column among "elapsed_s", "P1 (psi)"`,
		"pressure_bar,ambient_c\n1,2\n":    `no time column among "pressure_bar", "ambient_c"`,
		"elapsed_s,pressure_foo\n":         "pressure_foo",
		"elapsed_s,pressure_bar,ambient_x": "ambient_x",
		"\"elapsed_s,pressure_bar\n":       "quote",
	} {
		_, err := ImportCSV(strings.NewReader(text), ImportOptions{})
		if !errors.Is(err, ErrColumns) || !strings.Contains(err.Error(), want) || len(err.Error()) > 700 {
			t.Errorf("%q: %v, want %q", text, err, want)
		}
	}
	wide := "elapsed_s" + strings.Repeat(",a title that goes on and on and on and on", 5000) + "\n"
	if _, err := ImportCSV(strings.NewReader(wide), ImportOptions{}); err == nil || len(err.Error()) > 1200 {
		t.Errorf("%d bytes of error", len(err.Error()))
	}
	for _, text := range []string{"", "\n\r\n", "\xef\xbb\xbf"} {
		if _, err := ImportCSV(strings.NewReader(text), ImportOptions{}); !errors.Is(err, ErrEmpty) {
			t.Errorf("%q: %v", text, err)
		}
	}
}

func TestColumnsOfOtherNames(t *testing.T) {
	var o ImportOptions
	for _, s := range []string{`pressure="P1 (psi)":psi`, `ambient=Room: upper:f`, `elapsed="t":min`} {
		c, err := ParseColumnOverride(s)
		if err != nil {
			t.Fatal(err)
		}
		o.Columns = append(o.Columns, c)
	}
	_, got := imported(t, "t,P1 (psi),Room: upper\n0,290,68\n1.5,289,69.8\n", o)
	if s := got[1].Sample; got[1].Elapsed != 90 || !near(s.Pressure, 289*6894.757293168) || !near(float64(s.Ambient), 294.15) || s.Ref != units.GaugeRef {
		t.Errorf("%+v", got[1])
	}
	stamp, err := ParseColumnOverride(`time="Date"`)
	if err != nil || stamp != (ColumnOverride{"time", "Date", ""}) {
		t.Errorf("%+v, %v", stamp, err)
	}
	if _, err := ImportCSV(strings.NewReader("elapsed_s,pressure_bar\n0,1\n"), o); !errors.Is(err, ErrColumns) || !strings.Contains(err.Error(), "P1 (psi)") {
		t.Error(err)
	}
	for _, bad := range []string{"", "pressure", `pressure=:psi`, `pressure="P1"`, `pressure="P1":stone`, `speed="v":m`, `time="t":s`, `elapsed="t":weeks`} {
		if _, err := ParseColumnOverride(bad); err == nil {
			t.Errorf("%q was taken", bad)
		}
	}
}

func TestSettingsComeFromTheOptions(t *testing.T) {
	h, _ := imported(t, "elapsed_s,pressure_bar\n0,1\n", ImportOptions{Header: testHeader()})
	if h.Settings != testHeader().Settings || h.Zone != "+02:00" || h.Devices[0].Name != "line" {
		t.Errorf("%+v", h)
	}
}

func FuzzImportCSV(f *testing.F) {
	f.Add("elapsed_s,pressure_bar,ambient_c\n0,20,21\n1,\"19,9\",\n")
	f.Add("time;pressure_bar;ambient_c\r\n2026-03-04T09:00:00+02:00;14,0;18,0\r\n")
	f.Add("sep=;\n\"elapsed_s\";\"pressure_\npsi\"\n")
	f.Fuzz(func(t *testing.T, text string) {
		c, err := ImportCSV(strings.NewReader(text), ImportOptions{})
		if err != nil {
			return
		}
		last := math.Inf(-1)
		for n := 0; ; n++ {
			r, err := c.Next()
			if err != nil {
				break
			}
			if n > strings.Count(text, "\n")+2 {
				t.Fatal("more records than lines")
			}
			if r.Kind == KindSample && !(r.Elapsed >= last) {
				t.Fatalf("time %v after %v", r.Elapsed, last)
			}
			if r.Kind == KindSample {
				last = r.Elapsed
			}
			if p := r.Sample.Pressure; math.IsInf(p, 0) || math.IsInf(r.Elapsed, 0) {
				t.Fatalf("%+v", r)
			}
		}
	})
}

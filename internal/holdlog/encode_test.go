package holdlog

import (
	"bytes"
	"encoding/json"
	"math"
	"os"
	"reflect"
	"regexp"
	"strings"
	"testing"

	"example.org/holdfast/internal/units"
	"pgregory.net/rapid"
)

// number draws any finite float64, small, huge, subnormal and -0 too.
func number(t *rapid.T, name string) float64 {
	v := math.Float64frombits(rapid.Uint64().Draw(t, name))
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return 294.65
	}
	return v
}

func maybe(t *rapid.T, name string) float64 {
	if rapid.Bool().Draw(t, name+" absent") {
		return math.NaN()
	}
	return number(t, name)
}

func anyRecord(t *rapid.T) Record {
	r := Record{
		Kind:    Kind(rapid.IntRange(int(KindHeader), int(KindVerdict)).Draw(t, "kind")),
		Wall:    rapid.Int64().Draw(t, "wall"),
		Elapsed: number(t, "elapsed"),
	}
	deviceWords := func() string { return string(rapid.SliceOfN(rapid.Byte(), 0, 40).Draw(t, "words")) }
	switch r.Kind {
	case KindHeader:
		h := testHeader()
		h.Settings.Limit, h.Settings.Volume = rapid.String().Draw(t, "limit"), units.Volume(number(t, "volume"))
		r.Header = &h
	case KindSample:
		s := &r.Sample
		s.Pressure, s.Ambient = maybe(t, "pressure"), units.Temperature(maybe(t, "ambient"))
		s.Section, s.Barometer = units.Temperature(maybe(t, "section")), units.Absolute(maybe(t, "barometer"))
		if s.Pressure == s.Pressure {
			s.Ref = rapid.SampledFrom([]units.Reference{units.GaugeRef, units.AbsoluteRef}).Draw(t, "ref")
		}
		s.Step, s.Device, s.Raw = units.PressureDiff(number(t, "step")), rapid.Byte().Draw(t, "device"), deviceWords()
	case KindReject:
		r.Text, r.Why = deviceWords(), rapid.String().Draw(t, "why")
	case KindMark, KindVerdict:
		r.Text = rapid.String().Draw(t, "text")
	case KindEvent:
		r.Event = Event{EventGap, rapid.String().Draw(t, "device"), number(t, "seconds"), rapid.String().Draw(t, "text")}
	case KindCheck:
		r.Check = Check{strings.Repeat("0f", 32), rapid.IntRange(0, 1<<40).Draw(t, "n")}
	}
	return r
}

func TestEveryRecordReadsBackAsItWas(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		want := anyRecord(t)
		line, err := AppendLine(nil, want)
		if err != nil {
			t.Fatal(err)
		}
		if bytes.IndexByte(line, '\n') != len(line)-1 {
			t.Fatalf("%q is not one line", line)
		}
		var got Record
		if err := decodeLine(line[:len(line)-1], &got); err != nil {
			t.Fatalf("%s: %v", line, err)
		}
		if !equal(got, want) {
			t.Fatalf("\n got %+v\nwant %+v\nline %s", got, want, line)
		}
	})
}

// Whoever reads the log with another program must get the same numbers: the
// sample encoder is written by hand, so it is checked against encoding/json.
func TestSampleLinesAreJSONWithTheUnitInTheKey(t *testing.T) {
	s := Sample{Pressure: 1980000, Ref: units.AbsoluteRef, Ambient: 294.65, Section: 293.15, Barometer: 101300, Step: 100, Skew: 1.5, Device: 2, Raw: "P=\"19.80\"\t\\ é"}
	line := appendLine(t, nil, Record{Kind: KindSample, Wall: 1772610000123, Elapsed: 12.345, Sample: s})
	want := map[string]any{"k": "s", "t_ms": 1772610000123.0, "e_s": 12.345, "p_pa": 1980000.0, "ta_k": 294.65, "ts_k": 293.15,
		"pb_pa": 101300.0, "step_pa": 100.0, "skew_s": 1.5, "d": 2.0, "raw": s.Raw}
	var got map[string]any
	if err := json.Unmarshal(line, &got); err != nil {
		t.Fatal(err)
	}
	if !reflect.DeepEqual(got, want) {
		t.Errorf("\n got %v\nwant %v", got, want)
	}
	const short = `{"k":"s","t_ms":1772610000123,"e_s":0,"pg_pa":1980000}` + "\n"
	bare := NoSample()
	bare.Pressure = 1980000
	if got := appendLine(t, nil, Record{Kind: KindSample, Wall: 1772610000123, Sample: bare}); string(got) != short {
		t.Errorf("got %s want %s", got, short)
	}
}

// The package doc is the format: its whole lines are read and written again as they stand there.
func TestLinesOfTheSpecificationAreWhatIsWritten(t *testing.T) {
	doc, err := os.ReadFile("doc.go")
	if err != nil {
		t.Fatal(err)
	}
	found := regexp.MustCompile(`(?m)^//\t(\{"k":"[^…\n]*?\})(?: {3}.*)?$`).FindAllSubmatch(doc, -1)
	if len(found) != 5 {
		t.Errorf("%d lines", len(found))
	}
	for _, m := range found {
		var r Record
		if err := decodeLine(m[1], &r); err != nil {
			t.Errorf("%s: %v", m[1], err)
			continue
		}
		if line := appendLine(t, nil, r); string(line) != string(m[1])+"\n" {
			t.Errorf("\n doc %s\nfile %s", m[1], line)
		}
	}
}

func TestFastAndGeneralDecoderAgree(t *testing.T) {
	for _, line := range []string{
		`{"k":"s","t_ms":1,"e_s":2,"p_pa":3,"ta_k":4,"ts_k":5,"pb_pa":6,"step_pa":7,"d":8,"raw":"x y"}`,
		`{"k":"s","t_ms":-5,"e_s":0.1,"pg_pa":-0.5}`,
		`{"k":"s","e_s":0.1,"pg_pa":-0.5}`,
		`{"k":"s","t_ms":0,"e_s":1234567890.123456789,"p_pa":1e300}`,
		`{"k":"s","t_ms":0,"e_s":0.30000000000000004,"p_pa":179769313486231570000000000000000000000}`,
		`{"k":"s","t_ms":0,"e_s":2.2250738585072011e-308}`,
		`{"k":"s","t_ms":0,"e_s":9007199254740993}`,
	} {
		var fast, slow Record
		if !fastSample([]byte(line), &fast) {
			t.Errorf("%s: not read by the fast decoder", line)
		}
		if err := decodeLine([]byte(strings.Replace(line, ":", ": ", 1)), &slow); err != nil || !equal(fast, slow) {
			t.Errorf("%s\nfast %+v\nslow %+v (%v)", line, fast, slow, err)
		}
	}
}

func TestDamagedLinesAreRefused(t *testing.T) {
	for _, line := range []string{
		``, `{}`, `null`, `[]`, `{"k":"s"}`, `{"k":"s","t_ms":1,"p_pa":3}`, `{"k":"s","t_ms":1,"e_s":2,"p_pa":3,"pg_pa":3}`,
		`{"k":"s","t_ms":1,"e_s":2,"p_pa":3`, `{"k":"s","t_ms":1,"e_s":2,"p_pa":03}`, `{"k":"s","t_ms":1,"e_s":2,"p_pa":+3}`,
		`{"k":"s","t_ms":1,"e_s":2,"p_pa":.3}`, `{"k":"s","t_ms":1,"e_s":2,"p_pa":3.}`, `{"k":"s","t_ms":1,"e_s":2,"p_pa":1e}`,
		`{"k":"s","t_ms":1,"e_s":2,"p_pa":1e999}`, `{"k":"s","t_ms":1,"e_s":2,"p_pa":NaN}`, `{"k":"s","t_ms":1,"e_s":2,"d":256}`,
		`{"k":"s","t_ms":1,"e_s":2,"d":0.5}`, `{"k":"s","t_ms":1,"e_s":2,"raw_hex":"0g"}`, `{"k":"s","t_ms":1.5,"e_s":2}`,
		`{"k":"s","t_ms":1,"e_s":2}{"k":"s","t_ms":1,"e_s":3}`, `{"k":"hdr","t_ms":1,"e_s":2}`, `{"k":"new","t_ms":1,"e_s":2}`,
	} {
		var r Record
		if err := decodeLine([]byte(line), &r); err == nil {
			t.Errorf("%s was read as %+v", line, r)
		}
	}
}

func TestHeaderKeysAreLowerCaseAndNamed(t *testing.T) {
	key := regexp.MustCompile(`^[a-z][a-z0-9_]*$`)
	for _, typ := range []reflect.Type{reflect.TypeFor[Header](), reflect.TypeFor[Device](), reflect.TypeFor[Settings](), reflect.TypeFor[Blank](), reflect.TypeFor[Truth]()} {
		for i := range typ.NumField() {
			f := typ.Field(i)
			name, _, _ := strings.Cut(f.Tag.Get("json"), ",")
			if !key.MatchString(name) {
				t.Errorf("%s.%s has the key %q in the log", typ.Name(), f.Name, name)
			}
			if f.Type.PkgPath() == reflect.TypeFor[units.Absolute]().PkgPath() && !regexp.MustCompile(`_(pa|k|kg|m3|pa_gauge|pa_per_s)$`).MatchString(name) {
				t.Errorf("%s.%s is a quantity but its key %q has no unit", typ.Name(), f.Name, name)
			}
		}
	}
}

func TestRecordsThatCannotBeWrittenAreErrors(t *testing.T) {
	h := testHeader()
	h.Settings.For = math.NaN()
	for name, r := range map[string]Record{
		"no kind":            {},
		"elapsed NaN":        {Kind: KindMark, Elapsed: math.NaN()},
		"header missing":     {Kind: KindHeader},
		"NaN in settings":    {Kind: KindHeader, Header: &h},
		"longer than a line": {Kind: KindMark, Text: strings.Repeat("x", maxLine)},
	} {
		if line, err := AppendLine([]byte("kept"), r); err == nil || string(line) != "kept" {
			t.Errorf("%s: %q, %v", name, line, err)
		}
	}
}

func TestReadingSamplesAllocatesNothing(t *testing.T) {
	line := appendLine(t, nil, testSample(123))
	var r Record
	if n := testing.AllocsPerRun(100, func() { fastSample(line[:len(line)-1], &r) }); n != 0 {
		t.Errorf("%v allocations a sample", n)
	}
	if !strings.Contains(string(line), "p_pa") || r.Sample.Pressure != testSample(123).Sample.Pressure {
		t.Errorf("%s read as %+v", line, r)
	}
}

func FuzzDecodeLine(f *testing.F) {
	f.Add(appendLine(f, nil, testSample(3)))
	f.Add(appendLine(f, nil, HeaderRecord(testHeader(), 1)))
	f.Add([]byte(`{"k":"s","t_ms":1,"e_s":2,"raw":"\u00e9"}`))
	f.Fuzz(func(t *testing.T, line []byte) {
		line = bytes.TrimSuffix(line, []byte("\n"))
		var fast, slow Record
		if fastSample(line, &fast) {
			// A space after the brace sends the same line to the general decoder.
			if err := decodeLine(append([]byte("{ "), line[1:]...), &slow); err != nil || !equal(fast, slow) {
				t.Fatalf("%q\nfast %+v\nslow %+v, %v", line, fast, slow, err)
			}
		}
		var r Record
		if decodeLine(line, &r) != nil {
			return
		}
		again, err := AppendLine(nil, r)
		if err != nil {
			t.Fatalf("%q was read but cannot be written: %v", line, err)
		}
		var back Record
		if err := decodeLine(again[:len(again)-1], &back); err != nil {
			t.Fatalf("%q was written as %q: %v", line, again, err)
		}
		if third := appendLine(t, nil, back); !bytes.Equal(again, third) {
			t.Fatalf("%q\nfirst %s\nthen  %s", line, again, third)
		}
	})
}

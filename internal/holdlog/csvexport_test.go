package holdlog

import (
	"bytes"
	"encoding/csv"
	"io"
	"math"
	"slices"
	"strings"
	"testing"

	"example.org/holdfast/internal/units"
	"pgregory.net/rapid"
)

// export writes a log in memory as CSV.
func export(t testing.TB, log []byte, d Dialect) (string, Exported) {
	t.Helper()
	var out bytes.Buffer
	done, err := ExportCSV(&out, func() (Stream, error) { return NewStream(bytes.NewReader(log), Options{}) }, d)
	if err != nil {
		t.Fatal(err)
	}
	return out.String(), done
}

func TestExportHasOnlyTheColumnsThatOccur(t *testing.T) {
	late := testSample(2)
	late.Sample.Barometer = 101300 // seen for the first time in the last row
	log := logOf(t, testSample(0), Record{Kind: KindReject, Elapsed: 1, Text: "?"}, testSample(1), late)
	got, done := export(t, log, Dialect{Separator: ','})
	want := "elapsed_s,time,pressure_pa_abs,ambient_c,barometer_pa\r\n" +
		"0,2026-03-04T09:40:00.000+02:00,2100000,20,\r\n" +
		"1,2026-03-04T09:40:01.000+02:00,2099998.5,20.0625,\r\n" +
		"2,2026-03-04T09:40:02.000+02:00,2099997,20.125,101300\r\n"
	if got != want || done.Rows != 3 || len(done.Columns) != 5 {
		t.Errorf("%+v\n got %q\nwant %q", done, got, want)
	}
	semicolon, err := ParseDialect("semicolon")
	if err != nil {
		t.Fatal(err)
	}
	got, _ = export(t, log, semicolon)
	if line := strings.Split(got, "\r\n")[2]; line != "1;2026-03-04T09:40:01.000+02:00;2099998,5;20,0625;" || !strings.HasPrefix(got, "\xef\xbb\xbf") {
		t.Errorf("%q", line)
	}
	if _, err := ParseDialect("tabs"); err == nil {
		t.Error("dialect tabs was taken")
	}
}

// RFC 4180 as encoding/csv understands it: our own reader is not the judge of our own writer.
func TestExportIsRFC4180(t *testing.T) {
	text, done := export(t, logOf(t, samples(0, 100)...), Dialect{Separator: ','})
	rows, err := csv.NewReader(strings.NewReader(text)).ReadAll()
	if err != nil || len(rows) != 101 || !slices.Equal(rows[0], done.Columns) || strings.Count(text, "\r\n") != 101 {
		t.Errorf("%d rows, %v", len(rows), err)
	}
}

func TestExportOfATornLogGivesEveryWholeSample(t *testing.T) {
	log := logOf(t, samples(0, 5)...)
	for cut := bytes.IndexByte(log, '\n') + 1; cut <= len(log); cut++ {
		text, done := export(t, log[:cut], Dialect{Separator: ','})
		if want := bytes.Count(log[:cut], []byte("\n")) - 1; done.Rows != want || strings.Count(text, "\r\n") != want+1 {
			t.Fatalf("cut at %d: %d rows, want %d", cut, done.Rows, want)
		}
	}
}

func TestExportedCSVReadsBackToTheSameSamples(t *testing.T) {
	for _, name := range []string{"rfc4180", "semicolon"} {
		d, err := ParseDialect(name)
		if err != nil {
			t.Fatal(err)
		}
		t.Run(name, func(t *testing.T) { rapid.Check(t, func(t *rapid.T) { exportAndBack(t, d) }) })
	}
}

func exportAndBack(t *rapid.T, d Dialect) {
	want := rowsToExport(t)
	log := appendRapid(t, nil, HeaderRecord(testHeader(), 1))
	for _, r := range want {
		log = appendRapid(t, log, r)
	}
	var out bytes.Buffer
	if _, err := ExportCSV(&out, func() (Stream, error) { return NewStream(bytes.NewReader(log), Options{}) }, d); err != nil {
		t.Fatal(err)
	}
	c, err := ImportCSV(&out, ImportOptions{})
	if err != nil {
		t.Fatal(err)
	}
	var got []Record
	for {
		r, err := c.Next()
		if err == io.EOF {
			break
		}
		got = append(got, r)
	}
	if !slices.EqualFunc(got[1:], want, equal) {
		t.Fatalf("\n got %+v\nwant %+v", got[1:], want)
	}
}

func appendRapid(t *rapid.T, b []byte, r Record) []byte {
	b, err := AppendLine(b, r)
	if err != nil {
		t.Fatal(err)
	}
	return b
}

// rowsToExport draws a few samples as an instrument could give them.
func rowsToExport(t *rapid.T) []Record {
	stretch := func(lo, hi float64, name string) float64 {
		if rapid.Bool().Draw(t, name+" absent") {
			return math.NaN()
		}
		return rapid.Float64Range(lo, hi).Draw(t, name)
	}
	var rows []Record
	elapsed := 0.0
	for range rapid.IntRange(1, 5).Draw(t, "rows") {
		s := Sample{
			Ambient:   units.Temperature(stretch(137, 546, "ambient")),
			Section:   units.FromCelsius(stretch(-100, 250, "section")),
			Barometer: units.Absolute(stretch(5e4, 1.1e5, "barometer")),
			Pressure:  stretch(-1e5, 1e7, "pressure") + 0, // never -0, which CSV does not keep
		}
		if s.Pressure == s.Pressure && rapid.Bool().Draw(t, "absolute") {
			s.Ref = units.AbsoluteRef
		}
		elapsed += rapid.Float64Range(0, 1e4).Draw(t, "step")
		rows = append(rows, Record{Kind: KindSample, Wall: rapid.Int64Range(1, 4e12).Draw(t, "wall"), Elapsed: elapsed, Sample: s})
	}
	return rows
}

package holdlog

import (
	"bytes"
	"errors"
	"io"
	"math"
	"reflect"
	"strconv"
	"strings"
	"testing"

	"example.org/holdfast/internal/units"
)

// testHeader is a header with something in every field.
func testHeader() Header {
	return Header{
		Version: Version, Program: "holdfast test", Tables: "1", Clock: "boottime", Zone: "+02:00",
		Devices: []Device{{
			Name: "line", Port: "ttyUSB0", Gives: "pressure_bar_abs,ambient_c", PressureStep: 100, PressureRange: 2.5e6,
			PressureAccuracy: 6250, TemperatureStep: 0.0625, Interval: 1,
		}},
		Settings: Settings{
			Kind: "pressure", Section: "evaporator of the wine cooler", Gas: "nitrogen", Refrigerant: "R600a", Charge: 0.045, Volume: 0.0003,
			VolumeError: 0.05, Barometer: 101300, Altitude: 120, Limit: "3g/yr", Tolerate: "20%/1y", Safety: 3, Accept: "80Pa@60min", For: 3600,
			Thermometer: "room", Brazed: true, Display: "bar", Ceiling: 2.5e6, OverCeiling: "new plate", Capillary: "0.7mm:3m", Behind: 0.0012, AskEvery: 600, Blank: Blank{File: "blank.jsonl", SHA256: "ab12", Wall: 1772400000000, Rate: 0.25, Error: 0.125, Pressure: 2e6, Temperature: 293, Volume: 3e-5, VolumeError: 0.1},
			PressureStep: 10, PressureRange: 3.5e6, PressureAccuracy: 8750, TemperatureStep: 0.5,
		},
		Truth: &Truth{Rate: 3.0555, OpensAt: 1200, Seed: math.MaxUint64, Scenario: "door"},
	}
}

// testSample is the i-th of a run of samples that all differ.
func testSample(i int) Record {
	s := NoSample()
	s.Ref = units.AbsoluteRef
	s.Pressure = 2.1e6 - float64(i)*1.5
	s.Ambient = units.FromCelsius(20 + float64(i%97)/16)
	return Record{Kind: KindSample, Wall: 1772610000000 + int64(i)*1000, Elapsed: float64(i), Sample: s}
}

// readAll reads to the end and fails the test on any other error.
func readAll(t testing.TB, next func() (Record, error)) []Record {
	t.Helper()
	var all []Record
	for {
		r, err := next()
		if errors.Is(err, io.EOF) {
			return all
		}
		if err != nil {
			t.Fatalf("after %d records: %v", len(all), err)
		}
		all = append(all, r)
	}
}

// equal compares records bit for bit, NaN equal to NaN.
func equal(a, b Record) bool {
	x, y := a.Sample, b.Sample
	for _, p := range [][2]float64{
		{x.Pressure, y.Pressure}, {float64(x.Ambient), float64(y.Ambient)}, {float64(x.Section), float64(y.Section)},
		{float64(x.Barometer), float64(y.Barometer)}, {a.Elapsed, b.Elapsed},
	} {
		if math.Float64bits(p[0]) != math.Float64bits(p[1]) && !(p[0] != p[0] && p[1] != p[1]) {
			return false
		}
	}
	a.Elapsed, b.Elapsed, a.Sample, b.Sample = 0, 0, Sample{}, Sample{}
	return x.Ref == y.Ref && x.Step == y.Step && x.Device == y.Device && x.Raw == y.Raw && reflect.DeepEqual(a, b)
}

func appendLine(t testing.TB, dst []byte, r Record) []byte {
	t.Helper()
	dst, err := AppendLine(dst, r)
	if err != nil {
		t.Fatal(err)
	}
	return dst
}

// logOf is a log in memory, without fingerprints.
func logOf(t testing.TB, records ...Record) []byte {
	t.Helper()
	b := appendLine(t, nil, HeaderRecord(testHeader(), 1772610000000))
	for _, r := range records {
		b = appendLine(t, b, r)
	}
	return b
}

// manySamples is a log or a CSV of n samples such as a gauge with four decimals gives.
func manySamples(t testing.TB, n int, asCSV bool) []byte {
	t.Helper()
	var b []byte
	if asCSV {
		b = append(b, "elapsed_s,pressure_pa_abs,ambient_c\n"...)
	} else {
		b = logOf(t)
	}
	for i := range n {
		p, ambient := 2100000-i%5000*10, float64(1997+i%60)/100
		if asCSV {
			b = strconv.AppendInt(b, int64(i), 10)
			b = strconv.AppendInt(append(b, ','), int64(p), 10)
			b = strconv.AppendFloat(append(b, ','), ambient, 'f', 4, 64)
			b = append(b, '\n')
			continue
		}
		r := testSample(i)
		r.Sample.Pressure, r.Sample.Ambient = float64(p), units.FromCelsius(ambient)
		b = appendLine(t, b, r)
	}
	return b
}

func benchmarkRead(b *testing.B, data []byte, n int, open func(io.Reader) (Stream, error)) {
	b.SetBytes(int64(len(data)))
	b.ReportAllocs()
	for b.Loop() {
		s, err := open(bytes.NewReader(data))
		if err != nil {
			b.Fatal(err)
		}
		got := 0
		for {
			r, err := s.Next()
			if err != nil {
				break
			}
			if r.Kind == KindSample {
				got++
			}
		}
		if got != n {
			b.Fatalf("%d samples, want %d", got, n)
		}
	}
	b.ReportMetric(float64(n)*float64(b.N)/b.Elapsed().Seconds()/1e6, "Msamples/s")
}

const million = 1_000_000

func BenchmarkReadLog(b *testing.B) {
	data := manySamples(b, million, false)
	b.ResetTimer()
	benchmarkRead(b, data, million, func(r io.Reader) (Stream, error) { return NewReader(r), nil })
}

func BenchmarkReadLogVerified(b *testing.B) {
	data := manySamples(b, million, false)
	b.ResetTimer()
	benchmarkRead(b, data, million, func(r io.Reader) (Stream, error) { return NewReader(r).Verify(), nil })
}

func BenchmarkImportCSV(b *testing.B) {
	data := manySamples(b, million, true)
	b.ResetTimer()
	benchmarkRead(b, data, million, func(r io.Reader) (Stream, error) { return ImportCSV(r, ImportOptions{}) })
}

func BenchmarkImportSemicolonCSV(b *testing.B) {
	data := manySamples(b, million, true)
	data = []byte(strings.NewReplacer(",", ";", ".", ",").Replace(string(data)))
	b.ResetTimer()
	benchmarkRead(b, data, million, func(r io.Reader) (Stream, error) { return ImportCSV(r, ImportOptions{}) })
}

func BenchmarkAppendLine(b *testing.B) {
	b.ReportAllocs()
	var buf []byte
	r := testSample(1234)
	for b.Loop() {
		buf, _ = AppendLine(buf[:0], r)
	}
}

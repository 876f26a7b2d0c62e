package hold_test

import (
	"errors"
	"fmt"
	"io"
	"math"
	"strings"
	"testing"

	"example.org/holdfast/internal/bench"
	"example.org/holdfast/internal/hold"
	"example.org/holdfast/internal/holdlog"
	"example.org/holdfast/internal/units"
	"example.org/holdfast/internal/verdict"
)

// vented is a section on a vented gauge while the barometer climbs by 500 Pa an
// hour, written as CSV; says gives what the barometer says, in Pa, NaN = nothing.
func vented(t *testing.T, leak, hours float64, limit string, says func(at, pa float64) float64) *hold.State {
	t.Helper()
	p := bench.BottleCooler(leak)
	p.Room = bench.Room{Kind: bench.Still, Mean: units.FromCelsius(20)}
	p.Sensor = bench.Sensor{Range: 25e5, Noise: 50, Step: 10, Gauge: true}
	p.Barometer.Slope = 500
	b := bench.New(p, 9)
	var csv strings.Builder
	csv.WriteString("elapsed_s,pressure_pa,ambient_c,barometer_hpa\n")
	for at := 0.0; at <= hours*3600; at += 10 {
		m := b.At(at)
		hpa := ""
		if pa := says(at, float64(m.TrueBarometer)); !math.IsNaN(pa) {
			hpa = fmt.Sprintf("%.1f", pa/100)
		}
		fmt.Fprintf(&csv, "%.0f,%.0f,%.4f,%s\n", at, float64(m.PressureGauge), m.Ambient.Celsius(), hpa)
	}
	r, err := holdlog.ImportCSV(strings.NewReader(csv.String()), holdlog.ImportOptions{Header: holdlog.Header{Settings: holdlog.Settings{For: hours * 3600, Limit: limit}}})
	if err != nil {
		t.Fatal(err)
	}
	h := hold.New()
	for {
		rec, err := r.Next()
		if errors.Is(err, io.EOF) {
			return h.State()
		}
		if err != nil {
			t.Fatal(err)
		}
		h.Apply(rec)
	}
}

func TestALoggedBarometerTakesTheWeatherOutOfAVentedGauge(t *testing.T) {
	t.Parallel()
	speaks := func(s *hold.State) bool { return strings.Contains(fmt.Sprint(s.Verdict.Warnings), "weather") }
	logged := func(_, pa float64) float64 { return pa }
	nothing := func(_, _ float64) float64 { return math.NaN() }
	with, without := vented(t, 0, 5, "", logged), vented(t, 0, 5, "", nothing)
	if r := with.Estimate.Rate; r.Lo > 0 || r.Hi < 0 || r.Value*3600 > 200 || r.Value*3600 < -200 {
		t.Errorf("with a barometer a tight section loses %.0f (%.0f to %.0f) Pa/h", r.Value*3600, r.Lo*3600, r.Hi*3600)
	}
	if r := without.Estimate.Rate; r.Value*3600 < 300 {
		t.Errorf("without one it loses %.0f (%.0f to %.0f) Pa/h, and the barometer climbed by 500 Pa/h: is it used at all?", r.Value*3600, r.Lo*3600, r.Hi*3600)
	}
	if speaks(with) || !speaks(without) {
		t.Errorf("the weather is spoken of with a barometer: %v, without: %v", speaks(with), speaks(without))
	}
	if short := vented(t, 0, 0.5, "", nothing); speaks(short) {
		t.Error("the weather is spoken of in a hold of half an hour")
	}
}

// A barometer that is plugged in late, that is not the standard atmosphere, or
// that says nonsense once moves the bridge from gauge to absolute pressure. No gas went anywhere.
func TestABarometerThatComesLateOrJumpsIsNoStepOfTheGas(t *testing.T) {
	t.Parallel()
	from := func(start, off float64) func(at, pa float64) float64 {
		return func(at, pa float64) float64 {
			if at < start {
				return math.NaN()
			}
			return pa + off
		}
	}
	for name, says := range map[string]func(at, pa float64) float64{
		"in a valley, after 40 min":   from(2400, 3000),
		"on a hill, after 40 min":     from(2400, -9000),
		"on a hill, while it settles": from(60, -9000),
		"on a hill, from the first":   from(0, -9000),
		"nonsense once": func(at, pa float64) float64 {
			if at == 3000 {
				return 6e4
			}
			return pa
		},
		"another instrument after 1 h": func(at, pa float64) float64 {
			if at >= 3600 {
				return pa + 700
			}
			return pa
		},
	} {
		for leak, want := range map[float64]verdict.Word{0: verdict.Tight, 0.02: verdict.Leaking} {
			s := vented(t, leak, 2, "0.4%/h", says)
			r := s.Estimate.Rate
			if s.Verdict.Word != want || len(s.Estimate.Steps) > 0 || s.Segment != 1 {
				t.Errorf("%s, leak %g: %s, %s (%.0f, %.0f to %.0f Pa/h), steps %v, filling %d; want %s", name, leak, s.Verdict.Word, s.Verdict.Phrase,
					r.Value*3600, r.Lo*3600, r.Hi*3600, s.Estimate.Steps, s.Segment, want)
			}
		}
	}
}

func TestWeatherThatWasLoggedForAPartIsDoubtedForTheRest(t *testing.T) {
	t.Parallel()
	s := vented(t, 0, 5, "", func(at, pa float64) float64 {
		if at > 600 {
			return math.NaN()
		}
		return pa
	})
	if w := fmt.Sprint(s.Verdict.Warnings); !strings.Contains(w, "no barometer was logged for 4h50m of it") {
		t.Errorf("logged for ten minutes of five hours; it says %s", w)
	}
}

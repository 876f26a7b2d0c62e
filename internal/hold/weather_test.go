package hold_test

import (
	"errors"
	"fmt"
	"io"
	"strings"
	"testing"

	"example.org/holdfast/internal/bench"
	"example.org/holdfast/internal/hold"
	"example.org/holdfast/internal/holdlog"
	"example.org/holdfast/internal/units"
)

// vented is a tight section on a vented gauge while the barometer climbs by
// 500 Pa an hour, written as CSV with or without the barometer.
func vented(t *testing.T, hours float64, barometer bool) *hold.State {
	t.Helper()
	p := bench.BottleCooler(0)
	p.Room = bench.Room{Kind: bench.Still, Mean: units.FromCelsius(20)}
	p.Sensor = bench.Sensor{Range: 25e5, Noise: 50, Step: 10, Gauge: true}
	p.Barometer.Slope = 500
	b := bench.New(p, 9)
	var csv strings.Builder
	csv.WriteString("elapsed_s,pressure_pa,ambient_c,barometer_hpa\n")
	for at := 0.0; at <= hours*3600; at += 10 {
		m := b.At(at)
		hpa := ""
		if barometer {
			hpa = fmt.Sprintf("%.1f", float64(m.TrueBarometer)/100)
		}
		fmt.Fprintf(&csv, "%.0f,%.0f,%.4f,%s\n", at, float64(m.PressureGauge), m.Ambient.Celsius(), hpa)
	}
	r, err := holdlog.ImportCSV(strings.NewReader(csv.String()), holdlog.ImportOptions{Header: holdlog.Header{Settings: holdlog.Settings{For: hours * 3600}}})
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
	with, without := vented(t, 5, true), vented(t, 5, false)
	if r := with.Estimate.Rate; r.Lo > 0 || r.Hi < 0 || r.Value*3600 > 200 || r.Value*3600 < -200 {
		t.Errorf("with a barometer a tight section loses %.0f (%.0f to %.0f) Pa/h", r.Value*3600, r.Lo*3600, r.Hi*3600)
	}
	if r := without.Estimate.Rate; r.Value*3600 < 300 {
		t.Errorf("without one it loses %.0f (%.0f to %.0f) Pa/h, and the barometer climbed by 500 Pa/h: is it used at all?", r.Value*3600, r.Lo*3600, r.Hi*3600)
	}
	if speaks(with) || !speaks(without) {
		t.Errorf("the weather is spoken of with a barometer: %v, without: %v", speaks(with), speaks(without))
	}
	if short := vented(t, 0.5, false); speaks(short) {
		t.Error("the weather is spoken of in a hold of half an hour")
	}
}

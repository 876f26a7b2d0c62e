package decay_test

import (
	"encoding/csv"
	"math"
	"os"
	"strconv"
	"strings"
	"testing"

	"example.org/holdfast/internal/decay"
)

// curves reads testdata: noise-free rises of V = 1 l computed from their
// formulas, with the source line in the file.
func curves(t *testing.T) (times []float64, col map[string][]float64) {
	t.Helper()
	b, err := os.ReadFile("testdata/vacuum_rise_curves.csv")
	if err != nil {
		t.Fatal(err)
	}
	r := csv.NewReader(strings.NewReader(string(b)))
	r.Comment = '#'
	rows, err := r.ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	col = map[string][]float64{}
	for _, row := range rows[1:] {
		for i, text := range row {
			v, err := strconv.ParseFloat(text, 64)
			if err != nil {
				t.Fatal(err)
			}
			col[rows[0][i]] = append(col[rows[0][i]], v)
		}
	}
	return col["t_s"], col
}

func TestKnownRiseCurves(t *testing.T) {
	times, col := curves(t)
	for name, want := range map[string]struct {
		tolerance     float64 // Pa/h
		shape         decay.Shape
		open          bool    // an hour may be too short to exclude a leak beside it
		leak, plateau float64 // Pa/h, Pa
	}{
		"leak_mbar":      {1, decay.RiseLeak, false, 7.2, 0}, // 2e-5 mbar l/s into 1 l; an hour of readings a minute apart tells it from 1 Pa/h
		"outgas_mbar":    {60, decay.RiseOutgassing, false, 0, 120},
		"water_mbar":     {60, decay.RiseMoisture, true, 0, 2339.2},
		"water_ice_mbar": {60, decay.RiseMoisture, false, 0, 259.9},
	} {
		r := decay.NewRise(decay.RiseConfig{Water: water, Leak: want.tolerance / 3600})
		for i, s := range times {
			r.Add(s, col[name][i]*100, 293.15)
		}
		e := r.Estimate()
		t.Logf("%s: %+v", name, e)
		if e.Shape != want.shape && !(want.open && e.Shape == decay.RiseUndecided) {
			t.Errorf("%s is %s, want %s", name, e.Shape, want.shape)
		}
		if e.Leak.Lo*3600 > want.leak || e.Leak.Hi*3600 < want.leak {
			t.Errorf("%s: leak %.1f to %.1f Pa/h misses %.1f", name, e.Leak.Lo*3600, e.Leak.Hi*3600, want.leak)
		}
		if math.Abs(e.Plateau.Value-want.plateau) > 0.05*want.plateau {
			t.Errorf("%s: plateau %.1f Pa, want %.1f", name, e.Plateau.Value, want.plateau)
		}
	}
}

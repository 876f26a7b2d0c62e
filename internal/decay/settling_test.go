package decay

import (
	"encoding/json"
	"math"
	"testing"
)

// settling is a level, exponentials that die out and a straight line: the model
// of a hold in its simplest form. names are the parameters as the reference calls them.
type settling struct {
	names []string
	value func(b, x []float64) float64
}

var settlings = map[string]settling{
	"exp": {[]string{"c", "a", "tau"}, func(b, x []float64) float64 {
		return b[0] + b[1]*math.Exp(-x[0]/b[2])
	}},
	"explin": {[]string{"c", "a", "tau", "m"}, func(b, x []float64) float64 {
		return b[0] + b[1]*math.Exp(-x[0]/b[2]) + b[3]*x[0]
	}},
	"biexp": {[]string{"c", "a1", "tau1", "a2", "tau2"}, func(b, x []float64) float64 {
		return b[0] + b[1]*math.Exp(-x[0]/b[2]) + b[3]*math.Exp(-x[0]/b[4])
	}},
}

// Water cooling in a mug (real data of the R package mosaicData, read to 0.1 °C)
// and a SYNTHETIC pressure that settles and leaks, against least-squares fits made
// apart: scipy for the start, then Gauss-Newton with 40 digits (mpmath).
func TestSettlingFitsMadeApart(t *testing.T) {
	var file map[string]json.RawMessage
	readJSON(t, "exp_linear_reference_fits.json", &file)
	checked := 0
	for _, c := range []struct {
		entry, table, x, y string
		until              float64
	}{
		{"cooling_water_all", "cooling_water.csv", "t_min", "temp_C", 1e9},
		{"cooling_water_t_0_to_60", "cooling_water.csv", "t_min", "temp_C", 60},
		{"settle_plus_leak_synthetic", "settle_plus_leak_synthetic.csv", "t_min", "p_abs_bar", 1e9},
	} {
		var fits map[string]json.RawMessage
		if err := json.Unmarshal(file[c.entry], &fits); err != nil {
			t.Fatal(err)
		}
		var x [][]float64
		var y []float64
		for _, row := range readTable(t, c.table) {
			if at := number(t, row[c.x]); at <= c.until {
				x, y = append(x, []float64{at}), append(y, number(t, row[c.y]))
			}
		}
		for name, model := range settlings {
			if fits[name] == nil {
				continue
			}
			var want struct {
				Params, SE map[string]string
				RSS        string
			}
			if err := json.Unmarshal(fits[name], &want); err != nil {
				t.Fatal(err)
			}
			checked++
			settlingMeets(t, c.entry+" "+name, model, x, y, want.Params, want.SE, want.RSS)
		}
	}
	if checked != 6 {
		t.Errorf("%d fits checked, want 6", checked)
	}
}

// settlingMeets fits from a start twenty standard errors off and compares parameters, standard errors and sum of squares.
func settlingMeets(t *testing.T, what string, model settling, x [][]float64, y []float64, params, se map[string]string, rss string) {
	t.Helper()
	for _, s := range solvers() {
		var start []float64
		for i, n := range model.names {
			start = append(start, number(t, params[n])+20*float64(1-2*(i%2))*number(t, se[n]))
		}
		b, sum := refine(s, model.value, start, x, y)
		d, r, _ := tangent(model.value, b, x, y)
		f := s.solve(d, r, sum/float64(len(y)-len(b)))
		if got := digits(sum, number(t, rss)); got < 9 {
			t.Errorf("%s by %s: sum of squares has %.1f digits", what, s.name, got)
		}
		for i, n := range model.names {
			if got := digits(b[i], number(t, params[n])); got < 7 {
				t.Errorf("%s by %s: %s is %.12g, want %s: %.1f digits", what, s.name, n, b[i], params[n], got)
			}
			if got := digits(f.sd(i), number(t, se[n])); got < 7 {
				t.Errorf("%s by %s: standard error of %s is %.12g, want %s: %.1f digits", what, s.name, n, f.sd(i), se[n], got)
			}
		}
	}
}

// The whole engine on the SYNTHETIC series: 0.18 bar of settling with a time
// constant of 14 minutes and 3600 Pa/h of leak, 2 mbar of noise, read every half
// minute. The interval must hold the leak, though settling takes off five times as much.
func TestTheEngineFindsTheLeakUnderSettling(t *testing.T) {
	h := New(Config{})
	for _, row := range readTable(t, "settle_plus_leak_synthetic.csv") {
		h.Add(Sample{T: 60 * number(t, row["t_min"]), P: 1e5 * number(t, row["p_abs_bar"]), Ambient: 293.15, Section: math.NaN()})
	}
	const truth = 3600.0 // Pa/h
	r := h.Estimate().Rate
	if r.Lo*3600 > truth || r.Hi*3600 < truth {
		t.Errorf("%.0f to %.0f Pa/h does not hold %g", r.Lo*3600, r.Hi*3600, truth)
	}
	if r.Half()*3600 > truth {
		t.Errorf("half-width %.0f Pa/h: as wide as the leak", r.Half()*3600)
	}
}

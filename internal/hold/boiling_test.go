package hold_test

import (
	"math"
	"strings"
	"testing"

	"example.org/holdfast/internal/bench"
	"example.org/holdfast/internal/holdlog"
	"example.org/holdfast/internal/units"
	"example.org/holdfast/internal/verdict"
)

// TestBoilingRefrigerantIsSized lets 0.3 bar of R290 boil into 0.3 l: 9000 Pa.l
// are p V M / (R T) = 3e4 x 3e-4 x 44.10e-3 / (8.314 x 293) kg = 0.16 g, reckoned
// here by hand. R290 boils at 20 C up to 8.365 bar absolute, 7.35 gauge (Lemmon et al. 2009, table A1).
func TestBoilingRefrigerantIsSized(t *testing.T) {
	p := bench.BottleCooler(0)
	p.Hold = 7200
	p.Room = bench.Room{Kind: bench.Heater, Mean: units.FromCelsius(20), Swing: 1, Period: 1500}
	recs := records(p, holdlog.Settings{Limit: "1%/h", Volume: 0.3e-3, Refrigerant: "R290"}, true)
	for i, r := range recs {
		if since := r.Elapsed - 120; r.Kind == holdlog.KindSample && since > 0 {
			recs[i].Sample.Pressure += 0.3e5 * (1 - math.Exp(-since/1500))
		}
	}
	st := apply(recs).State()
	if st.Verdict.Word == verdict.Tight {
		t.Error("a rise that could hide a leak is called tight")
	}
	for _, c := range st.Verdict.Causes {
		if c.Cause != verdict.BoilingOut {
			continue
		}
		t.Log(c.Evidence)
		for _, want := range []string{"as R290 it would be 0.1", "g so far", "is 7.3", "water lifts it by no more than 0.023 bar"} {
			if !strings.Contains(c.Evidence, want) {
				t.Errorf("%q lacks %q", c.Evidence, want)
			}
		}
		return
	}
	t.Errorf("not named: %+v", st.Verdict.Causes)
}

// TestADataSheetReachesTheFit compares the width with a sensor that is said to be worse.
func TestADataSheetReachesTheFit(t *testing.T) {
	p := bench.BottleCooler(0)
	p.Hold = 7200
	width := func(d holdlog.Device) float64 {
		recs := records(p, holdlog.Settings{Limit: "1%/h"}, true)
		d.Gives = "pressure_pa_abs,ambient_c"
		recs[0].Header.Devices = []holdlog.Device{d}
		return apply(recs).State().Estimate.Rate.Half()
	}
	plain := width(holdlog.Device{PressureRange: 25e5})
	for name, d := range map[string]holdlog.Device{
		"zero drift": {PressureRange: 25e5, ZeroDrift: 3000},
		"stability":  {PressureRange: 25e5, Stability: units.PaPerHour(2000)},
		"year":       {PressureRange: 25e5, Drift: 1e7},
	} {
		if got := width(d); !(got > 1.1*plain) {
			t.Errorf("%s: half-width %.4g Pa/s, without it %.4g", name, got, plain)
		}
	}
	if got := width(holdlog.Device{PressureRange: 25e5, Stability: units.PaPerHour(10)}); !(got < plain) {
		t.Errorf("a steadier sensor: half-width %.4g Pa/s, without it %.4g", got, plain)
	}
}

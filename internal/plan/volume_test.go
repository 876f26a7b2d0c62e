package plan

import (
	"encoding/csv"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"example.org/holdfast/internal/gas"
	"example.org/holdfast/internal/units"
)

// Volumes per metre of the annealed tubes of ASTM B280 (source in the file).
func TestTubesHoldWhatTheTableSays(t *testing.T) {
	f, err := os.Open(filepath.Join("testdata", "acr_copper_tube_b280.csv"))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	r := csv.NewReader(f)
	r.Comment = '#'
	rows, err := r.ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	checked := 0
	for _, row := range rows[1:] {
		if row[1] != "A" {
			continue
		}
		want, err := strconv.ParseFloat(row[9], 64)
		if err != nil {
			t.Fatal(err)
		}
		p, err := TubePiece(row[0] + "in:1m")
		if err != nil {
			t.Fatal(err)
		}
		// The file says itself that its 3/16 row prints 0.128 in where two walls leave 0.127.
		if got := p.Volume.Litres() * 1000; math.Abs(got/want-1) > 0.02 {
			t.Errorf("%s in: %.3f ml/m, the table has %.3f", row[0], got, want)
		}
		checked++
	}
	if checked < 9 {
		t.Errorf("%d sizes checked", checked)
	}
}

// Capillary volumes per metre of a trade catalogue (source in the file), to the digits printed.
func TestCapillariesHoldWhatTheTableSays(t *testing.T) {
	data, err := os.ReadFile(filepath.Join("testdata", "capillaries.csv"))
	if err != nil {
		t.Fatal(err)
	}
	checked := 0
	for line := range strings.Lines(string(data)) {
		cells := strings.Split(strings.TrimSpace(line), ",")
		if cells[0] != "capillary_ID" {
			continue
		}
		want, err := strconv.ParseFloat(strings.Fields(cells[3])[1], 64)
		if err != nil {
			t.Fatal(err)
		}
		p, err := CapillaryPiece(cells[1] + "in:1m")
		if err != nil || math.Abs(p.Volume.Litres()*1000-want) > 6e-4 {
			t.Errorf("%s in: %.4f ml/m, %v; the table has %.3f", cells[1], p.Volume.Litres()*1000, err, want)
		}
		checked++
	}
	if checked < 12 {
		t.Errorf("%d bores checked", checked)
	}
}

// By hand: 8 mm outside, 1 mm wall, 3 m: pi/4 x 6² x 3000 mm3 = 84.82 ml.
func TestSizesAreReadAsTheTradeWritesThem(t *testing.T) {
	for text, ml := range map[string]float64{
		"8x1mm:3m": 84.82, "8 x 1 mm:3 m": 84.82, "1/4:2.5m": 45.73, `1/4":2.5m`: 45.73, "1/4in:8.2021ft": 45.73,
		"steel 4.76mm:10m": 88.67, "Steel-4.76mm:10m": 88.67, "aluminium 8mm:1m": 33.18,
	} {
		p, err := TubePiece(text)
		if got := p.Volume.Litres() * 1000; err != nil || math.Abs(got/ml-1) > 1e-3 {
			t.Errorf("%q: %.2f ml, %v; want %.2f", text, got, err, ml)
		}
	}
	for _, text := range []string{"", "1/4in", "7/3in:2m", "8x5mm:3m", "8x1:3m", "1/4in:0m", "gold:1m"} {
		if p, err := TubePiece(text); err == nil {
			t.Errorf("%q: %.2f ml", text, p.Volume.Litres()*1000)
		}
	}
}

// The range of a compressor shell is far wider than what tubes add to it.
func TestSumIsAsRoughAsItsRoughestPiece(t *testing.T) {
	tube, err := TubePiece("1/4in:3m")
	if err != nil {
		t.Fatal(err)
	}
	v, se := Sum([]Piece{tube, CompressorPiece()})
	if math.Abs(v.Litres()-1.55-tube.Volume.Litres()) > 1e-9 {
		t.Errorf("%.3f l", v.Litres())
	}
	if got := Tolerance(v, se); got < 0.4 || got > 0.5 {
		t.Errorf("known to %.0f %%", 100*got)
	}
	if got := Tolerance(tube.Volume, tube.SE); got < 0.03 || got > 0.12 {
		t.Errorf("a tube is known to %.1f %%", 100*got)
	}
}

// The stated uncertainty is the spread of many expansions made with random errors of the same
// size, and the volume comes out: 0.31 l into which 0.5 l of real nitrogen at 8 bar expands.
func TestExpansionUncertaintyIsTheSpreadOfManyExpansions(t *testing.T) {
	const known, section, at = 0.5e-3, 0.31e-3, 293.15
	n2 := gas.Nitrogen()
	before, start := units.Absolute(9.01325e5), units.Absolute(1.01325e5)
	amount := n2.Density(before, at)*known + n2.Density(start, at)*section
	after := n2.PressureAt(amount/(known+section), at)
	x := Expansion{Gas: n2, Known: known, KnownSE: 0.005e-3, Before: before, Start: start, After: after, PressureSE: 3000, TemperatureSE: 0.3}
	v, se, err := x.Volume()
	if err != nil || math.Abs(float64(v)/section-1) > 1e-9 {
		t.Fatalf("%.4f l, %v", v.Litres(), err)
	}
	rng := rand.New(rand.NewPCG(3, 4))
	const n = 4000
	var squares float64
	for range n {
		y := x
		y.Known += units.Volume(0.005e-3 * rng.NormFloat64())
		y.Before += units.Absolute(3000 * rng.NormFloat64())
		y.Start += units.Absolute(3000 * rng.NormFloat64())
		y.After += units.Absolute(3000 * rng.NormFloat64())
		y.KnownSE, y.PressureSE, y.TemperatureSE = 0, 0, 0
		y.After *= units.Absolute(1 + 0.3*rng.NormFloat64()/at) // warmer gas stands higher
		w, _, err := y.Volume()
		if err != nil {
			t.Fatal(err)
		}
		squares += float64((w - section) * (w - section))
	}
	if spread := math.Sqrt(squares / n); math.Abs(float64(se)/spread-1) > 0.06 {
		t.Errorf("stated %.3f ml, spread %.3f ml", 1e6*float64(se), 1e6*spread)
	}
}

func TestExpansionThatCannotBeIsRefused(t *testing.T) {
	x := Expansion{Gas: gas.Nitrogen(), Known: 1e-3, Before: 5e5, Start: 1e5, After: 6e5, PressureSE: 1000}
	if _, _, err := x.Volume(); err == nil {
		t.Error("the pressure rose by expanding")
	}
	x.After, x.PressureSE = 4.99e5, 3e4
	if v, se, err := x.Volume(); err == nil {
		t.Errorf("pressures that hardly differ give %.3f ± %.3f l", v.Litres(), se.Litres())
	}
}

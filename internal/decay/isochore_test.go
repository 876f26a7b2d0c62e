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

// isochore reads a sealed, rigid volume of nitrogen from testdata: pressures at
// constant density from the equation of state of Span et al., J. Phys. Chem.
// Ref. Data 29(6) 1361 (2000), for a start at 20 °C. Bar absolute by °C.
func isochore(t *testing.T, start string) (c, bar []float64) {
	t.Helper()
	b, err := os.ReadFile("testdata/nitrogen_isochore.csv")
	if err != nil {
		t.Fatal(err)
	}
	r := csv.NewReader(strings.NewReader(string(b)))
	r.Comment = '#'
	rows, err := r.ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	for _, row := range rows[1:] {
		if row[0] != start {
			continue
		}
		x, _ := strconv.ParseFloat(row[1], 64)
		y, _ := strconv.ParseFloat(row[2], 64)
		c, bar = append(c, x), append(bar, y)
	}
	if len(c) < 5 {
		t.Fatalf("no isochore from %s bar", start)
	}
	return c, bar
}

func interpolate(x float64, xs, ys []float64) float64 {
	for i := 1; i < len(xs); i++ {
		if x <= xs[i] || i == len(xs)-1 {
			f := (x - xs[i-1]) / (xs[i] - xs[i-1])
			return ys[i-1] + f*(ys[i]-ys[i-1])
		}
	}
	return math.NaN()
}

// A tight section whose room warms from 20 to 25 °C in two hours, pressures from
// the published equation of state: the engine with real nitrogen must find no
// leak, and taking the gas for ideal must be visibly worse with a thermometer on
// the part, which leaves no lag to hide in.
func TestRealGasAgainstThePublishedIsochore(t *testing.T) {
	c, bar := isochore(t, "21")
	fit := func(g decay.Gas) decay.Estimate {
		h := decay.New(decay.Config{Gas: g, FullScale: 25e5})
		for s := 0.0; s <= 7200; s += 5 {
			temp := 20 + 5*s/7200
			h.Add(decay.Sample{T: s, P: 1e5*interpolate(temp, c, bar) + 50*math.Sin(s), Ambient: temp + 273.15, Section: temp + 273.15})
		}
		return h.Estimate()
	}
	hour := 3600.0
	real, ideal := fit(nitrogen), fit(nil)
	if real.Rate.Lo > 0 || real.Rate.Hi < 0 {
		t.Errorf("real gas: %.0f to %.0f Pa/h does not hold zero", real.Rate.Lo*hour, real.Rate.Hi*hour)
	}
	// 5 K at 5 % of 7.6 kPa/K over two hours are 950 Pa/h that the ideal law leaves over.
	if math.Abs(ideal.Rate.Value) < math.Abs(real.Rate.Value)+300/hour {
		t.Errorf("ideal gas %.0f Pa/h is no worse than real gas %.0f Pa/h", ideal.Rate.Value*hour, real.Rate.Value*hour)
	}
}

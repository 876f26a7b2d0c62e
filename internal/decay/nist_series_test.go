package decay

import (
	"math"
	"testing"
)

// strdSeries is one set of the NIST StRD univariate collection.
type strdSeries struct {
	Mean string `json:"certified_mean"`
	SD   string `json:"certified_sd"`
	Y    numbers
}

// NIST StRD univariate sets against what the engine takes means with: the bin of
// a row, and the weighted moments of the vacuum rise (mean and standard
// deviation). The moments subtract squares, which costs twice the digits by which
// the mean outweighs the deviation: enough for plateaus, whose deviation is
// above a millionth, not for NumAcc3 and 4.
func TestMeansOfNIST(t *testing.T) {
	var file struct{ Sets map[string]strdSeries }
	readJSON(t, "nist_strd_univariate.json", &file)
	want := map[string]float64{ // digits of the standard deviation
		"Lew": 13, "Lottery": 13, "Mavro": 8, "Michelso": 8, "NumAcc1": 1, "NumAcc2": 11, "NumAcc3": 0, "NumAcc4": 0,
	}
	if len(file.Sets) != len(want) {
		t.Fatalf("%d sets, want %d", len(file.Sets), len(want))
	}
	for name, set := range file.Sets {
		mean, sd := number(t, set.Mean), number(t, set.SD)
		var b bin
		var m moments
		for i, v := range set.Y {
			b.add(Sample{T: float64(i), P: v, Ambient: math.NaN(), Section: math.NaN()}, 1e9)
			m.add(1, v, 0)
		}
		if d := digits(b.p/float64(b.n), mean); d < 13 {
			t.Errorf("%s: mean of the bin has %.1f digits", name, d)
		}
		i := m.interval(math.Inf(-1))
		if d := digits(i.Value, mean); d < 13 {
			t.Errorf("%s: weighted mean has %.1f digits", name, d)
		}
		n := float64(len(set.Y))
		if d := digits(i.Half()/1.96*math.Sqrt(n/(n-1)), sd); d < want[name] {
			t.Errorf("%s: standard deviation has %.1f digits, want %.0f", name, d, want[name])
		}
	}
}

// The running line through the room's temperature, against the certified slopes
// of Norris (36 points in disorder), moved to the temperature of a room.
func TestTrendOfTheRoomOnNISTNorris(t *testing.T) {
	var file struct{ Sets map[string]strdLinear }
	readJSON(t, "nist_strd_linear.json", &file)
	set := file.Sets["Norris"]
	var r trend
	for _, row := range set.Data {
		r.add(3600*row[1], 293+row[0]) // hours and kelvin
	}
	slope, _ := r.slope()
	if d := digits(slope, number(t, set.Params[1].Estimate)); d < 11 {
		t.Errorf("slope %.15g K/h, certified %s: %.1f digits", slope, set.Params[1].Estimate, d)
	}
}

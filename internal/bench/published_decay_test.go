package bench_test

import (
	"encoding/csv"
	"math"
	"os"
	"strconv"
	"strings"
	"testing"

	"example.org/holdfast/internal/bench"
	"example.org/holdfast/internal/gas"
	"example.org/holdfast/internal/units"
)

// The static pressure test of California ARB method TP-201.3 (G-70-164 exhibit 3,
// equation 9-1): a tank leaks from 2.00 inches of water for five minutes, and
// what is left is 2 exp(c/V). One leak of the law p - pa, taken from the smallest
// tank, must leave what the table says in every other.
func TestALeakDecaysAsThePublishedStaticTest(t *testing.T) {
	const (
		inchOfWater = 249.08891 // Pa, conventional (NIST SP 811)
		gallon      = 3.785411784e-3
		seconds     = 300.0
	)
	air, start := gas.DryAir(), units.StandardAtmosphere+2*inchOfWater
	room := bench.Room{Mean: units.FromCelsius(20)}
	rows := staticTests(t)
	for _, nozzles := range []string{"Pf_1-6", "Pf_13-18", "Pf_19-24", "Pf_gt24"} {
		var q units.LeakRate
		for _, row := range rows {
			v := units.Volume(row["V_gal"] * gallon)
			if q == 0 {
				fall := -math.Log(row[nozzles]/2) / seconds * 2 * inchOfWater // Pa/s at the start
				q = gas.Throughput(v, units.PressureRate(fall), start, room.Mean, air)
			}
			rate := gas.Rate(q, v, start, room.Mean, air)
			b := bench.New(bench.Params{
				Gas: air, Volume: v, StartPressure: start, Law: gas.Molecular, Room: room,
				Leak: rate.PerHour() / float64(start),
			}, 1)
			left := float64(b.At(seconds).TruePressure-units.StandardAtmosphere) / inchOfWater
			if math.Abs(left-row[nozzles]) > 3e-4 { // four decimals, one row rounded carried to the others
				t.Errorf("%s, %g gal: %.4f inches left, the table has %.4f", nozzles, row["V_gal"], left, row[nozzles])
			}
		}
	}
}

// staticTests reads the table, its source is in its head.
func staticTests(t *testing.T) (rows []map[string]float64) {
	t.Helper()
	b, err := os.ReadFile("testdata/static_pressure_decay.csv")
	if err != nil {
		t.Fatal(err)
	}
	r := csv.NewReader(strings.NewReader(string(b)))
	r.Comment = '#'
	all, err := r.ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	for _, line := range all[1:] {
		row := map[string]float64{}
		for i, text := range line {
			if row[all[0][i]], err = strconv.ParseFloat(text, 64); err != nil {
				t.Fatal(err)
			}
		}
		rows = append(rows, row)
	}
	return rows
}

package decay_test

import (
	"encoding/csv"
	"encoding/json"
	"math"
	"os"
	"strconv"
	"strings"
	"testing"
)

// The straight line that the study compares with must be the mass-point method
// of the standards, or the comparison is worth nothing: slope and its standard
// deviation on the SYNTHETIC 24 hours of mass_point_synthetic_24h.csv (formulas
// of ANSI/ANS-56.8 from memory, results computed to 40 digits in the file beside it).
func TestTheStudysMassPointIsTheStandards(t *testing.T) {
	b, err := os.ReadFile("testdata/mass_point_synthetic_results.json")
	if err != nil {
		t.Fatal(err)
	}
	var file struct {
		Want struct {
			A  string `json:"A_lbm_per_h"`
			B  string `json:"B_lbm"`
			SA string `json:"S_A"`
			L  string `json:"L_am_pct_day"`
		} `json:"ilrt_like_24h"`
	}
	if err := json.Unmarshal(b, &file); err != nil {
		t.Fatal(err)
	}
	num := func(s string) float64 {
		v, err := strconv.ParseFloat(s, 64)
		if err != nil {
			t.Fatal(err)
		}
		return v
	}
	if b, err = os.ReadFile("testdata/mass_point_synthetic_24h.csv"); err != nil {
		t.Fatal(err)
	}
	r := csv.NewReader(strings.NewReader(string(b)))
	r.Comment = '#'
	rows, err := r.ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	var m massPoint
	const settle = 900.0 // s the method leaves out
	var temp0 float64
	for i, row := range rows[1:] {
		if i == 0 {
			temp0 = num(row[2])
		}
		m.add(settle+3600*num(row[0]), num(row[1])-num(row[3]), num(row[2]))
	}
	// pounds of dry air per psi at the first temperature
	const volume, r53 = 3.3e6, 53.35
	pounds := 144 * volume / (r53 * temp0)
	fit := m.fit()
	for what, got := range map[string][2]float64{
		"slope":                          {-fit.value * pounds, num(file.Want.A)},
		"standard deviation of slope":    {fit.half / 1.96 * pounds, num(file.Want.SA)},
		"leak rate in per cent of a day": {2400 * fit.value * pounds / num(file.Want.B), num(file.Want.L)},
	} {
		if math.Abs(got[0]/got[1]-1) > 1e-7 {
			t.Errorf("%s: %.10g, want %.10g", what, got[0], got[1])
		}
	}
}

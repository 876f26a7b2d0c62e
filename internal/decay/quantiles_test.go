package decay

import (
	"encoding/csv"
	"math"
	"math/rand/v2"
	"os"
	"strings"
	"testing"

	"gonum.org/v1/gonum/stat/distuv"
)

// readTable reads a table of testdata, whose first line must say where it comes from.
func readTable(t *testing.T, name string) (rows []map[string]string) {
	t.Helper()
	b, err := os.ReadFile("testdata/" + name)
	if err != nil {
		t.Fatal(err)
	}
	if !strings.HasPrefix(string(b), "# ") {
		t.Fatalf("%s: no source in the first line", name)
	}
	r := csv.NewReader(strings.NewReader(string(b)))
	r.Comment = '#'
	all, err := r.ReadAll()
	if err != nil || len(all) < 2 {
		t.Fatalf("%s: %d rows, %v", name, len(all), err)
	}
	for _, line := range all[1:] {
		row := map[string]string{}
		for i, column := range all[0] {
			row[column] = line[i]
		}
		rows = append(rows, row)
	}
	return rows
}

// checkTable compares the quantiles that a table prints, and those computed to 40
// digits beside them, with the library's. p turns what a column is named after into a probability.
func checkTable(t *testing.T, name string, p func(string) float64) {
	t.Helper()
	checked := 0
	for _, row := range readTable(t, name) {
		nu := number(t, row["nu"])
		for column, text := range row {
			kind, of, ok := strings.Cut(column, "_")
			if !ok || text == "" {
				continue
			}
			q, want := distuv.StudentsT{Mu: 0, Sigma: 1, Nu: nu}.Quantile(p(of)), number(t, text)
			within := 1e-8 * want
			if kind == "pub" {
				checked++
				_, decimals, _ := strings.Cut(text, ".")
				within = 0.51 * math.Pow10(-len(decimals))
			}
			if math.Abs(q-want) > within {
				t.Errorf("%s, %g degrees of freedom, %s: %.10g, want %s", name, nu, column, q, text)
			}
		}
	}
	if checked < 60 {
		t.Errorf("%s: only %d printed values", name, checked)
	}
}

// Printed tables of Student's t: NIST/SEMATECH e-Handbook (upper critical values)
// and NIST Technical Note 1297, table B.1 (the GUM's table G.2), against the library that other checks use.
func TestStudentTablesPrinted(t *testing.T) {
	checkTable(t, "student_t.csv", func(s string) float64 { return number(t, s) })
	sigmas := map[string]float64{"68.27": 1, "95.45": 2, "99.73": 3} // the table means the normal fractions
	checkTable(t, "nist_tn1297_table_b1.csv", func(s string) float64 {
		if k, ok := sigmas[s]; ok {
			return distuv.UnitNormal.CDF(k)
		}
		return 0.5 + number(t, s)/200
	})
}

// What the factors of the program mean, by the printed table of the normal
// distribution (last row of the NIST/SEMATECH t table): the printed quantiles on
// both sides, and the probabilities themselves.
func TestWhatTheFactorsMean(t *testing.T) {
	printed := map[float64]float64{}
	for _, row := range readTable(t, "normal_quantiles.csv") {
		if row["pub"] != "" {
			printed[number(t, row["p"])] = number(t, row["pub"])
		}
		if q := distuv.UnitNormal.Quantile(number(t, row["p"])); digits(q, number(t, row["exact"])) < 12 {
			t.Errorf("quantile of %s: %.14g, want %s", row["p"], q, row["exact"])
		}
	}
	for _, f := range []struct {
		name              string
		factor            float64
		between           [2]float64 // printed probabilities on both sides; equal = printed itself
		oneSided, beyond2 float64    // of not exceeding it; of exceeding it to either side
	}{
		{"interval", intervalFactor(), [2]float64{0.975, 0.975}, 0.9750, 0.0500},
		{"alarm, whole bank", alarmZ, [2]float64{0.999, 1}, 0.99984, 0.00032},
		{"alarm, just brazed", alarmHot, [2]float64{0.90, 0.95}, 0.9032, 0.194},
		{"leak that opened", openedZ, [2]float64{0.999, 1}, 0.99952, 0.00097},
	} {
		lo, hi := printed[f.between[0]], math.Inf(1)
		if f.between[1] < 1 {
			hi = printed[f.between[1]]
		}
		if lo == 0 || f.factor < lo || f.factor > hi {
			t.Errorf("%s: factor %g does not lie between the printed %g and %g", f.name, f.factor, lo, hi)
		}
		p := distuv.UnitNormal.CDF(f.factor)
		if math.Abs(p-f.oneSided) > 5e-5 || math.Abs(2*(1-p)/f.beyond2-1) > 0.02 {
			t.Errorf("%s: one-sided %.5f, two-sided %.5f, want %g and %g", f.name, p, 2*(1-p), f.oneSided, f.beyond2)
		}
	}
}

// intervalFactor is what Estimate makes its intervals with, taken from one.
func intervalFactor() float64 {
	h := New(Config{})
	for i := range 600 {
		h.Add(Sample{T: float64(i), P: 2e6 + 50*math.Sin(float64(i)), Ambient: 293, Section: math.NaN()})
	}
	e := h.Estimate()
	return math.Round(1e9*e.Rate.Half()/e.SE) / 1e9
}

// The median absolute second difference of normal noise: 1.4826/sqrt(6) is
// 1/(z sqrt 6), z the quantile of 0.75 (the table prints its neighbours; computed by the library).
func TestTheNoiseOfNormalReadings(t *testing.T) {
	if z := distuv.UnitNormal.Quantile(0.75); math.Abs(1/z-1.4826) > 5e-5 {
		t.Errorf("1/z(0.75) is %g", 1/z)
	}
	var c cleaner
	var sum, n float64
	rng := rand.New(rand.NewPCG(5, 6))
	for i := range 60 * ringSize {
		c.push(Sample{T: float64(i), P: 2e6 + 120*rng.NormFloat64(), Ambient: math.NaN(), Section: math.NaN()})
		if c.nDiff%ringSize == 0 && c.nDiff > 0 {
			sum += c.cached
			n++
		}
	}
	if got := sum / n; math.Abs(got/120-1) > 0.05 {
		t.Errorf("noise of 120 Pa is found as %.1f Pa", got)
	}
}

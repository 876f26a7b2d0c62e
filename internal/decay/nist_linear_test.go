package decay

import (
	"math"
	"testing"
)

// strdLinear is one set of the NIST StRD linear regression collection.
type strdLinear struct {
	Data   []numbers `json:"data_y_x"`
	Params []struct {
		Estimate string
		SD       string
	}
	Residual string `json:"residual_sd"`
	Computed struct {
		Cov []numbers `json:"cov_matrix"`
	} `json:"_computed_here_mpmath_1.2.1_60_digits"`
}

// columns builds the design that the set's model asks for: powers of x, or the predictors as they are.
func (s strdLinear) columns(name string) (x [][]float64, y []float64) {
	for _, row := range s.Data {
		y = append(y, row[0])
		var r []float64
		for j := range s.Params {
			switch name {
			case "NoInt1", "NoInt2":
				r = append(r, row[1])
			case "Longley":
				r = append([]float64{1}, row[1:]...)
			default:
				r = append(r, math.Pow(row[1], float64(j)))
			}
		}
		x = append(x, r)
	}
	return x, y
}

// NIST StRD linear sets against the three regressions the engine solves with and
// the library that other tests take as oracle. Digits are the certified ones that are
// attained at worst, of coefficients and of their standard deviations. The
// engine's solvers work on sums of products, which costs twice the digits that the
// condition of the columns takes: they cannot do Filip, whose columns in powers
// of x agree to one part in 1e10, and the library does it to seven digits.
// The engine's own columns are scaled by their priors, which keeps their condition below 1e4.
func TestLinearRegressionsOfNIST(t *testing.T) {
	var file struct{ Sets map[string]strdLinear }
	readJSON(t, "nist_strd_linear.json", &file)
	want := map[string][2]float64{ // digits of the engine's solvers, of the library
		"Norris": {11, 11}, "Pontius": {10, 11}, "NoInt1": {14, 14}, "NoInt2": {14, 14}, "Longley": {5.5, 10},
		"Wampler1": {5.5, 8.5}, "Wampler2": {8.5, 12}, "Wampler3": {5.5, 9}, "Wampler4": {5.5, 7}, "Wampler5": {5, 5}, "Filip": {0, 7},
	}
	if len(file.Sets) != len(want) {
		t.Fatalf("%d sets, want %d", len(file.Sets), len(want))
	}
	for name, set := range file.Sets {
		x, y := set.columns(name)
		variance := sq(number(t, set.Residual))
		exact := variance == 0 // Wampler1 and 2: the polynomial goes through all points
		if exact {
			variance = 1
		}
		for _, s := range solvers() {
			if len(set.Params) > s.most {
				continue
			}
			least := want[name][0]
			if s.name == "gonum" {
				least = want[name][1]
			}
			f := s.solve(x, y, variance)
			worst, worstSD := 15.0, 15.0
			for i, p := range set.Params {
				worst = min(worst, digits(f.theta[i], number(t, p.Estimate)))
				if !exact {
					worstSD = min(worstSD, digits(f.sd(i), number(t, p.SD)))
				}
			}
			if worst < least || worstSD < least {
				t.Errorf("%s by %s: %.1f digits, %.1f of the standard deviations, want %.1f", name, s.name, worst, worstSD, least)
			}
		}
	}
}

// Covariances, computed from two of the sets to 60 digits (mpmath). The system
// and the library give them; they carry the uncertainty of every derived figure.
func TestCovariancesOfNISTSets(t *testing.T) {
	var file struct{ Sets map[string]strdLinear }
	readJSON(t, "nist_strd_linear.json", &file)
	checked := 0
	for name, set := range file.Sets {
		x, y := set.columns(name)
		for _, s := range solvers() {
			if s.name != "system" && s.name != "gonum" || len(set.Computed.Cov) == 0 {
				continue
			}
			checked++
			f := s.solve(x, y, sq(number(t, set.Residual)))
			for i, row := range set.Computed.Cov {
				for j, want := range row {
					if d := digits(f.cov[i][j], want); d < 10 {
						t.Errorf("%s by %s: covariance of %d and %d is %g, want %g: %.1f digits", name, s.name, i, j, f.cov[i][j], want, d)
					}
				}
			}
		}
	}
	if checked != 4 {
		t.Errorf("%d sets and solvers checked, want 4", checked)
	}
}

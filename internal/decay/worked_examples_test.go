package decay

import (
	"fmt"
	"math"
	"testing"

	"gonum.org/v1/gonum/stat/distuv"
)

// lineOf fits y = a + b x by solver s and returns it with the residual standard deviation.
func lineOf(s solver, x, y []float64) (f fitted, sd float64) {
	var rows [][]float64
	for _, v := range x {
		rows = append(rows, []float64{1, v})
	}
	f = s.solve(rows, y, 1)
	variance := residual(rows, y, f.theta) / float64(len(y)-2)
	return s.solve(rows, y, variance), math.Sqrt(variance)
}

// full are the solvers that give covariances.
func full() (s []solver) {
	for _, one := range solvers() {
		if one.name == "system" || one.name == "gonum" {
			s = append(s, one)
		}
	}
	return s
}

func meets(t *testing.T, what string, got float64, want string, within float64) {
	t.Helper()
	if !(math.Abs(got-number(t, want)) <= within) {
		t.Errorf("%s: %.10g, want %s within %g", what, got, want, within)
	}
}

// JCGM 100:2008 (GUM) H.3, calibration of a thermometer: the line through eleven
// corrections, its uncertainties, their correlation and the correction predicted at 30 °C.
func TestThermometerCalibrationOfTheGUM(t *testing.T) {
	var ex struct {
		T         numbers `json:"t_k_C"`
		B         numbers `json:"b_k_C"`
		Published struct {
			Y1, Y2, S string
			SY1       string `json:"s_y1"`
			SY2       string `json:"s_y2"`
			R         string `json:"r_y1_y2"`
			B30       string `json:"b_30C"`
			U30       string `json:"u_b_30C"`
		}
		Computed struct {
			Y1, Y2, R string
			SY1       string `json:"s_y1"`
			SY2       string `json:"s_y2"`
			U30       string `json:"u_b_30C"`
		} `json:"computed_here"`
	}
	readJSON(t, "gum_h3_thermometer.json", &ex)
	var x []float64
	for _, v := range ex.T {
		x = append(x, v-20)
	}
	for _, s := range full() {
		f, sd := lineOf(s, x, ex.B)
		b30 := f.theta[0] + 10*f.theta[1]
		u30 := math.Sqrt(f.cov[0][0] + 2*10*f.cov[0][1] + 100*f.cov[1][1])
		corr := f.cov[0][1] / (f.sd(0) * f.sd(1))
		meets(t, s.name+" y1", f.theta[0], ex.Published.Y1, 0.00005)
		meets(t, s.name+" s(y1)", f.sd(0), ex.Published.SY1, 0.00005)
		meets(t, s.name+" y2", f.theta[1], ex.Published.Y2, 0.000005)
		meets(t, s.name+" s(y2)", f.sd(1), ex.Published.SY2, 0.000005)
		meets(t, s.name+" r", corr, ex.Published.R, 0.0005)
		meets(t, s.name+" s", sd, ex.Published.S, 0.00005)
		meets(t, s.name+" b(30)", b30, ex.Published.B30, 0.00005)
		meets(t, s.name+" u(b(30))", u30, ex.Published.U30, 0.00005)
		for what, d := range map[string]float64{
			"y1": digits(f.theta[0], number(t, ex.Computed.Y1)), "y2": digits(f.theta[1], number(t, ex.Computed.Y2)),
			"s(y1)": digits(f.sd(0), number(t, ex.Computed.SY1)), "s(y2)": digits(f.sd(1), number(t, ex.Computed.SY2)),
			"r": digits(corr, number(t, ex.Computed.R)), "u(b(30))": digits(u30, number(t, ex.Computed.U30)),
		} {
			if d < 10 {
				t.Errorf("%s: %s has %.1f digits of the value computed to 40", s.name, what, d)
			}
		}
	}
}

// DIN 32645: what a calibration line can detect, the classical counterpart of
// "how large a leak could still hide". A decision limit is what a true zero stays
// under but for alpha (the alarm), the detection limit what is missed in no more
// than beta (the bound that could hide). The published results of its sample set.
func TestDetectionLimitOfDIN32645(t *testing.T) {
	var ex struct {
		X, Y      numbers
		Published struct {
			Decision  string `json:"decision_limit"`
			Detection string `json:"detection_limit"`
			Quantify  string `json:"quantification_limit"`
			Half      string `json:"half_width_at_3500_alpha_0.01"`
		}
	}
	readJSON(t, "din32645_detection_limit.json", &ex)
	n := float64(len(ex.X))
	quantile := func(p float64) float64 { return distuv.StudentsT{Mu: 0, Sigma: 1, Nu: n - 2}.Quantile(p) }
	for _, s := range full() {
		f, sd := lineOf(s, ex.X, ex.Y)
		slope := f.theta[1]
		// at is the standard uncertainty of an x that is read off the line where it stands at x.
		at := func(x float64) float64 {
			return math.Sqrt(sd*sd+f.cov[0][0]+2*x*f.cov[0][1]+x*x*f.cov[1][1]) / slope
		}
		decision := quantile(0.99) * at(0)
		meets(t, s.name+" decision limit", decision, ex.Published.Decision, 0.00005)
		meets(t, s.name+" detection limit", 2*decision, ex.Published.Detection, 0.0005)
		meets(t, s.name+" half-width at 3500", quantile(0.995)*at((3500-f.theta[0])/slope), ex.Published.Half, 0.000005)
		q := 3 * quantile(0.995) * at(0)
		for range 50 {
			q = 3 * quantile(0.995) * at(q)
		}
		meets(t, s.name+" quantification limit", q, ex.Published.Quantify, 0.0005)
	}
}

// A constant-volume gas thermometer, temperature against pressure of a closed
// volume (Taylor, An Introduction to Error Analysis, section 8.5; data and results from memory).
func TestGasThermometerLineOfTaylor(t *testing.T) {
	var ex struct {
		P         numbers `json:"P_mmHg"`
		T         numbers `json:"T_C"`
		Published struct {
			A, B   string
			SigmaT string `json:"sigma_T"`
			SigmaA string `json:"sigma_A"`
		} `json:"published_from_memory"`
	}
	readJSON(t, "gas_thermometer_line.json", &ex)
	for _, s := range full() {
		f, sd := lineOf(s, ex.P, ex.T)
		meets(t, s.name+" absolute zero", f.theta[0], ex.Published.A, 0.005)
		meets(t, s.name+" slope", f.theta[1], ex.Published.B, 0.005)
		meets(t, s.name+" sigma of T", sd, ex.Published.SigmaT, 0.05)
		meets(t, s.name+" sigma of A", f.sd(0), ex.Published.SigmaA, 0.5)
	}
}

// GUM F.2.2.1: a reading of a digital step d has a standard uncertainty of
// d/(2 sqrt 3) = 0.29 d. It is what a noiseless display is given.
func TestAStepIsATypeBUncertaintyOfTheGUM(t *testing.T) {
	const step = 250.0 // Pa
	var c cleaner
	for i := range 200 {
		c.push(Sample{T: float64(i), P: 2e6 + step*math.Floor(float64(i)/10), Ambient: math.NaN(), Section: math.NaN()})
	}
	if got := c.sigma(); math.Abs(got-0.288675134595*step) > 1e-6*step {
		t.Errorf("a display in steps of %g Pa is given %g Pa, want %g", step, got, 0.288675134595*step)
	}
	h := New(Config{Step: step})
	h.clean = c
	if _, sd, _ := h.reading(bin{n: 1, p: 2e6, lastP: 2e6, flips: 0}, 1e4, 2e6); !(sd >= 0.288675134595*step) {
		t.Errorf("a row in steps of %g Pa has an uncertainty of %g Pa, want at least 0.29 of it", step, sd)
	}
}

// The mass-point method of ANSI/ANS-56.8 (formulas from memory) on a SYNTHETIC
// series of 24 hours with a known leak of 0.05 % a day; results computed to 40
// digits. Here by the engine's solver; mass_point_test.go does the same with
// the straight line that the study compares with.
func TestMassPointFormulasOnTheSyntheticDay(t *testing.T) {
	var file struct {
		Want map[string]any `json:"ilrt_like_24h"`
	}
	readJSON(t, "mass_point_synthetic_results.json", &file)
	want := func(key string) float64 { return number(t, fmt.Sprint(file.Want[key])) }
	var x, w []float64
	for _, row := range readTable(t, "mass_point_synthetic_24h.csv") {
		x = append(x, number(t, row["t_h"]))
		// W = 144 V (P - Pv)/(R T), ft3, psia, degrees Rankine: pounds of dry air
		w = append(w, 144*3.3e6*(number(t, row["P_psia"])-number(t, row["Pv_psia"]))/(53.35*number(t, row["T_degR"])))
	}
	for _, s := range full() {
		f, sd := lineOf(s, x, w)
		b, a := f.theta[0], f.theta[1]
		leak := -2400 * a / b // % per day
		sdLeak := 2400 / b * math.Sqrt(f.cov[1][1]+sq(a/b)*f.cov[0][0]-2*a/b*f.cov[0][1])
		t95 := distuv.StudentsT{Mu: 0, Sigma: 1, Nu: float64(len(x) - 2)}.Quantile(0.95)
		for what, got := range map[string]float64{
			"A_lbm_per_h": a, "B_lbm": b, "S_lbm": sd, "S_A": f.sd(1), "S_B": f.sd(0), "S_AB": f.cov[0][1],
			"L_am_pct_day": leak, "S_L": sdLeak, "t95_exact": t95, "UCL95_pct_day": leak + t95*sdLeak,
		} {
			if d := digits(got, want(what)); d < 7 {
				t.Errorf("%s: %s is %.12g, want %.12g: %.1f digits", s.name, what, got, want(what), d)
			}
		}
		if truth := want("true_leak_pct_day"); math.Abs(leak-truth) > 2*sdLeak {
			t.Errorf("%s: %.4f %% a day, truth %.4f", s.name, leak, truth)
		}
	}
}

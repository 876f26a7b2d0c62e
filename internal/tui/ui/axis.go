package ui

import (
	"fmt"
	"math"
)

// decimalSteps finds the round decimal step at or above v: 1, 2 or 5 times a power of ten.
func decimalSteps(v float64) float64 {
	if !(v > 0) || !finite(v) {
		return 1
	}
	base := math.Pow(10, math.Floor(math.Log10(v)))
	for _, m := range [...]float64{1, 2, 5} {
		if v <= m*base*(1+1e-9) {
			return m * base
		}
	}
	return 10 * base
}

// timeSteps finds the round step of time at or above v, in s.
func timeSteps(v float64) float64 {
	for _, s := range [...]float64{1, 2, 5, 10, 15, 30, 60, 120, 300, 600, 900, 1800, 3600, 7200, 14400, 21600, 43200, 86400} {
		if v <= s {
			return s
		}
	}
	return 86400 * math.Ceil(v/86400)
}

// xLabels maps columns of the plot area to labels of round times; at most one in ten columns.
func xLabels(x0, x1 float64, gw int) map[int]string {
	step := timeSteps((x1 - x0) / math.Max(float64(gw)/10, 1))
	out := map[int]string{}
	for k := math.Ceil(x0/step - 1e-9); k*step <= x1+step*1e-9 && len(out) < gw; k++ {
		c := int((k*step - x0) / (x1 - x0) * float64(gw-1))
		out[c] = TimeLabel(k * step)
	}
	return out
}

// TimeLabel writes a round time in s for an axis: "30s", "10min", "1h", "1h30".
func TimeLabel(s float64) string {
	sign := ""
	if s < 0 {
		sign, s = "-", -s
	}
	n := int(math.Round(s))
	switch {
	case n == 0:
		return "0"
	case n < 3600 && n%60 != 0 && n < 60:
		return fmt.Sprintf("%s%ds", sign, n)
	case n < 3600 && n%60 != 0:
		return fmt.Sprintf("%s%d:%02d", sign, n/60, n%60)
	case n < 3600:
		return fmt.Sprintf("%s%dmin", sign, n/60)
	case n%3600 == 0:
		return fmt.Sprintf("%s%dh", sign, n/3600)
	}
	return fmt.Sprintf("%s%dh%02d", sign, n/3600, n/60%60)
}

// StepDecimals is how many decimals labels need that are step apart.
func StepDecimals(step float64) int {
	if !(step > 0) {
		return 0
	}
	return min(max(int(math.Ceil(-math.Log10(step)-1e-9)), 0), 6)
}

// decimate thins a curve to the lowest and the highest point in each of n
// columns, in their order, so that no spike is lost. Gaps and points beyond
// the range are kept as one. It is one pass over the points, and as long as
// its three cases (gap, new column, same column) written side by side.
func decimate(pts []Pt, x0, x1 float64, n int) []Pt {
	if len(pts) <= 4*n || n < 1 || !(x1 > x0) {
		return pts
	}
	out := make([]Pt, 0, 3*n)
	scale := float64(n) / (x1 - x0)
	col, lo, hi := math.MinInt, 0, 0
	flush := func() {
		if col == math.MinInt {
			return
		}
		a, b := min(lo, hi), max(lo, hi)
		out = append(out, pts[a])
		if b != a {
			out = append(out, pts[b])
		}
		col = math.MinInt
	}
	for i, p := range pts {
		if !finite(p.X) || !finite(p.Y) {
			flush()
			if k := len(out); k > 0 && finite(out[k-1].Y) {
				out = append(out, Pt{p.X, math.NaN()})
			}
			continue
		}
		c := int(math.Floor(math.Max(math.Min((p.X-x0)*scale, float64(n)), -1)))
		if c != col {
			flush()
			col, lo, hi = c, i, i
			continue
		}
		if p.Y < pts[lo].Y {
			lo = i
		}
		if p.Y > pts[hi].Y {
			hi = i
		}
	}
	flush()
	return out
}

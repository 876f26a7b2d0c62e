package ui

import (
	"fmt"
	"math"
	"sort"
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
// the range are kept as one. The points follow each other in X, so that the end
// of a column is found by halving, and of nearly all of a million only Y is looked at.
func decimate(pts []Pt, x0, x1 float64, n int) []Pt {
	if len(pts) <= 4*n || n < 1 || !(x1 > x0) {
		return pts
	}
	d := thinned{out: make([]Pt, 0, 3*n), x0: x0, wide: (x1 - x0) / float64(n), n: n}
	for i := 0; i < len(pts); {
		if finite(pts[i].X) && finite(pts[i].Y) {
			i += d.column(pts[i:])
			continue
		}
		if k := len(d.out); k > 0 && finite(d.out[k-1].Y) {
			d.out = append(d.out, Pt{pts[i].X, math.NaN()})
		}
		i++
	}
	return d.out
}

// thinned is a curve under way.
type thinned struct {
	out      []Pt
	x0, wide float64 // of the range, and of one column
	n        int
}

// column takes the points that lie in the column of the first one, as far as
// they follow each other, and returns how many they are.
func (d *thinned) column(pts []Pt) int {
	end := d.edge(pts[0].X)
	pts = pts[:1+sort.Search(len(pts)-1, func(i int) bool { return !(pts[i+1].X < end) })]
	lo, hi := 0, 0
	least, most := pts[0].Y, pts[0].Y
	n := 1
	for ; n < len(pts); n++ {
		y := pts[n].Y
		if y >= least && y <= most { // nearly all
			continue
		}
		if !finite(y) {
			break
		}
		if y < least {
			lo, least = n, y
		} else {
			hi, most = n, y
		}
	}
	d.out = append(d.out, pts[min(lo, hi)])
	if lo != hi {
		d.out = append(d.out, pts[max(lo, hi)])
	}
	return n
}

// edge is where the column of x ends; what is beyond the range is one column at each side.
func (d *thinned) edge(x float64) float64 {
	switch c := math.Floor((x - d.x0) / d.wide); {
	case c < 0:
		return d.x0
	case c >= float64(d.n):
		return math.Inf(1)
	default:
		return d.x0 + (c+1)*d.wide
	}
}

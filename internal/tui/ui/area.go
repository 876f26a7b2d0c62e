package ui

import (
	"math"

	"github.com/charmbracelet/lipgloss"
)

// Span2 is a place on a band.
type Span2 struct{ X, Lo, Hi float64 }

// Area is a band, drawn as sparse dots between two edges.
type Area struct {
	Pts   []Span2
	Faint bool // still fewer dots: a ground on which the rest is drawn
	Style lipgloss.Style
}

// area fills a band with dots, or with points in ASCII mode.
func (v view) area(a Area) {
	st := v.r.style(a.Style)
	w, h := 2*v.gw, 4*v.gh
	if v.r.th.ASCII {
		w = v.gw
	}
	scale := float64(h-1) / (v.p.Y1 - v.p.Y0)
	for x := range w {
		lo, hi, ok := bandAt(a.Pts, v.p.X0+(v.p.X1-v.p.X0)*float64(x)/float64(w-1))
		if !ok || hi < v.p.Y0 || lo > v.p.Y1 {
			continue
		}
		y0 := int(math.Round((v.p.Y1 - math.Min(hi, v.p.Y1)) * scale))
		y1 := int(math.Round((v.p.Y1 - math.Max(lo, v.p.Y0)) * scale))
		for y := max(y0, 0); y <= min(y1, h-1); y++ {
			switch {
			case v.r.th.ASCII && a.speckledCell(x, y/4):
				v.r.set(v.left+x, v.top+y/4, '.', st)
			case !v.r.th.ASCII && a.speckledDot(x, y):
				v.r.dot(v.left, v.top, x, y, st)
			}
		}
	}
}

// speckledDot picks the dots of an area: one in every second row and fourth
// column, or for a faint one two in every fourth row and eighth column.
func (a Area) speckledDot(x, y int) bool {
	if a.Faint {
		return y%4 == 2 && (x+y)%4 == 2
	}
	return y%2 == 1 && (x+y)%4 == 1
}

// speckledCell picks its cells in ASCII mode: one in four, or in eight.
func (a Area) speckledCell(x, row int) bool {
	if a.Faint {
		return (x+4*row)%8 == 0
	}
	return (x+2*row)%4 == 0
}

// bandAt interpolates a band; false where it has nothing to say.
func bandAt(pts []Span2, x float64) (lo, hi float64, ok bool) {
	for i := 1; i < len(pts); i++ {
		a, b := pts[i-1], pts[i]
		if x < a.X || x > b.X || !(b.X > a.X) {
			continue
		}
		f := (x - a.X) / (b.X - a.X)
		lo, hi = a.Lo+f*(b.Lo-a.Lo), a.Hi+f*(b.Hi-a.Hi)
		return lo, hi, finite(lo) && finite(hi) && lo <= hi
	}
	return 0, 0, false
}

package ui

import (
	"strings"

	"github.com/charmbracelet/lipgloss"
)

// raster is a grid of cells with a style each. Styles are kept by number, so
// that a row is written in runs of one style instead of cell by cell.
type raster struct {
	th     Theme
	w, h   int
	cells  []cell
	styles [][2]string // what comes before and after a run
}

type cell struct {
	r     rune
	style int
	words bool // part of a text: not drawn over
}

func newRaster(w, h int, th Theme) *raster {
	return &raster{th: th, w: w, h: h, cells: make([]cell, w*h), styles: make([][2]string, 1)}
}

// style gives a style its number. Rendering is slow, so a style is rendered
// once around a mark and split there.
func (r *raster) style(s lipgloss.Style) int {
	before, after, _ := strings.Cut(s.Render("x"), "x")
	r.styles = append(r.styles, [2]string{before, after})
	return len(r.styles) - 1
}

func (r *raster) at(x, y int) *cell {
	if x < 0 || y < 0 || x >= r.w || y >= r.h {
		return nil
	}
	return &r.cells[y*r.w+x]
}

func (r *raster) set(x, y int, c rune, style int) {
	if p := r.at(x, y); p != nil && !p.words {
		*p = cell{r: c, style: style}
	}
}

// under draws only where nothing is yet.
func (r *raster) under(x, y int, c rune, style int) {
	if p := r.at(x, y); p != nil && p.r == 0 {
		*p = cell{r: c, style: style}
	}
}

func (r *raster) text(x, y int, s string, style int) {
	for _, c := range s {
		if p := r.at(x, y); p != nil {
			*p = cell{r: c, style: style, words: true}
		}
		x++
	}
}

// free tells whether no words stand in n cells from x.
func (r *raster) free(x, y, n int) bool {
	for i := range n {
		if p := r.at(x+i, y); p == nil || p.words {
			return false
		}
	}
	return true
}

// dot sets one of the dots of a cell, 2 columns of 4, counted from left and
// top. Dots of several curves in one cell are joined and take the last style.
func (r *raster) dot(left, top, x, y, style int) {
	p := r.at(left+x/2, top+y/4)
	if p == nil || p.words {
		return
	}
	if p.r&^0xff != noDots {
		p.r = noDots
	}
	p.r |= rune(dots[4*(x%2)+y%4])
	p.style = style
}

// noDots is the sign without a dot; the lower 8 bits of the others are their
// dots (The Unicode Standard, Braille Patterns, U+2800 to U+28FF).
const noDots = '\u2800'

// dots are the bits of the dots, from the top, of the left and then of the right column.
const dots = "\x01\x02\x04\x40\x08\x10\x20\x80"

// lines writes the rows without trailing blanks.
func (r *raster) lines() []string {
	out := make([]string, r.h)
	for y := range out {
		row := r.cells[y*r.w : (y+1)*r.w]
		for len(row) > 0 && row[len(row)-1].r == 0 {
			row = row[:len(row)-1]
		}
		out[y] = r.row(row)
	}
	return out
}

func (r *raster) row(row []cell) string {
	var b strings.Builder
	b.Grow(3 * len(row)) // bytes of a line or a pattern of dots
	style := 0
	for _, c := range row {
		if c.r == 0 {
			c = cell{r: ' '}
		}
		if c.style != style {
			b.WriteString(r.styles[style][1])
			b.WriteString(r.styles[c.style][0])
			style = c.style
		}
		b.WriteRune(c.r)
	}
	b.WriteString(r.styles[style][1])
	return b.String()
}

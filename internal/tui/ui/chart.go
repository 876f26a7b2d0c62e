package ui

import (
	"math"
	"strings"

	"github.com/NimbleMarkets/ntcharts/canvas"
	"github.com/NimbleMarkets/ntcharts/canvas/graph"
	"github.com/NimbleMarkets/ntcharts/linechart"
	"github.com/charmbracelet/lipgloss"
)

// Pt is a place on a chart in its own units. A Y that is not finite is a gap.
type Pt struct{ X, Y float64 }

// Line is one curve.
type Line struct {
	Pts   []Pt
	On    int  // dots drawn, then
	Off   int  // dots left out; both 0 = solid
	Char  rune // in ASCII mode
	Mark  rune // put on the line every few columns, so that it is known without colour; 0 = none
	Style lipgloss.Style
}

// Flag is a moment on the time axis with a short label.
type Flag struct {
	X     float64
	Label string
	Char  rune // of the vertical line; 0 = dotted
	Style lipgloss.Style
}

// Note is a word at the right edge, at height Y.
type Note struct {
	Y     float64
	Text  string
	Style lipgloss.Style
}

// Plot is a chart of W by H cells. Later things are drawn over earlier ones:
// areas, lines in order, flags, notes.
type Plot struct {
	W, H   int
	Gutter int // cells for the labels of the Y axis, so that charts align
	Margin int // cells for the notes at the right; 0 = they stand on the chart
	X0, X1 float64
	Y0, Y1 float64
	YTick  func(v, step float64) string // label of a round value
	NoX    bool                         // leave out the time axis
	Areas  []Area
	Lines  []Line
	Flags  []Flag
	Notes  []Note
}

// far is beyond anything worth drawing; larger numbers would overflow on the way to a cell.
const far = 1e15

func finite(v float64) bool { return !math.IsNaN(v) && math.Abs(v) < far }

// Render draws the chart into exactly H lines of at most W cells. A plot that
// is too small or has no range comes back empty.
func (p Plot) Render(th Theme) []string {
	axis := 2
	if p.NoX {
		axis = 0
	}
	gw, gh := p.W-p.Gutter-1-p.Margin, p.H-axis
	ok := finite(p.X0) && finite(p.X1) && finite(p.Y0) && finite(p.Y1) && p.X1 > p.X0 && p.Y1 > p.Y0
	if gw < 4 || gh < 1 || p.Gutter < 1 || !ok {
		return Block(nil, p.W, p.H)
	}
	r := newRaster(p.W, p.H, th)
	left, top := p.axes(r, gw, gh)
	v := view{p: p, r: r, left: left, top: top, gw: gw, gh: gh}
	for _, a := range p.Areas {
		v.area(a)
	}
	for _, l := range p.Lines {
		v.line(l)
	}
	for i, f := range p.Flags {
		v.flag(f, i, p.Flags)
	}
	for _, n := range p.Notes {
		v.note(n)
	}
	return r.lines()
}

// axes lets the line chart of the library draw the axes with our labels on
// round values and copies their cells. Its cells are large, so it draws one
// narrow chart for the pressure axis and one low chart for the time axis
// instead of a full one. It returns where the plot area begins.
func (p Plot) axes(r *raster, gw, gh int) (left, top int) {
	yl := p.yLabels(gh)
	blank := Pad("", p.Gutter)
	label := linechart.WithYLabelFormatter(func(i int, _ float64) string {
		if s, ok := yl[i]; ok {
			return s
		}
		return blank
	})
	none := linechart.WithXLabelFormatter(func(int, float64) string { return "" })
	if p.NoX {
		lc := linechart.New(p.Gutter+3, p.H, p.X0, p.X1, p.Y0, p.Y1, linechart.WithXYSteps(0, 1), none, label)
		o := p.copyAxis(r, lc, p.Gutter+1, 0, 0)
		ticks(r, o, nil, yl)
		return o.X + 1, 0
	}
	lc := linechart.New(p.Gutter+3, p.H, p.X0, p.X1, p.Y0, p.Y1, linechart.WithXYSteps(1, 1), none, label)
	o := p.copyAxis(r, lc, p.Gutter+1, 0, 0)
	xl := xLabels(p.X0, p.X1, gw)
	wide := p.W - p.Margin
	lc = linechart.New(wide, 3, p.X0, p.X1, p.Y0, p.Y1, linechart.WithXYSteps(1, 1),
		linechart.WithXLabelFormatter(func(i int, _ float64) string { return xl[i-1] }),
		linechart.WithYLabelFormatter(func(int, float64) string { return blank }))
	p.copyAxis(r, lc, wide, 1, p.H-3)
	ticks(r, o, xl, yl)
	return o.X + 1, o.Y - gh
}

// copyAxis draws the axes of lc and copies the first w columns of them, from
// its row from on, to the raster, shifted down. It returns the origin in lc.
func (p Plot) copyAxis(r *raster, lc linechart.Model, w, from, down int) canvas.Point {
	lc.DrawXYAxisAndLabel()
	dim := r.style(r.th.Dim)
	for y := from; y < lc.Height(); y++ {
		for x := range w {
			if c := lc.Canvas.Cell(canvas.Point{X: x, Y: y}).Rune; c != 0 && c != ' ' {
				r.set(x, y+down, axisRune(r.th, c), dim)
			}
		}
	}
	return lc.Origin()
}

// ticks marks on the axes where the labels belong.
func ticks(r *raster, o canvas.Point, xl, yl map[int]string) {
	dim := r.style(r.th.Dim)
	for i := range yl {
		r.set(o.X, o.Y-i, r.th.Pick('┤', '+'), dim)
	}
	for c := range xl {
		r.set(o.X+1+c, o.Y, r.th.Pick('┴', '+'), dim)
	}
}

func axisRune(th Theme, c rune) rune {
	if !th.ASCII {
		return c
	}
	switch c {
	case '│':
		return '|'
	case '─':
		return '-'
	case '└':
		return '+'
	}
	return c
}

// yLabels maps the row above the axis (1 = lowest) to the label of the round
// value in it: where three rows have room, at least two of them.
func (p Plot) yLabels(gh int) map[int]string {
	step := decimalSteps((p.Y1 - p.Y0) / float64(max(2*gh/5, 1)))
	out := p.labelsAt(step, gh)
	for n := 0; len(out) < 2 && gh >= 3 && n < 3; n++ {
		step = decimalSteps(step / 2.5)
		out = p.labelsAt(step, gh)
	}
	return out
}

// labelsAt are the labels of the multiples of step.
func (p Plot) labelsAt(step float64, gh int) map[int]string {
	out := map[int]string{}
	base := 1
	if p.NoX {
		base = 0
	}
	for k := math.Ceil(p.Y0/step - 1e-9); k*step <= p.Y1*(1+1e-12)+step*1e-9 && len(out) < gh; k++ {
		dot := (k*step - p.Y0) / (p.Y1 - p.Y0) * float64(4*gh-1)
		row := base + int(math.Round(dot))/4
		label := Cut(p.YTick(k*step, step), p.Gutter)
		out[row] = strings.Repeat(" ", p.Gutter-Width(label)) + label
	}
	return out
}

// view maps the units of a plot to the cells of its area.
type view struct {
	p         Plot
	r         *raster
	left, top int
	gw, gh    int
}

func (v view) line(l Line) {
	st := v.r.style(l.Style)
	pts := decimate(l.Pts, v.p.X0, v.p.X1, 2*v.gw)
	if v.r.th.ASCII {
		v.asciiLine(pts, l, st)
		return
	}
	n := 0
	v.trace(pts, 2*v.gw, 4*v.gh, func(x, y int) {
		if l.On == 0 || n%(l.On+l.Off) < l.On {
			v.r.dot(v.left, v.top, x, y, st)
		}
		n++
	})
	v.marks(pts, l, st)
}

func (v view) asciiLine(pts []Pt, l Line, st int) {
	v.trace(pts, v.gw, 4*v.gh, func(x, y int) {
		if l.On > 0 && x%2 == 1 { // every second column of a broken line is left out
			return
		}
		v.r.set(v.left+x, v.top+y/4, l.Char, st)
	})
	v.marks(pts, l, st)
}

// marks puts the line's sign on it every eight columns.
func (v view) marks(pts []Pt, l Line, st int) {
	if l.Mark == 0 {
		return
	}
	v.trace(pts, v.gw, 4*v.gh, func(x, y int) {
		if x%8 == 5 {
			v.r.set(v.left+x, v.top+y/4, l.Mark, st)
		}
	})
}

// trace calls dot for every dot of the polyline on a grid of w by h dots,
// clipped to the plot, broken at gaps. A point between two gaps is one dot.
func (v view) trace(pts []Pt, w, h int, dot func(x, y int)) {
	sx, sy := float64(w-1)/(v.p.X1-v.p.X0), float64(h-1)/(v.p.Y1-v.p.Y0)
	at := func(q Pt) canvas.Point {
		x := min(max(int(math.Round((q.X-v.p.X0)*sx)), 0), w-1)
		y := min(max(int(math.Round((v.p.Y1-q.Y)*sy)), 0), h-1)
		return canvas.Point{X: x, Y: y}
	}
	for i, q := range pts {
		if !finite(q.X) || !finite(q.Y) {
			continue
		}
		joined := i > 0 && finite(pts[i-1].X) && finite(pts[i-1].Y)
		next := i+1 < len(pts) && finite(pts[i+1].X) && finite(pts[i+1].Y)
		if !joined {
			if !next && v.inside(q) {
				c := at(q)
				dot(c.X, c.Y)
			}
			continue
		}
		a, b, ok := v.clip(pts[i-1], q)
		if !ok {
			continue
		}
		for _, c := range graph.GetLinePoints(at(a), at(b)) {
			dot(c.X, c.Y)
		}
	}
}

func (v view) inside(q Pt) bool {
	return q.X >= v.p.X0 && q.X <= v.p.X1 && q.Y >= v.p.Y0 && q.Y <= v.p.Y1
}

// clip cuts a segment to the plot: the part of it whose parameter t in 0..1
// satisfies the four edges (the parametric clipping of Liang and Barsky, from memory).
func (v view) clip(a, b Pt) (Pt, Pt, bool) {
	dx, dy := b.X-a.X, b.Y-a.Y
	t0, t1 := 0.0, 1.0
	for _, e := range [4][2]float64{{-dx, a.X - v.p.X0}, {dx, v.p.X1 - a.X}, {-dy, a.Y - v.p.Y0}, {dy, v.p.Y1 - a.Y}} {
		switch d, q := e[0], e[1]; {
		case d == 0 && q < 0:
			return a, b, false
		case d < 0:
			t0 = math.Max(t0, q/d)
		case d > 0:
			t1 = math.Min(t1, q/d)
		}
	}
	if t0 > t1 {
		return a, b, false
	}
	return Pt{a.X + t0*dx, a.Y + t0*dy}, Pt{a.X + t1*dx, a.Y + t1*dy}, true
}

// flag draws a moment: a vertical line, and its label on the time axis, as many words as the next flag leaves room for.
func (v view) flag(f Flag, i int, all []Flag) {
	x, ok := v.column(f.X)
	if !ok {
		return
	}
	st := v.r.style(f.Style)
	c := f.Char
	if c == 0 {
		c = v.r.th.Pick('┊', ':')
	}
	for y := range v.gh {
		v.r.under(v.left+x, v.top+y, c, st)
	}
	row := v.top + v.gh // the axis
	if v.p.NoX {
		row = v.top
	}
	room := v.gw - x - 1
	for j, o := range all {
		if ox, ok := v.column(o.X); ok && j != i && ox > x {
			room = min(room, ox-x-1)
		}
	}
	v.r.text(v.left+x, row, string(v.r.th.Pick('▴', '^')), st)
	if n := Width(f.Label); n > room && x > n && v.r.free(v.left+x-n, row, n) {
		v.r.text(v.left+x-n, row, f.Label, st)
		return
	}
	v.r.text(v.left+x+1, row, wholeWords(f.Label, room), st)
}

// wholeWords is the beginning of a text, as many whole words as fit into w cells.
func wholeWords(text string, w int) string {
	if first, _, _ := strings.Cut(text, " "); Width(first) > w {
		return ""
	}
	return Joined(strings.Fields(text), " ", w)
}

func (v view) column(x float64) (int, bool) {
	if !finite(x) || x < v.p.X0 || x > v.p.X1 {
		return 0, false
	}
	return int((x - v.p.X0) / (v.p.X1 - v.p.X0) * float64(v.gw-1)), true
}

// note writes a word at the right edge, in the margin if there is one, at its height if the row is still free there.
func (v view) note(n Note) {
	if !finite(n.Y) || n.Y < v.p.Y0 || n.Y > v.p.Y1 || Width(n.Text) > v.gw/2 {
		return
	}
	y := int(math.Round((v.p.Y1-n.Y)/(v.p.Y1-v.p.Y0)*float64(4*v.gh-1))) / 4
	x := v.left + v.gw + v.p.Margin - Width(n.Text)
	if v.p.Margin > Width(n.Text) {
		x = v.left + v.gw + 1
	}
	for _, row := range []int{y, y + 1, y - 1} {
		if row >= 0 && row < v.gh && v.r.free(x, v.top+row, Width(n.Text)) {
			v.r.text(x, v.top+row, n.Text, v.r.style(n.Style))
			return
		}
	}
}

package holdscreen

import (
	"math"

	"example.org/holdfast/internal/hold"
	"example.org/holdfast/internal/tui/ui"
)

// gutter is the width of the labels of the pressure axis, margin that of the words at the right.
const (
	gutter = 9
	margin = 9
)

// picture is the drawn chart of one State at one size: it changes once per record, not four times a second.
type picture struct {
	st    *hold.State
	w, h  int
	raw   bool
	lens  lens
	unit  string
	lines []string
}

// picture draws legend, pressure and temperature into exactly h lines of at most w cells.
func (m *Model) picture(w, h int) []string {
	if m.st == nil {
		return ui.Block(nil, w, h)
	}
	unit := m.unit().Name
	if c := m.cache; c.st == m.st && c.w == w && c.h == h && c.raw == m.raw && c.lens == m.lens && c.unit == unit {
		return c.lines
	}
	legend, temp := 0, 0
	if h >= 8 || m.lens.on && h >= 4 {
		legend = 1
	}
	if m.hasTemperature() && h >= 10 {
		temp = min(max(h/6, 2), 8)
	}
	var lines []string
	if legend > 0 {
		lines = append(lines, m.legend(w))
	}
	x0, x1 := m.shownRange()
	lines = append(lines, m.pressurePlot(w, h-legend-temp, x0, x1).Render(m.th)...)
	if temp > 0 {
		lines = append(lines, m.temperaturePlot(w, temp, x0, x1).Render(m.th)...)
	}
	m.cache = picture{m.st, w, h, m.raw, m.lens, unit, lines}
	return lines
}

// timeRange is the span of the time axis, s since the segment's start.
func (m *Model) timeRange() (x0, x1 float64) {
	x1 = math.Max(m.st.HoldFor, 60)
	if n := len(m.st.Curve); n > 0 {
		x0 = math.Min(m.st.Curve[0].T, 0)
		x1 = math.Max(x1, m.st.Curve[n-1].T)
	}
	return x0, x1
}

// legend names the lines in words, each with the sign it has in the chart.
func (m *Model) legend(w int) string {
	th := m.th
	if m.lens.on {
		return ui.Cut(m.readOff(), w)
	}
	if m.vacuum() {
		return ui.Pad(m.unit().Name, gutter+1) + m.vacuumLegend(w-gutter-1)
	}
	items := []string{th.Say("⣿", "o") + " corrected", th.Calm.Render(th.Say("─", "-")) + " fit"}
	if m.raw {
		items = append(items, th.Dim.Render(th.Say("⠂", "'"))+" raw")
	}
	if len(m.st.LimitLine) > 0 {
		items = append(items, th.Alarm.Render("x")+" leak at the limit")
	}
	if len(m.st.Projection) > 0 {
		items = append(items, th.Calm.Render(th.Say("╌", "="))+" projected, dots: 95 %")
	}
	return ui.Pad(m.unit().Name, gutter+1) + ui.Joined(items, "  ", w-gutter-1)
}

// pressurePlot is the picture that decides: the curve between "no leak" and "leak at the limit".
func (m *Model) pressurePlot(w, h int, x0, x1 float64) ui.Plot {
	st, th := m.st, m.th
	y0, y1 := m.pressureRange(x0, x1)
	p := ui.Plot{W: w, H: h, Gutter: gutter, Margin: margin, X0: x0, X1: x1, Y0: y0, Y1: y1,
		YTick: func(v, step float64) string { return ui.Number(v, ui.StepDecimals(step)) }}
	m.wedge(&p)
	band := make([]ui.Span2, len(st.Projection))
	mid := make([]ui.Pt, len(st.Projection))
	for i, b := range st.Projection {
		band[i] = ui.Span2{X: b.T, Lo: m.shown(b.Lo), Hi: m.shown(b.Hi)}
		mid[i] = ui.Pt{X: b.T, Y: m.shown(b.Mid)}
	}
	p.Areas = append(p.Areas, ui.Area{Pts: band, Style: th.Dim})
	if m.raw {
		p.Lines = append(p.Lines, ui.Line{Pts: m.rawPoints(), On: 1, Off: 1, Char: '\'', Style: th.Dim})
	}
	if m.vacuum() {
		m.vacuumLines(&p, x1)
	}
	data, fit := m.curves()
	p.Lines = append(p.Lines,
		ui.Line{Pts: mid, On: 3, Off: 3, Char: '=', Style: th.Calm},
		ui.Line{Pts: data, Char: 'o', Style: th.Plain},
		ui.Line{Pts: fit, Char: '-', Style: th.Calm})
	p.Flags = m.flags()
	return p
}

// wedge draws what tells tight from leaking without a number: the level of no
// leak, the line of a leak at the limit, the ground between them, and the words
// for both sides at the right edge.
func (m *Model) wedge(p *ui.Plot) {
	th := m.th
	level, ok := m.tightLevel()
	if !ok {
		return
	}
	p.Lines = append(p.Lines, ui.Line{Pts: []ui.Pt{{X: math.Max(p.X0, 0), Y: level}, {X: p.X1, Y: level}}, On: 1, Off: 3, Char: '.', Style: th.Dim})
	p.Notes = append(p.Notes, ui.Note{Y: level, Text: "no leak", Style: th.Dim})
	n := len(m.st.LimitLine)
	if n == 0 {
		return
	}
	limit := make([]ui.Pt, n)
	between := make([]ui.Span2, n)
	for i, q := range m.st.LimitLine {
		limit[i] = ui.Pt{X: q.T, Y: m.shown(q.P)}
		between[i] = ui.Span2{X: q.T, Lo: limit[i].Y, Hi: level}
	}
	p.Areas = append(p.Areas, ui.Area{Pts: between, Faint: true, Style: th.Calm})
	p.Lines = append(p.Lines, ui.Line{Pts: limit, On: 2, Off: 2, Char: 'x', Mark: 'x', Style: th.Alarm})
	end := limit[n-1].Y
	p.Notes = append(p.Notes, ui.Note{Y: end, Text: "limit", Style: th.Alarm})
	row := (p.Y1 - p.Y0) / float64(max(p.H-2, 1))
	if level-end > 2.5*row {
		p.Notes = append(p.Notes, ui.Note{Y: (level + end) / 2, Text: "tight", Style: th.Calm})
	}
	p.Notes = append(p.Notes, ui.Note{Y: end - 1.5*row, Text: "leaking", Style: th.Alarm})
}

// tightLevel is where the corrected pressure would stay without a leak: where
// the limit line begins, or else the fit, traced back to the start.
func (m *Model) tightLevel() (float64, bool) {
	if !m.st.Estimate.Valid {
		return 0, false
	}
	if l := m.st.LimitLine; len(l) > 0 && l[0].T == 0 {
		return m.shown(l[0].P), true
	}
	for _, c := range m.st.Curve {
		if c.Fit > 0 {
			return m.shown(c.Fit + m.st.Estimate.Rate.Value*c.T), true
		}
	}
	return 0, false
}

// curves are the corrected pressure and the fit, broken at gaps.
func (m *Model) curves() (data, fit []ui.Pt) {
	data = make([]ui.Pt, 0, len(m.st.Curve)+8)
	fit = make([]ui.Pt, 0, len(m.st.Curve)+8)
	for _, c := range m.st.Curve {
		if c.Gap {
			data = append(data, ui.Pt{X: c.T, Y: math.NaN()})
			fit = append(fit, ui.Pt{X: c.T, Y: math.NaN()})
		}
		data = append(data, ui.Pt{X: c.T, Y: m.place(c.Corrected)})
		fit = append(fit, ui.Pt{X: c.T, Y: m.place(c.Fit)})
	}
	return data, fit
}

// place is the height of an absolute pressure on the chart; 0 in the State means that there is none.
func (m *Model) place(pa float64) float64 {
	if pa == 0 {
		return math.NaN()
	}
	return m.shown(pa)
}

func (m *Model) rawPoints() []ui.Pt {
	pts := make([]ui.Pt, 0, 2*len(m.st.Curve))
	for _, c := range m.st.Curve {
		if c.Gap {
			pts = append(pts, ui.Pt{X: c.T, Y: math.NaN()})
		}
		pts = append(pts, ui.Pt{X: c.T, Y: m.place(c.RawMin)}, ui.Pt{X: c.T, Y: m.place(c.RawMax)})
	}
	return pts
}

// pressureRange fits the axis to what is shown from x0 to x1: the curve, the fit
// and the limit; the projection may widen it to five times that and its band to
// twice, so that an early, wide band does not press the rest flat. It is never
// so narrow that noise fills it. A part of the curve that is looked at closely
// has the axis to itself.
func (m *Model) pressureRange(x0, x1 float64) (y0, y1 float64) {
	r := m.curveSpan(x0, x1)
	alone := m.lens.narrow()
	if level, ok := m.tightLevel(); ok && !alone {
		r.add(level)
		for _, q := range m.st.LimitLine {
			r.add(m.shown(q.P))
		}
	}
	if r.empty() && m.st.HasPressure {
		r.add(m.shown(float64(m.st.Pressure)))
	}
	if m.vacuum() && !r.empty() && !alone {
		return m.vacuumRange(r)
	}
	if r.empty() {
		return 0, 1
	}
	least := math.Max(4*m.step(), 3e-4*float64(m.st.Pressure)) / m.unit().Pa
	r.widen(least)
	if !alone {
		m.ahead(&r)
	}
	pad := 0.06 * (r.hi - r.lo)
	return r.lo - pad, r.hi + pad
}

// curveSpan is what the curves of the part shown reach.
func (m *Model) curveSpan(x0, x1 float64) span {
	r := newSpan()
	for _, c := range m.st.Curve {
		if !(c.T >= x0 && c.T <= x1) {
			continue
		}
		r.add(m.place(c.Corrected))
		r.add(m.place(c.Fit))
		if m.raw {
			r.add(m.place(c.RawMin))
			r.add(m.place(c.RawMax))
		}
	}
	return r
}

// ahead widens a range to the projection, within bounds.
func (m *Model) ahead(r *span) {
	room := r.hi - r.lo
	lo, hi := r.lo, r.hi
	within := func(pa, most float64) { r.add(math.Min(math.Max(m.shown(pa), lo-most), hi+most)) }
	for _, b := range m.st.Projection {
		within(b.Mid, 2*room)
		within(b.Lo, room/2)
		within(b.Hi, room/2)
	}
}

// flags are the marks of this segment at their times.
func (m *Model) flags() []ui.Flag {
	var out []ui.Flag
	for _, k := range m.st.Marks {
		if k.Segment == m.st.Segment {
			out = append(out, ui.Flag{X: k.Elapsed - m.st.SegmentStart, Label: clean(k.Text), Style: m.th.Plain})
		}
	}
	if t := m.st.RangAt; t > 0 && len(m.st.Curve) > 0 {
		out = append(out, ui.Flag{X: t, Label: "leak called", Style: m.th.Alarm})
	}
	if m.lens.on {
		out = append(out, ui.Flag{X: m.lens.at, Char: m.th.Pick('│', '|'), Style: m.th.Strong})
	}
	return out
}

func (m *Model) hasTemperature() bool {
	for _, c := range m.st.Curve {
		if c.Ambient > 0 || c.Section > 0 {
			return true
		}
	}
	return false
}

// temperaturePlot is the strip below, on the same time axis, in degrees Celsius.
func (m *Model) temperaturePlot(w, h int, x0, x1 float64) ui.Plot {
	var air, part []ui.Pt
	r := newSpan()
	add := func(pts []ui.Pt, t, k float64, gap bool) []ui.Pt {
		v := math.NaN()
		if k > 0 {
			v = k - 273.15
		}
		if t >= x0 && t <= x1 {
			r.add(v)
		}
		if gap {
			pts = append(pts, ui.Pt{X: t, Y: math.NaN()})
		}
		return append(pts, ui.Pt{X: t, Y: v})
	}
	for _, c := range m.st.Curve {
		air = add(air, c.T, c.Ambient, c.Gap)
		part = add(part, c.T, c.Section, c.Gap)
	}
	if r.empty() {
		r.add(0)
	}
	r.widen(1)
	p := ui.Plot{W: w, H: h, Gutter: gutter, Margin: margin, X0: x0, X1: x1, Y0: r.lo, Y1: r.hi, NoX: true,
		YTick: func(v, step float64) string { return ui.Number(v, ui.StepDecimals(step)) + " C" }}
	p.Lines = []ui.Line{{Pts: part, On: 1, Off: 1, Char: 'p', Style: m.th.Plain}, {Pts: air, Char: 'a', Style: m.th.Plain}}
	p.Notes = []ui.Note{lastNote(air, "air"), lastNote(part, "part")}
	return p
}

// lastNote names a curve at the height where it ends.
func lastNote(pts []ui.Pt, name string) ui.Note {
	for i := len(pts) - 1; i >= 0; i-- {
		if !math.IsNaN(pts[i].Y) {
			return ui.Note{Y: pts[i].Y, Text: name}
		}
	}
	return ui.Note{Y: math.NaN()}
}

// span is a range that grows with what is added; what is not finite is left out.
type span struct{ lo, hi float64 }

func newSpan() span { return span{math.Inf(1), math.Inf(-1)} }

func (s *span) add(v float64) {
	if math.IsNaN(v) || math.Abs(v) > 1e12 {
		return
	}
	s.lo, s.hi = math.Min(s.lo, v), math.Max(s.hi, v)
}

func (s *span) empty() bool { return s.lo > s.hi }

// widen makes the range at least so wide, about its middle.
func (s *span) widen(least float64) {
	if d := least - (s.hi - s.lo); d > 0 {
		s.lo, s.hi = s.lo-d/2, s.hi+d/2
	}
}

package report

import (
	"fmt"
	"math"
	"strings"
	"time"

	"example.org/holdfast/internal/decay"
	"example.org/holdfast/internal/hold"
	"example.org/holdfast/internal/units"
)

// Chart is a drawing in its own coordinates, ready for a template: all text in
// it is still to be escaped.
type Chart struct {
	W, H   float64
	Says   string // what it shows, for who cannot see it
	Panels []Panel
	Times  []Tick
	Flags  []Tick // marks, numbered as in the list of marks
	Gaps   []Rect
	Keys   []Key
}

// Panel is one pair of axes.
type Panel struct {
	Rect
	Title  string
	Ticks  []Tick
	Shapes []Shape
	Notes  []Tick
}

// Rect is a place on the drawing.
type Rect struct{ X, Y, W, H float64 }

// Tick is a place with a text.
type Tick struct {
	X, Y float64
	Text string
}

// Shape is a line, an area or a cloud of points.
type Shape struct {
	Class  string
	Area   bool
	Points string
}

// Key explains a class.
type Key struct{ Class, Text string }

// The drawing, in its own units: it is stretched to the width of the page.
const (
	chartW, chartLeft, chartRight = 720.0, 62.0, 66.0
	pressureTop, pressureH        = 22.0, 230.0
	temperatureTop, temperatureH  = 276.0, 62.0
	axisH                         = 34.0
)

// drawing turns times and values into places.
type drawing struct {
	st     *hold.State
	x0, x1 float64 // s since the segment's start
	chart  *Chart
}

// chartOf draws the hold; nil where there is nothing to draw.
func chartOf(st *hold.State) *Chart {
	if len(st.Curve) < 2 {
		return nil
	}
	d := &drawing{st: st, chart: &Chart{W: chartW, H: pressureTop + pressureH + axisH}}
	d.x0 = math.Min(st.Curve[0].T, 0)
	d.x1 = math.Max(st.Curve[len(st.Curve)-1].T, 60)
	if st.Rise == nil {
		d.x1 = math.Max(d.x1, st.HoldFor) // as far as the line of the limit goes
	}
	d.chart.Says = "Pressure over time"
	if st.Rise != nil {
		d.vacuum()
	} else {
		d.pressure()
	}
	d.temperature()
	d.times()
	d.flags()
	return d.chart
}

func (d *drawing) x(t float64) float64 {
	return chartLeft + (t-d.x0)/(d.x1-d.x0)*(chartW-chartLeft-chartRight)
}

// scale places values on one panel.
type scale struct{ top, height, lo, hi float64 }

func (s scale) y(v float64) float64 { return s.top + s.height*(1-(v-s.lo)/(s.hi-s.lo)) }

// within cuts a place at the edge of its panel.
func (s scale) within(v float64) float64 {
	return s.y(math.Min(math.Max(v, s.lo), s.hi))
}

// around makes a scale that holds the values with some air.
func around(top, height, least float64, values ...float64) scale {
	lo, hi := math.Inf(1), math.Inf(-1)
	for _, v := range values {
		lo, hi = math.Min(lo, v), math.Max(hi, v)
	}
	if hi-lo < least {
		mid := (lo + hi) / 2
		lo, hi = mid-least/2, mid+least/2
	}
	air := 0.06 * (hi - lo)
	return scale{top, height, lo - air, hi + air}
}

// shown turns an absolute pressure into the gauge pressure of the words.
func shown(st *hold.State, pa float64) float64 {
	_, per := pressureUnit(st)
	return float64(units.Absolute(pa).Gauge(st.Atmosphere)) / per
}

func pressureUnit(st *hold.State) (name string, pa float64) {
	name = st.Header.Settings.Display
	if pa, _, _, err := units.PressureUnit(name); name != "" && err == nil {
		return name, pa
	}
	return "bar", 1e5
}

func (d *drawing) pressure() {
	st := d.st
	name, per := pressureUnit(st)
	var values []float64
	for _, p := range st.Curve {
		values = append(values, shown(st, p.Corrected))
	}
	for _, q := range st.LimitLine {
		if q.T <= d.x1 {
			values = append(values, shown(st, q.P))
		}
	}
	s := around(pressureTop, pressureH, 100/per, values...)
	p := Panel{Rect: Rect{chartLeft, s.top, chartW - chartLeft - chartRight, s.height}, Title: "pressure, " + name + " gauge, at the temperature of the start", Ticks: ticks(s)}
	d.key("data", "corrected pressure")
	if len(st.LimitLine) > 1 {
		d.key("limit", "leak at the limit: what is tight stays above it")
		p.Shapes = append(p.Shapes, d.wedge(s)...)
		end := st.LimitLine[len(st.LimitLine)-1]
		p.Notes = append(p.Notes, Tick{chartW - chartRight + 4, s.within(shown(st, end.P)) + 3, "limit"})
		p.Notes = append(p.Notes, Tick{chartW - chartRight + 4, s.within(shown(st, st.LimitLine[0].P)) + 3, "no leak"})
	}
	if band := d.band(s); band.Points != "" {
		d.key("band", "95 % interval of the fit")
		p.Shapes = append(p.Shapes, band)
	}
	for _, run := range runs(st.Curve) {
		p.Shapes = append(p.Shapes, Shape{Class: "data", Points: d.line(run, s, func(q decay.Point) float64 { return shown(st, q.Corrected) })})
	}
	if st.Estimate.Valid {
		d.key("fit", "fit")
		p.Shapes = append(p.Shapes, Shape{Class: "fit", Points: d.line(fitted(st.Curve), s, func(q decay.Point) float64 { return shown(st, q.Fit) })})
	}
	d.chart.Panels = append(d.chart.Panels, p)
}

func (d *drawing) key(class, text string) { d.chart.Keys = append(d.chart.Keys, Key{class, text}) }

// wedge is the place between no leak and a leak at the limit.
func (d *drawing) wedge(s scale) []Shape {
	top := s.within(shown(d.st, d.st.LimitLine[0].P))
	var line []string
	end := d.x0
	for _, q := range d.st.LimitLine {
		if q.T <= d.x1 {
			line, end = append(line, point(d.x(q.T), s.within(shown(d.st, q.P)))), q.T
		}
	}
	if len(line) < 2 {
		return nil
	}
	edge := point(d.x(end), top) + " " + point(d.x(d.st.LimitLine[0].T), top)
	return []Shape{
		{Class: "wedge", Area: true, Points: strings.Join(line, " ") + " " + edge},
		{Class: "none", Points: edge},
		{Class: "limit", Points: strings.Join(line, " ")},
	}
}

// band is the fan of the leak's interval, from the start of the hold.
func (d *drawing) band(s scale) Shape {
	e := d.st.Estimate
	fit := fitted(d.st.Curve)
	if !e.Valid || len(fit) < 2 {
		return Shape{}
	}
	from := math.Max(e.OpenedAt, fit[0].T)
	var upper, lower []string
	for _, q := range fit {
		if q.T < from {
			continue
		}
		dt := q.T - from
		upper = append(upper, point(d.x(q.T), s.within(shown(d.st, q.Fit+dt*(e.Rate.Value-e.Rate.Lo)))))
		lower = append(lower, point(d.x(q.T), s.within(shown(d.st, q.Fit-dt*(e.Rate.Hi-e.Rate.Value)))))
	}
	for i := len(lower) - 1; i >= 0; i-- {
		upper = append(upper, lower[i])
	}
	return Shape{Class: "band", Area: true, Points: strings.Join(upper, " ")}
}

// fitted are the points for which the fit says something.
func fitted(curve []decay.Point) (out []decay.Point) {
	for _, p := range curve {
		if p.Fit > 0 {
			out = append(out, p)
		}
	}
	return out
}

// runs are the pieces of a curve between gaps.
func runs(curve []decay.Point) (out [][]decay.Point) {
	begin := 0
	for i := 1; i <= len(curve); i++ {
		if i == len(curve) || curve[i].Gap {
			out = append(out, curve[begin:i])
			begin = i
		}
	}
	return out
}

func point(x, y float64) string { return fmt.Sprintf("%.1f,%.1f", x, y) }

func (d *drawing) line(curve []decay.Point, s scale, value func(decay.Point) float64) string {
	places := make([]string, len(curve))
	for i, p := range curve {
		places[i] = point(d.x(p.T), s.within(value(p)))
	}
	return strings.Join(places, " ")
}

// vacuum draws a rise, in Pa absolute, with what it has to meet.
func (d *drawing) vacuum() {
	st := d.st
	values := []float64{0}
	for _, p := range st.Curve {
		values = append(values, p.Raw)
	}
	most, after, err := units.ParseAcceptance(st.Header.Settings.Accept)
	if err == nil {
		values = append(values, float64(most))
	}
	s := around(pressureTop, pressureH, 1, values...)
	p := Panel{Rect: Rect{chartLeft, s.top, chartW - chartLeft - chartRight, s.height}, Title: "pressure, Pa absolute", Ticks: ticks(s)}
	d.key("data", "pressure")
	if err == nil {
		d.key("limit", "acceptance")
		y := s.y(float64(most))
		end := d.x(math.Min(after.Seconds(), d.x1))
		p.Shapes = append(p.Shapes, Shape{Class: "limit", Points: point(chartLeft, y) + " " + point(end, y)})
		p.Notes = append(p.Notes, Tick{end + 4, y + 3, "limit"})
	}
	for _, run := range runs(st.Curve) {
		p.Shapes = append(p.Shapes, Shape{Class: "data", Points: d.line(run, s, func(q decay.Point) float64 { return q.Raw })})
	}
	d.chart.Panels = append(d.chart.Panels, p)
}

// temperature draws the air, and the part where it has a thermometer.
func (d *drawing) temperature() {
	var values []float64
	var air, part []decay.Point
	for _, p := range d.st.Curve {
		if p.Ambient > 0 {
			air, values = append(air, p), append(values, units.Temperature(p.Ambient).Celsius())
		}
		if p.Section > 0 {
			part, values = append(part, p), append(values, units.Temperature(p.Section).Celsius())
		}
	}
	if len(values) == 0 {
		return
	}
	d.chart.H = temperatureTop + temperatureH + axisH
	s := around(temperatureTop, temperatureH, 1, values...)
	p := Panel{Rect: Rect{chartLeft, s.top, chartW - chartLeft - chartRight, s.height}, Title: "temperature, °C", Ticks: ticks(s)}
	for _, c := range []struct {
		class, text string
		curve       []decay.Point
		value       func(decay.Point) float64
	}{
		{"air", "air", air, func(q decay.Point) float64 { return units.Temperature(q.Ambient).Celsius() }},
		{"part", "on the part", part, func(q decay.Point) float64 { return units.Temperature(q.Section).Celsius() }},
	} {
		if len(c.curve) == 0 {
			continue
		}
		d.key(c.class, c.text)
		for _, run := range runs(c.curve) {
			p.Shapes = append(p.Shapes, Shape{Class: c.class, Points: d.line(run, s, c.value)})
		}
	}
	d.chart.Panels = append(d.chart.Panels, p)
}

// ticks are round values, three to seven of them, high panels more than low ones.
func ticks(s scale) (out []Tick) {
	most := math.Max(s.height/36, 2)
	step := math.Pow(10, math.Floor(math.Log10((s.hi-s.lo)/most)))
	for _, k := range []float64{1, 2, 5, 10} {
		if (s.hi-s.lo)/(k*step) <= most {
			step *= k
			break
		}
	}
	decimals := int(math.Max(0, -math.Floor(math.Log10(step)+1e-9)))
	for v := math.Ceil(s.lo/step) * step; v <= s.hi; v += step {
		out = append(out, Tick{chartLeft - 6, s.y(v), fmt.Sprintf("%.*f", decimals, v+0)}) // + 0: no "-0"
	}
	return out
}

// times are round times below the lowest panel.
func (d *drawing) times() {
	const most = 8
	step := 86400 * math.Ceil((d.x1-d.x0)/most/86400) // whole days, also where a damaged log lasts for ever
	for _, s := range []float64{60, 120, 300, 600, 900, 1800, 3600, 7200, 14400, 21600, 43200} {
		if (d.x1-d.x0)/s <= most {
			step = s
			break
		}
	}
	for t := math.Ceil(d.x0/step) * step; t <= d.x1; t += step {
		text := units.FormatDuration(time.Duration(t) * time.Second)
		d.chart.Times = append(d.chart.Times, Tick{d.x(t), d.chart.H - axisH, text})
	}
}

// The number of a mark: how much room it takes, and in how many rows they stand where they crowd.
const (
	flagW, flagH = 16.0, 11.0
	flagRows     = 6
)

// flags are the marks of this filling, numbered as in the list; and the gaps.
func (d *drawing) flags() {
	row, last := 0, math.Inf(-1)
	for i, m := range d.st.Marks {
		t := m.Elapsed - d.st.SegmentStart
		if t < d.x0 || t > d.x1 {
			continue
		}
		if row++; d.x(t)-last > flagW {
			row = 0
		}
		last = d.x(t)
		d.chart.Flags = append(d.chart.Flags, Tick{last, pressureTop + flagH*float64(row%flagRows), fmt.Sprint(i + 1)})
	}
	for i := 1; i < len(d.st.Curve); i++ {
		if p := d.st.Curve[i]; p.Gap {
			from := d.x(d.st.Curve[i-1].T)
			d.chart.Gaps = append(d.chart.Gaps, Rect{from, pressureTop, d.x(p.T) - from, d.chart.H - axisH - pressureTop})
		}
	}
	if len(d.chart.Gaps) > 0 {
		d.key("gap", "nothing recorded")
	}
	if len(d.chart.Flags) > 0 {
		d.key("flag", "marks, numbered as below")
	}
}

// Right is the right edge of the place.
func (r Rect) Right() float64 { return r.X + r.W }

// Floor is the lower edge of the lowest panel.
func (c *Chart) Floor() float64 { return c.H - axisH }

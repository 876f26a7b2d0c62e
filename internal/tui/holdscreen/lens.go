package holdscreen

import (
	"math"
	"strings"

	"github.com/charmbracelet/bubbles/key"
	tea "github.com/charmbracelet/bubbletea"

	"example.org/holdfast/internal/tui/ui"
)

// lens is the part of the chart that is looked at closely, and the place in it
// whose values are read off. The zero lens is the whole chart.
type lens struct {
	on      bool
	segment int     // of the hold; another one has another curve
	at      float64 // s since the segment's start, of the place read off
	x0, x1  float64 // the part, s since the segment's start; both 0 = the whole
}

// narrow tells whether less than the whole is shown.
func (l lens) narrow() bool { return l.x1 > l.x0 }

// leastShown is the shortest part that can be looked at, s.
const leastShown = 30.0

// shownRange is the span of the time axis, s since the segment's start.
func (m *Model) shownRange() (x0, x1 float64) {
	if m.lens.segment != m.st.Segment {
		m.lens = lens{}
	}
	if m.lens.narrow() {
		return m.lens.x0, m.lens.x1
	}
	return m.timeRange()
}

// openLens begins to look closely, at the newest point.
func (m *Model) openLens() {
	m.far = false
	switch {
	case m.empty():
		m.tell("no curve to look at yet")
		return
	case m.plan().chart < 4:
		m.tell("no room for a chart here")
		return
	}
	m.lens = lens{on: true, segment: m.st.Segment, at: m.st.Curve[len(m.st.Curve)-1].T}
	m.lens.at = m.st.Curve[m.nearest()].T
}

// keyLens moves the place and the part; false = the key is none of the lens's.
func (m *Model) keyLens(k tea.KeyMsg) bool {
	if m.empty() {
		m.lens = lens{}
		return false
	}
	last := len(m.st.Curve) - 1
	step := max(m.visible()/50, 1)
	keys := newLenskeys()
	switch {
	case key.Matches(k, keys.Whole):
		m.lens = lens{}
	case key.Matches(k, keys.Before):
		m.readAt(m.nearest() - step)
	case key.Matches(k, keys.After):
		m.readAt(m.nearest() + step)
	case key.Matches(k, keys.FarBefore):
		m.readAt(m.nearest() - 10*step)
	case key.Matches(k, keys.FarAfter):
		m.readAt(m.nearest() + 10*step)
	case key.Matches(k, keys.First):
		m.readAt(0)
	case key.Matches(k, keys.Last):
		m.readAt(last)
	case key.Matches(k, keys.Less):
		m.zoom(0.5)
	case key.Matches(k, keys.More):
		m.zoom(2)
	default:
		return false
	}
	return true
}

// readAt reads off the i-th point of the curve and moves the part shown so that it is in it.
func (m *Model) readAt(i int) {
	t := m.st.Curve[min(max(i, 0), len(m.st.Curve)-1)].T
	if math.IsNaN(t) {
		return
	}
	l := &m.lens
	l.at = t
	if !l.narrow() {
		return
	}
	if d := t - l.x1; d > 0 {
		l.x0, l.x1 = l.x0+d, l.x1+d
	}
	if d := l.x0 - t; d > 0 {
		l.x0, l.x1 = l.x0-d, l.x1-d
	}
}

// zoom makes the part shown times as long, about the place that is read off.
func (m *Model) zoom(times float64) {
	w0, w1 := m.timeRange()
	x0, x1 := m.shownRange()
	l := &m.lens
	long := math.Max((x1-x0)*times, leastShown)
	if !(long < w1-w0) {
		l.x0, l.x1 = 0, 0
		return
	}
	x0 = l.at - (l.at-x0)/(x1-x0)*long
	x0 = math.Min(math.Max(x0, w0), w1-long)
	l.x0, l.x1 = x0, x0+long
}

// visible is how many points of the curve are shown.
func (m *Model) visible() (n int) {
	x0, x1 := m.shownRange()
	for _, c := range m.st.Curve {
		if c.T >= x0 && c.T <= x1 {
			n++
		}
	}
	return n
}

// nearest is the point of the curve next to the place that is read off.
func (m *Model) nearest() int {
	best, far := 0, math.Inf(1)
	for i, c := range m.st.Curve {
		if d := math.Abs(c.T - m.lens.at); d < far {
			best, far = i, d
		}
	}
	return best
}

// readOff is the values at the place: time, pressures, temperatures, and a mark that stands there.
func (m *Model) readOff() string {
	if m.empty() {
		return ""
	}
	i := m.nearest()
	c, u, step := m.st.Curve[i], m.unit(), m.step()
	value := func(pa, step float64) string {
		if pa == 0 {
			return "--"
		}
		return u.Reading(m.shown(pa)*u.Pa, step)
	}
	parts := []string{m.th.Strong.Render(ui.Clock(c.T)), "measured " + value(c.Raw, step)}
	if !m.vacuum() {
		parts = append(parts, "corrected "+value(c.Corrected, step/10), "fit "+value(c.Fit, step/10))
	}
	parts[len(parts)-1] += " " + u.Name
	if c.Ambient > 0 {
		parts = append(parts, "air "+ui.Number(c.Ambient-273.15, 1))
	}
	if c.Section > 0 {
		parts = append(parts, "part "+ui.Number(c.Section-273.15, 1))
	}
	if c.Gap {
		parts = append(parts, "after a gap")
	}
	if s := m.markNear(i); s != "" {
		parts = append(parts, m.th.Strong.Render(s))
	}
	return strings.Join(parts, "  ")
}

// markNear is the mark that stands nearer to the i-th point than to its neighbours.
func (m *Model) markNear(i int) string {
	c := m.st.Curve
	lo, hi := math.Inf(-1), math.Inf(1)
	if i > 0 {
		lo = (c[i-1].T + c[i].T) / 2
	}
	if i+1 < len(c) {
		hi = (c[i].T + c[i+1].T) / 2
	}
	for _, k := range m.st.Marks {
		if t := k.Elapsed - m.st.SegmentStart; k.Segment == m.st.Segment && t > lo && t <= hi {
			return clean(k.Text)
		}
	}
	return ""
}

// lensLine is the keys while the lens is on.
func (m *Model) lensLine() string {
	th := m.th
	var s []string
	for _, k := range [][2]string{{"left, right", "read off"}, {"up", "closer"}, {"down", "wider"}, {"z", "whole chart"}, {"v", "raw"}, {"?", "help"}} {
		s = append(s, th.Strong.Render(k[0])+" "+k[1])
	}
	return ui.Joined(s, "  ", m.w)
}

package decay

import "math"

// traceSize is how many points of the past are kept; when they are full,
// neighbours are merged, so the curve always spans the whole hold.
const traceSize = 512

// trace keeps the decimated past of a hold with all terms of each row, so that
// the corrected curve can be drawn anew when the estimate changes.
type trace struct {
	rows []traced
	per  int // bins per point
	n    int // bins in the last point
}

type traced struct {
	t, p, min, max float64
	room, part     float64 // K, NaN = none
	x              row
	n              float64 // bins in it
	gap            bool
}

func (tr *trace) add(t float64, b bin, room, part float64, x *row) {
	if tr.per == 0 {
		tr.per = 1
	}
	gap := len(tr.rows) > 0 && b.n > 0 && t-tr.rows[len(tr.rows)-1].t > math.Max(4*float64(tr.per)*binLength, 120) && b.n > 1
	if tr.n >= tr.per || len(tr.rows) == 0 || gap {
		if len(tr.rows) == traceSize {
			tr.halve()
		}
		tr.rows = append(tr.rows, traced{t: t, p: b.p / float64(b.n), min: b.min, max: b.max, room: room, part: part, x: *x, n: 1, gap: gap})
		tr.n = 1
		return
	}
	one := traced{t: t, p: b.p / float64(b.n), min: b.min, max: b.max, room: room, part: part, x: *x, n: 1}
	tr.rows[len(tr.rows)-1].merge(&one)
	tr.n++
}

func (a *traced) merge(b *traced) {
	n := a.n + b.n
	mix := func(x, y float64) float64 { return (x*a.n + y*b.n) / n }
	a.t, a.p = mix(a.t, b.t), mix(a.p, b.p)
	a.min, a.max = math.Min(a.min, b.min), math.Max(a.max, b.max)
	a.room, a.part = orElse(mix(a.room, b.room), orElse(a.room, b.room)), orElse(mix(a.part, b.part), orElse(a.part, b.part))
	for i := range a.x {
		a.x[i] = mix(a.x[i], b.x[i])
	}
	a.n = n
}

func (tr *trace) halve() {
	half := tr.rows[:0]
	for i := 0; i < len(tr.rows); i += 2 {
		r := tr.rows[i]
		if i+1 < len(tr.rows) && !tr.rows[i+1].gap {
			r.merge(&tr.rows[i+1])
		} else if i+1 < len(tr.rows) {
			half = append(half, r)
			r = tr.rows[i+1]
		}
		half = append(half, r)
	}
	tr.rows = half
	tr.per *= 2
	tr.n = tr.per
}

// Curve is the past of the hold: raw, corrected to the temperature of the start
// with the heat of filling taken off, and what the fit says of it.
func (h *Hold) Curve() []Point { return h.CurveBy(h.Correction()) }

// Correction is how room and heat of filling are taken off, as the hold knew it at some moment.
type Correction struct{ d *detail }

// Known reports that there is a fit behind it.
func (c Correction) Known() bool { return c.d != nil }

// Correction keeps what is known now: who compares the time before and after an
// event must not let the fit of the whole explain the difference away.
func (h *Hold) Correction() Correction { return Correction{h.shown} }

// CurveBy is Curve with the correction of an earlier moment.
func (h *Hold) CurveBy(c Correction) []Point {
	pts := make([]Point, 0, len(h.trace.rows))
	d := c.d
	for i := range h.trace.rows {
		r := &h.trace.rows[i]
		p := Point{T: r.t, Raw: r.p, RawMin: r.min, RawMax: r.max, Corrected: r.p, Gap: r.gap}
		if !math.IsNaN(r.room) {
			p.Ambient = r.room
		}
		if !math.IsNaN(r.part) {
			p.Section = r.part
		}
		if d != nil {
			move := d.without(&r.x)
			p.Corrected = h.pStart * math.Exp(r.x[colY]-move)
			p.Fit = h.pStart * math.Exp(d.leaked(drives(&r.x)))
		} else if !math.IsNaN(r.room) && h.tStart > 0 {
			p.Corrected = r.p * math.Pow(h.tStart/r.room, h.cfg.stiffness(r.p, tRef))
		}
		pts = append(pts, p)
	}
	return pts
}

// Ahead is what the corrected pressure is expected to be at time t, with its 95 % band.
type Ahead struct{ T, Mid, Lo, Hi float64 }

// Project looks ahead, to n places from the last row to time until. The band is
// that of the whole bank for the leak.
func (h *Hold) Project(until float64, n int) []Ahead {
	d := h.shown
	if d == nil || n < 2 || until <= h.flowAt {
		return nil
	}
	out := make([]Ahead, 0, n)
	rate, sd, _ := h.latest()
	law := d.h.law
	level := d.leaked(h.s)
	for i := range n {
		t := h.flowAt + (until-h.flowAt)*float64(i)/float64(n-1)
		ds := h.flow[law] * (t - h.flowAt) / 3600
		mid := level - rate*ds
		half := 1.96 * math.Hypot(sd*ds, h.noiseFloor())
		out = append(out, Ahead{T: t, Mid: h.pStart * math.Exp(mid), Lo: h.pStart * math.Exp(mid-half), Hi: h.pStart * math.Exp(mid+half)})
	}
	return out
}

// noiseFloor is the relative noise of one row.
func (h *Hold) noiseFloor() float64 { return h.clean.sigma() / h.pStart / 4 }

// AtLimit is the corrected pressure at time t if the section leaked at exactly
// limit (Pa/s at the start pressure) since the start.
func (h *Hold) AtLimit(limit, t float64) float64 {
	d := h.shown
	if d == nil || h.pStart == 0 {
		return 0
	}
	s := t / 3600
	return h.pStart * math.Exp(d.theta[0]-limit*3600/h.pStart*s)
}

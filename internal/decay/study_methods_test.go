package decay_test

import (
	"math"

	"example.org/holdfast/internal/bench"
	"example.org/holdfast/internal/units"
)

// classical is a rate with the usual 95 % interval of a straight-line fit, Pa/h.
type classical struct{ value, half float64 }

func (c classical) covers(truth float64) bool { return math.Abs(c.value-truth) <= c.half }

// line is a running least-squares line. Feed it values near zero.
type line struct{ n, x, y, xx, xy, yy float64 }

func (l *line) add(x, y float64) {
	l.n++
	l.x += x
	l.y += y
	l.xx += x * x
	l.xy += x * y
	l.yy += y * y
}

// slope and half of its 95 % interval, as if what is left were independent noise.
func (l *line) slope() (b, half float64) {
	d := l.n*l.xx - l.x*l.x
	if d <= 0 || l.n < 3 {
		return 0, 0
	}
	b = (l.n*l.xy - l.x*l.y) / d
	a := (l.y - b*l.x) / l.n
	rest := l.yy - a*l.y - b*l.xy
	return b, 1.96 * math.Sqrt(math.Max(rest, 0)/(l.n-2)*l.n/d)
}

// massPoint is the straight-line fit of the pressure corrected by the
// thermometer, from a quarter of an hour on. Without a thermometer it says nothing.
type massPoint struct {
	line
	p0, temp0   float64
	first, last float64
	lastT       float64
}

const settled = 900 // s

func (m *massPoint) add(t, p, temp float64) {
	if math.IsNaN(temp) {
		return
	}
	if m.temp0 == 0 {
		m.p0, m.temp0 = p, temp
	}
	if t < settled {
		return
	}
	y := p * m.temp0 / temp
	if m.n == 0 {
		m.first = y
	}
	m.last, m.lastT = y, t
	m.line.add(t/3600, y-m.p0)
}

func (m *massPoint) fit() classical {
	b, half := m.slope()
	return classical{-b, half}
}

// two is the rate from the first and the last corrected reading, Pa/h.
func (m *massPoint) two() float64 {
	if m.lastT <= settled {
		return 0
	}
	return (m.first - m.last) / (m.lastT - settled) * 3600
}

// known is the bound: an observer who knew the true temperature of the gas at
// every reading, the flow law and when the leak opened fits the amount of gas. What
// is left is the pressure sensor; the usual interval takes its error for
// independent noise, though zero and warm-up drift.
type known struct {
	p       bench.Params
	line    line
	n0      float64 // mol/m³ at the start
	stiff   float64 // share of the pressure lost with one share of the gas, at the start
	s, flow float64 // h of leaking at the start's pace; present pace
	t       float64 // s
}

func newKnown(p bench.Params) *known { return &known{p: p} }

func (k *known) add(t, pressure float64, temp units.Temperature) {
	p := units.Absolute(pressure)
	n := k.p.Gas.Density(p, temp)
	if k.n0 == 0 {
		const h = 1e-3
		k.n0 = n
		k.stiff = float64(k.p.Gas.PressureAt(n*(1+h), temp)-k.p.Gas.PressureAt(n*(1-h), temp)) / (2 * h * pressure)
	}
	flow := 0.0
	if t >= k.p.LeakOpensAt {
		around := units.StandardAtmosphere
		flow = k.p.Law.Drive(p, around) / k.p.Law.Drive(k.p.StartPressure, around) * k.n0 / n
	}
	k.s += (k.flow + flow) / 2 * (t - k.t) / 3600
	k.flow, k.t = flow, t
	k.line.add(k.s, math.Log(n/k.n0))
}

func (k *known) fit() classical {
	b, half := k.line.slope()
	unit := k.stiff * float64(k.p.StartPressure)
	return classical{-b * unit, half * unit}
}

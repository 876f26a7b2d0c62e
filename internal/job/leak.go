package job

import (
	"math"

	"example.org/holdfast/internal/units"
	"example.org/holdfast/internal/verdict"
)

// Span is a leak with its 95 % interval, in one of the units in which holds can
// be compared: grams of refrigerant a year, or throughput of the test gas.
type Span struct {
	Value, Lo, Hi float64 // kg/s of refrigerant at standstill, or Pa m3/s
	Mass          bool    // kg/s
}

// String says the interval, from nothing on where it reaches below.
func (s Span) String() string {
	if s.Lo <= 0 {
		return "at most " + s.text(math.Max(s.Hi, 0))
	}
	return s.text(s.Lo) + " to " + s.text(s.Hi)
}

func (s Span) text(v float64) string {
	if s.Mass {
		return units.FormatMassRate(units.MassRate(v))
	}
	return units.FormatLeakRate(units.LeakRate(v))
}

// minus takes off another leak: interval arithmetic, so no cancelling of errors is assumed.
func (s Span) minus(t Span) Span {
	s.Value, s.Lo, s.Hi = s.Value-t.Value, s.Lo-math.Max(t.Hi, 0), s.Hi-math.Max(t.Lo, 0)
	return s
}

// alike is how far two start pressures may differ, relative, for their leaks to be compared as they stand.
const alike = 0.05

// comparable reports holds at so nearly one pressure that one leak shows the same throughput in each.
func comparable(holds ...*Evidence) bool {
	lo, hi := math.Inf(1), 0.0
	for _, e := range holds {
		p := e.State.Estimate.Start
		lo, hi = math.Min(lo, p), math.Max(hi, p)
	}
	return hi <= lo*(1+alike)
}

// spans states the leaks of several holds so that they can be added and
// compared; ok = they can. At one pressure the unit does not matter. At several
// the flow law does: then each reaches from the milder law to the worse one.
func spans(holds ...*Evidence) (out []Span, ok bool) {
	same := comparable(holds...)
	mass, flow := true, true
	for _, e := range holds {
		if !e.State.Estimate.Valid {
			return nil, false
		}
		mass = mass && e.State.PerPascal.HasRefrigerant
		flow = flow && e.State.PerPascal.HasThroughput
	}
	if !mass && !(flow && same) {
		return nil, false
	}
	for _, e := range holds {
		out = append(out, e.span(mass, same))
	}
	return out, true
}

func (e *Evidence) span(mass, same bool) Span {
	r, per := e.State.Estimate.Rate, e.State.PerPascal
	least, most := factors(per, mass)
	if same {
		least = most
	}
	v := e.Section.VolumeError // the leak is proportional to the volume
	s := Span{Value: r.Value * most, Lo: r.Lo * least * (1 - v), Hi: r.Hi * most * (1 + v), Mass: mass}
	if r.Lo < 0 {
		s.Lo = r.Lo * most * (1 + v)
	}
	return s
}

// factors turn 1 Pa/s into the unit, by the milder and the worse flow law.
func factors(per verdict.Figures, mass bool) (least, most float64) {
	if mass {
		return float64(per.RefrigerantLow), float64(per.Refrigerant)
	}
	return float64(per.Throughput), float64(per.Throughput)
}

// differ compares two leaks: the difference b - a with its 95 % interval.
func differ(a, b *Evidence) (d Span, ok bool) {
	s, ok := spans(a, b)
	if !ok {
		return d, false
	}
	half := math.Hypot(s[0].half(), s[1].half())
	d = Span{Value: s[1].Value - s[0].Value, Mass: s[0].Mass}
	d.Lo, d.Hi = d.Value-half, d.Value+half
	return d, true
}

func (s Span) half() float64 { return (s.Hi - s.Lo) / 2 }

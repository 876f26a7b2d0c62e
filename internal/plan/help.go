package plan

import (
	"cmp"
	"math"
	"slices"

	"example.org/holdfast/internal/units"
	"example.org/holdfast/internal/verdict"
	"example.org/holdfast/refdata"
)

// variant is the same hold with one thing better.
type variant struct {
	nominal
	what   string
	higher bool // at the ceiling
}

// variants are the things that may help.
func (p *Plan) variants(base nominal, atmosphere units.Absolute) []variant {
	var out []variant
	add := func(what string, change func(*nominal)) {
		v := variant{nominal: base, what: what}
		change(&v.nominal)
		out = append(out, v)
	}
	with := base.with
	span := narrowest(p.Pressure)
	name := units.FormatPressure(float64(span), "bar")
	switch {
	case with.ByHand:
		add("a sensor of "+name+" instead of the needle", func(n *nominal) {
			n.with = Instruments{Range: span, Thermometer: with.Thermometer}.filled()
		})
	case span > 0 && (span < with.Range || with.coarse()):
		add("a finer sensor, span "+name, func(n *nominal) {
			n.with.Range, n.with.Noise, n.with.Step = span, 0, 0
			n.with = n.with.filled()
		})
	}
	switch with.Thermometer {
	case NoThermometer:
		add("a thermometer beside the part", func(n *nominal) { n.with.Thermometer = InRoom })
		fallthrough
	case InRoom:
		add("thermometer on the part, insulated", func(n *nominal) { n.with.Thermometer = OnPart })
	}
	if p.Ceiling.Pressure > 1.15*p.Pressure {
		add("fill to the ceiling, "+units.FormatPressure(float64(p.Ceiling.Pressure), "bar"), func(n *nominal) {
			n.start = p.Ceiling.Pressure.Absolute(atmosphere)
		})
		out[len(out)-1].higher = true
	}
	return out
}

// narrowest is the narrowest usual span that takes the pressure; 0 = none.
func narrowest(p units.Gauge) units.PressureDiff {
	for _, s := range refdata.SensorSpans() {
		if s.V >= 1.1*float64(p) {
			return units.PressureDiff(s.V)
		}
	}
	return 0
}

// help adds something that helps.
func (p *Plan) help(what string, f verdict.Figures, limit verdict.Limit) {
	p.Help = append(p.Help, Help{what, f, limit.Set && f.Rate <= limit.Rate})
}

// halve adds half the section: half the leak makes the same fall in it.
func (p *Plan) halve(now verdict.Figures) {
	if !now.HasThroughput {
		return
	}
	f := now
	f.Throughput, f.Refrigerant, f.RefrigerantLow = f.Throughput/2, f.Refrigerant/2, f.RefrigerantLow/2
	p.Help = append(p.Help, Help{"half the section: split it, hold each half", f, p.Limit.Set && f.Throughput <= p.LimitFigures.Throughput})
}

// sortHelp puts what shows the smallest leak first, and leaves out what hardly helps.
func (p *Plan) sortHelp(now verdict.Figures) {
	size := func(f verdict.Figures) float64 {
		switch {
		case f.HasRefrigerant:
			return float64(f.Refrigerant)
		case f.HasThroughput:
			return float64(f.Throughput)
		}
		return f.PercentPerHour
	}
	p.Help = slices.DeleteFunc(p.Help, func(h Help) bool { return !(size(h.Figures) < 0.95*size(now)) })
	slices.SortStableFunc(p.Help, func(a, b Help) int { return cmp.Compare(size(a.Figures), size(b.Figures)) })
}

// pressureFor finds the pressure at which the limit, stated as an amount, is
// proven in the time planned, between the pressure planned and the ceiling: the
// figures follow a power of the pressure.
func (p *Plan) pressureFor(r Request, now verdict.Figures, top Help) {
	if !p.Limit.Set || !now.HasThroughput || now.Rate <= p.Limit.Rate || math.IsInf(float64(now.Rate), 1) || !top.Enough {
		return
	}
	limit := r.Terms.Limit(p.Ceiling.Pressure.Absolute(r.Atmosphere), fillAt)
	low, high := float64(now.Rate/p.Limit.Rate), float64(top.Rate/limit.Rate) // above and below 1
	f := math.Log(low) / math.Log(low/high)
	p.NeededAt = units.Gauge(float64(p.Pressure) * math.Pow(float64(p.Ceiling.Pressure/p.Pressure), f))
}

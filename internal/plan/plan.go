package plan

import (
	"errors"
	"fmt"
	"math"
	"sync"

	"example.org/holdfast/internal/gas"
	"example.org/holdfast/internal/units"
	"example.org/holdfast/internal/verdict"
	"example.org/holdfast/refdata"
)

// Terms bring pressure rates to the limit and the figures of the hold that is planned.
type Terms interface {
	Limit(p units.Absolute, t units.Temperature) verdict.Limit
	Figures(r units.PressureRate, p units.Absolute, t units.Temperature) verdict.Figures
}

// Request is the hold that is planned.
type Request struct {
	Section
	Terms      Terms
	Gas        gas.Gas
	Atmosphere units.Absolute
	Volume     units.Volume // 0 = not known: then there are no grams a year
	Pressure   units.Gauge  // 0 = 10 bar, or the ceiling if that is lower
	OverReason string       // why the ceiling is passed; without it, it is not
	For        float64      // s
	With       Instruments
	Brazed     bool
	Lost       units.Mass // of the complaint; 0 = none
	LostIn     float64    // s
}

// Plan is what the hold can do.
type Plan struct {
	Ceiling      Bound
	Bounds       []Bound // what else binds, the lowest first
	Beside       []Bound // written down elsewhere, no ceiling here
	Pressure     units.Gauge
	OverReason   string             // why Pressure is above the ceiling; "" = it is not
	PerKelvin    units.PressureDiff // what one kelvin does to the real gas
	PerKelvinOf  float64            // the same relative to the ideal gas
	With         Instruments        // with the usual values where nothing was said
	Limit        verdict.Limit
	LimitFigures verdict.Figures
	Sights       []Sight // from the time on when there is something to say
	HalfAfter    float64 // s until the limit is proven in every second hold; <0 = not within a day
	NineAfter    float64 // s, in nine of ten
	NeededAt     units.Gauge
	MostVolume   units.Volume // the largest section in which the limit is proven in the time planned; 0 = no limit
	Complaint    Complaint
	Help         []Help
}

// Sight is the smallest leak that a hold proves after a time: at a limit of
// Half every second tight section is called tight, at Nine nine of ten, at Restless nine of ten
// in a room where doors open and heaters switch.
type Sight struct {
	After                float64 // s
	Half, Nine, Restless verdict.Figures
}

// Complaint is what the appliance is said to have lost.
type Complaint struct {
	Rate      units.MassRate // 0 = none, or nothing to compare it with
	PerLimit  float64        // how many limits that is; 0 = no limit
	SeenAfter float64        // s until a leak of that size is called; <0 = not within a day
}

// Help is something that makes smaller leaks visible, with the figure it would give in the time planned.
type Help struct {
	What string
	verdict.Figures
	Enough bool // that proves the limit
}

const (
	usualPressure = units.Gauge(10e5)
	fillAt        = units.Temperature(293.15)
	day           = 86400.0 // s
	sure          = 2.0     // standard uncertainties below the limit make tight, as internal/verdict has it
	called        = 3.6     // standard uncertainties above nothing ring, as internal/decay has it
)

// spread is by how many times room and filling spread what nine of ten simulated
// holds prove, in a still and in a restless room (promise_test.go measures it).
func (i Instruments) spread() (still, restless float64) {
	switch {
	case i.still():
		return 1.2, 1.4
	case i.Stuck():
		return 2, 2 // of a display that never steps, whatever that comes to
	case i.ByHand:
		return 1.15, 1.75
	case i.Thermometer == OnPart:
		return 1.7, 2.6
	case i.Thermometer == NoThermometer:
		return 1.15, 1.4
	}
	return 2, 3.3
}

// times are those that a plan states.
var times = [...]float64{1800, 3600, 2 * 3600, 4 * 3600, 12 * 3600, day}

// Make makes the plan.
func Make(r Request) (Plan, error) {
	p := Plan{Pressure: r.Pressure, With: r.With.filled()}
	var err error
	if p.Ceiling, p.Bounds, err = r.Ceiling(r.Atmosphere); err != nil {
		return p, err
	}
	if p.Beside, err = r.Beside(r.Atmosphere); err != nil {
		return p, err
	}
	if p.Pressure == 0 {
		p.Pressure = min(usualPressure, p.Ceiling.Pressure)
	}
	if p.Pressure > p.Ceiling.Pressure {
		if r.OverReason == "" {
			return p, &OverCeilingError{p.Pressure, p.Ceiling}
		}
		p.OverReason = r.OverReason
	}
	if p.Pressure <= 0 {
		return p, errors.New("the pressure is not above the air around the section")
	}
	start := p.Pressure.Absolute(r.Atmosphere)
	p.perKelvin(r.Gas, start)
	p.Limit = r.Terms.Limit(start, fillAt)
	if p.Limit.Set {
		p.LimitFigures = r.Terms.Figures(p.Limit.Rate, start, fillAt)
	}
	p.see(r, start)
	return p, nil
}

// OverCeilingError says that the pressure asked for is above the ceiling and no reason was given.
type OverCeilingError struct {
	Asked   units.Gauge
	Ceiling Bound
}

func (e *OverCeilingError) Error() string {
	return fmt.Sprintf("%s is above the ceiling of %s (%s)", units.FormatPressure(float64(e.Asked), "bar"),
		units.FormatPressure(float64(e.Ceiling.Pressure), "bar"), e.Ceiling.Why)
}

// perKelvin is what a kelvin does at constant amount and volume.
func (p *Plan) perKelvin(g gas.Gas, start units.Absolute) {
	n := g.Density(start, fillAt)
	p.PerKelvin = units.PressureDiff(g.PressureAt(n, fillAt+0.5) - g.PressureAt(n, fillAt-0.5))
	p.PerKelvinOf = float64(p.PerKelvin) / (float64(start) / float64(fillAt))
}

// see plays the nominal hold and those that would help, side by side.
func (p *Plan) see(r Request, start units.Absolute) {
	base := nominal{gas: r.Gas, start: start, atmosphere: r.Atmosphere, with: p.With, brazed: r.Brazed}
	others := p.variants(base, r.Atmosphere)
	looks := make([][]Look, len(others))
	var all []Look
	var wg sync.WaitGroup
	wg.Go(func() { all = base.looks(math.Max(day, 2*r.For)) })
	for i, v := range others {
		wg.Go(func() { looks[i] = v.looks(r.For) })
	}
	wg.Wait()
	still, restless := p.With.spread()
	for _, t := range times {
		l := seen(all, t)
		if math.IsInf(float64(l.SE), 1) {
			continue // too early for any word
		}
		figures := func(rate units.PressureRate) verdict.Figures { return r.Terms.Figures(rate, start, fillAt) }
		p.Sights = append(p.Sights, Sight{t, figures(l.proves()), figures(l.provesIn(still)), figures(l.provesIn(restless))})
	}
	half := func(l []Look, t float64, at units.Absolute) verdict.Figures {
		return r.Terms.Figures(seen(l, t).proves(), at, fillAt)
	}
	now := half(all, r.For, start)
	p.limitIn(r, all, r.Terms.Figures(seen(all, r.For).provesIn(still), start, fillAt))
	p.complain(r, all, start)
	for i, v := range others {
		p.help(v.what, half(looks[i], r.For, v.start), r.Terms.Limit(v.start, fillAt))
		if v.higher {
			p.pressureFor(r, now, p.Help[len(p.Help)-1])
		}
	}
	p.help("hold twice as long", half(all, 2*r.For, start), p.Limit)
	p.halve(now)
	p.sortHelp(now)
}

// limitIn says when the limit is proven, and how large the section may be for
// it; nine is what nine of ten holds prove in the time planned.
func (p *Plan) limitIn(r Request, all []Look, nine verdict.Figures) {
	p.HalfAfter, p.NineAfter = -1, -1
	if !p.Limit.Set {
		return
	}
	still, _ := p.With.spread()
	p.HalfAfter = reach(all, p.Limit.Rate, Look.proves)
	p.NineAfter = reach(all, p.Limit.Rate, func(l Look) units.PressureRate { return l.provesIn(still) })
	if nine.HasThroughput {
		p.MostVolume = r.Volume * units.Volume(p.LimitFigures.Throughput/nine.Throughput)
	}
}

// complain sets the loss of the complaint beside the limit.
func (p *Plan) complain(r Request, all []Look, start units.Absolute) {
	if r.Lost <= 0 || r.LostIn <= 0 {
		return
	}
	c := Complaint{Rate: units.MassRate(float64(r.Lost) / r.LostIn), SeenAfter: -1}
	if one := r.Terms.Figures(1, start, fillAt); one.HasRefrigerant {
		c.SeenAfter = reach(all, units.PressureRate(float64(c.Rate)/float64(one.Refrigerant)),
			func(l Look) units.PressureRate { return called * l.SE })
	}
	if p.LimitFigures.HasRefrigerant {
		c.PerLimit = float64(c.Rate / p.LimitFigures.Refrigerant)
	}
	p.Complaint = c
}

// Published gives the published acceptance figures, the smallest first.
func Published() []refdata.Acceptance { return refdata.Acceptances() }

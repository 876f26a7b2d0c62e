package plan

import (
	"fmt"
	"slices"

	"example.org/holdfast/internal/gas"
	"example.org/holdfast/internal/units"
	"example.org/holdfast/refdata"
)

// Side is which part of the circuit is closed off.
type Side string

// The sides. The whole circuit may stand no more than its low side.
const (
	LowSide  Side = "low"
	HighSide Side = "high"
	Whole    Side = "whole"
)

// Section is what is closed off and filled, as far as its strength goes.
type Section struct {
	Refrigerant  *gas.Refrigerant // nil = not said
	Side         Side             // "" = the whole circuit
	Compressor   bool             // is in the section, or connected to it
	OldAluminium bool             // an evaporator of thin or corroded aluminium is
	Rated        units.Gauge      // what the plate or the maker allows; 0 = not said
	Connected    []Connected      // hose, valve, sensor, relief device
}

// Connected is something that stands under the same pressure.
type Connected struct {
	Name  string
	Rated units.Gauge // what it is made for
}

// Bound is a pressure with what it stands for.
type Bound struct {
	Pressure units.Gauge
	Why      string
	refdata.Cite
}

// given is the Cite of what the person said.
func given(where string) refdata.Cite {
	return refdata.Cite{Kind: Given, Source: where, Locator: "as you said"}
}

// Given is the kind of a value that the person gave, beside the kinds of refdata.
const Given refdata.Kind = "given"

// Ceiling is the highest gauge pressure for the section: the lowest of all that
// bind it, which come with it, the lowest first. Without a rating of the part the figure of
// its side stands in for it.
func (s Section) Ceiling(atmosphere units.Absolute) (Bound, []Bound, error) {
	var binding []Bound
	add := func(p units.Gauge, why string, c refdata.Cite) { binding = append(binding, Bound{p, why, c}) }
	maker := refdata.CompressorCeilings()
	side, sideName := units.Gauge(maker.Low), s.sideName()
	if s.Side == HighSide {
		side = units.Gauge(maker.High)
	}
	switch {
	case s.Compressor:
		add(side, "compressor connected, "+sideName, maker.Cite)
	case s.Rated == 0:
		add(side, "usual ceiling of the "+sideName+"; no rating is given", maker.Cite)
	}
	if s.Rated > 0 {
		add(s.Rated, "rating of the part", given("plate or maker"))
	}
	if s.OldAluminium {
		b, err := s.aluminium(atmosphere)
		if err != nil {
			return Bound{}, nil, err
		}
		binding = append(binding, b)
	}
	for _, c := range s.Connected {
		add(c.Rated, "rating of the "+c.Name, given("rating"))
	}
	slices.SortStableFunc(binding, func(a, b Bound) int { return int(a.Pressure - b.Pressure) })
	return binding[0], binding[1:], nil
}

// sideName is the side in words.
func (s Section) sideName() string {
	switch s.Side {
	case LowSide:
		return "low side"
	case HighSide:
		return "high side"
	}
	return "low side, which the whole circuit may not pass"
}

// aluminium is the ceiling of an old evaporator: nobody prints one, so the
// design pressure, which it has stood in service, is all it is trusted with.
func (s Section) aluminium(atmosphere units.Absolute) (Bound, error) {
	if s.Refrigerant == nil {
		return Bound{}, fmt.Errorf("old aluminium is trusted with its design pressure only, and that needs the refrigerant")
	}
	b, err := s.design(atmosphere)
	b.Why = "old aluminium: weaker than any table, so no more than the design pressure"
	return b, err
}

// design is the design pressure (PS) of the side.
func (s Section) design(atmosphere units.Absolute) (Bound, error) {
	d := refdata.DesignTemperatures()
	t := d.Low
	if s.Side == HighSide {
		t = d.High
	}
	p, err := s.Refrigerant.Saturation(units.Temperature(t))
	why := fmt.Sprintf("design pressure (PS): saturation at %.0f C", units.Temperature(t).Celsius())
	return Bound{p.Gauge(atmosphere), why, d.Cite}, err
}

// Beside are pressures that are written down for such a section and are not its
// ceiling: each is marked as what it is.
func (s Section) Beside(atmosphere units.Absolute) ([]Bound, error) {
	var out []Bound
	if s.Refrigerant != nil {
		ps, err := s.design(atmosphere)
		if err != nil {
			return nil, err
		}
		d := refdata.DesignTemperatures()
		out = append(out, ps, Bound{ps.Pressure * units.Gauge(d.Assembly), fmt.Sprintf("strength test of the assembly, %g x PS", d.Assembly), d.Cite})
		test, side := refdata.TypeTests()[0], "low"
		if s.Side == HighSide {
			test, side = refdata.TypeTests()[1], "high"
		}
		p, err := s.Refrigerant.Saturation(units.Temperature(test.At))
		if err != nil {
			return nil, err
		}
		why := fmt.Sprintf("factory type test of a new %s side, one minute, %g x saturation at %.0f C", side, test.Factor, units.Temperature(test.At).Celsius())
		out = append(out, Bound{units.Gauge(test.Factor) * p.Gauge(units.StandardAtmosphere), why, test.Cite})
	}
	for _, p := range refdata.ServicePressures() {
		out = append(out, Bound{units.Gauge(p.Pressure), "asked for in a service manual, whole circuit: practice differs", p.Cite})
	}
	slices.SortStableFunc(out, func(a, b Bound) int { return int(a.Pressure - b.Pressure) })
	return out, nil
}

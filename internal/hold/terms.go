package hold

import (
	"example.org/holdfast/internal/gas"
	"example.org/holdfast/internal/holdlog"
	"example.org/holdfast/internal/units"
	"example.org/holdfast/internal/verdict"
)

// Terms are the settings of a hold brought to numbers before there is one: what
// a plan is made of. It judges by the same limit, in the same figures, as the hold will.
type Terms struct{ u setup }

// Resolve reads the settings; its error is that of Check.
func Resolve(s holdlog.Settings) (Terms, error) {
	u, err := resolve(s)
	return Terms{u}, err
}

// Gas is the test gas.
func (t Terms) Gas() gas.Gas { return t.u.gas }

// Refrigerant is that of the circuit; nil = not said.
func (t Terms) Refrigerant() *gas.Refrigerant { return t.u.refrigerant }

// Atmosphere is the pressure around the section.
func (t Terms) Atmosphere() units.Absolute { return t.u.atmosphere }

// Limit is the acceptance limit of a section that starts at p and at.
func (t Terms) Limit(p units.Absolute, at units.Temperature) verdict.Limit { return t.u.rate(p, at) }

// Figures states a loss of pressure in every unit that is known.
func (t Terms) Figures(r units.PressureRate, p units.Absolute, at units.Temperature) verdict.Figures {
	return t.u.figures(r, p, at)
}

// Package gas gives the properties of test gases and refrigerants that the
// mathematics of a hold needs, and carries a leak from one gas and pressure to another.
//
// Everything is SI; pressures are absolute, amounts molar, and a throughput is
// in Pa m3/s at the temperature of the gas. The numbers come from refdata; this
// package holds the formulas. It knows no instrument and no time.
//
// Accuracy of Z, 0 to 40 °C: nitrogen, argon and helium 5e-6 and dry air 1e-5 of
// the reference equations of state up to 4 MPa, CO2 5e-5 up to 2.5 MPa. The
// equations themselves are uncertain by 0.02 % of the density, air by 0.1 %.
package gas

import (
	"fmt"
	"math"
	"strings"

	"example.org/holdfast/internal/units"
	"example.org/holdfast/refdata"
)

// R is the molar gas constant in J/(mol K), exact in the SI of 2019 (CODATA 2018); refdata has it with its source.
const R = 8.314462618

// referenceT is the temperature, in K, about which refdata expands virial coefficients and viscosities.
const referenceT = 298.15

// Gas is a test gas. Get one from Lookup; the zero Gas has no properties and must not be used.
type Gas struct{ d *refdata.Gas }

// Nitrogen gives the usual test gas.
func Nitrogen() Gas { return Gas{&refdata.Gases()[0]} }

// DryAir gives the gas that a side below the atmosphere draws in. It is no
// test gas to choose where oil or a flammable refrigerant may be about.
func DryAir() Gas { return Gas{&refdata.Gases()[1]} }

// Lookup finds a gas by its name or an alias; case, spaces and hyphens do not matter.
func Lookup(name string) (Gas, error) {
	key := fold(name)
	if key == "oxygen" || key == "o2" {
		return Gas{}, fmt.Errorf("gas %q must never be used for a pressure test: oxygen under pressure explodes with oil", name)
	}
	all := refdata.Gases()
	for i := range all {
		if matches(key, all[i].Name, all[i].Aliases) {
			return Gas{&all[i]}, nil
		}
	}
	return Gas{}, fmt.Errorf("unknown gas %q, known are %s", name, strings.Join(Names(), ", "))
}

// Names lists the gases, nitrogen first.
func Names() []string {
	var names []string
	for _, g := range refdata.Gases() {
		names = append(names, g.Name)
	}
	return names
}

// fold makes spellings of one name equal.
func fold(name string) string {
	return strings.NewReplacer(" ", "", "-", "", "_", "").Replace(strings.ToLower(name))
}

// matches reports whether the folded key is the name or one of the aliases.
func matches(key, name string, aliases []string) bool {
	if key == fold(name) {
		return true
	}
	for _, a := range aliases {
		if key == fold(a) {
			return true
		}
	}
	return false
}

// Name is the name as Names lists it.
func (g Gas) Name() string { return g.d.Name }

// MolarMass is in kg/mol.
func (g Gas) MolarMass() float64 { return g.d.MolarMass.V }

// Gamma is the ratio of the ideal heat capacities.
func (g Gas) Gamma() float64 { return g.d.Gamma.V }

// Viscosity is that of the thin gas in Pa s; at 20 bar it is about 2 % more, which is left out.
func (g Gas) Viscosity(t units.Temperature) float64 { return viscosity(g.d.Viscosity, t) }

func viscosity(v refdata.PowerLaw, t units.Temperature) float64 {
	return v.At25 * math.Pow(float64(t)/referenceT, v.Exponent)
}

// virial gives the coefficients b, c, d of Z = 1 + b·n + c·n² + d·n³ at t (n in mol/m3).
func (g Gas) virial(t units.Temperature) (b, c, d float64) {
	v := &g.d.Virial
	x := referenceT/float64(t) - 1
	b = v.B[0] + x*(v.B[1]+x*(v.B[2]+x*v.B[3]))
	c = v.C[0] + x*(v.C[1]+x*v.C[2])
	return b, c, v.D
}

// PressureAt is the pressure of the gas at a molar density in mol/m3.
func (g Gas) PressureAt(n float64, t units.Temperature) units.Absolute {
	b, c, d := g.virial(t)
	return units.Absolute(n * R * float64(t) * (1 + n*(b+n*(c+n*d))))
}

// Density is the molar density in mol/m3.
func (g Gas) Density(p units.Absolute, t units.Temperature) float64 {
	n, _ := g.solve(p, t)
	return n
}

// Z is the compressibility factor, 1 for an ideal gas.
func (g Gas) Z(p units.Absolute, t units.Temperature) float64 {
	if p == 0 {
		return 1
	}
	n, _ := g.solve(p, t)
	return float64(p) / (n * R * float64(t))
}

// Reduced is ln(p/Z) with p in Pa: at constant amount and volume it changes
// with the temperature as ln T does, whatever the gas.
func (g Gas) Reduced(p units.Absolute, t units.Temperature) float64 {
	n, _ := g.solve(p, t)
	return math.Log(n * R * float64(t))
}

// solve inverts PressureAt by Newton's method. slope is (dp/dn)/(R T), 1 for an ideal gas.
func (g Gas) solve(p units.Absolute, t units.Temperature) (n, slope float64) {
	b, c, d := g.virial(t)
	ideal := float64(p) / (R * float64(t))
	n = ideal / (1 + b*ideal)
	// Newton's error squares at each round, so a step of 1e-6 leaves 1e-12. Two
	// rounds suffice for nitrogen at 40 bar; CO2 needs up to five.
	for range 8 {
		slope = 1 + n*(2*b+n*(3*c+n*4*d))
		step := (n*(1+n*(b+n*(c+n*d))) - ideal) / slope
		n -= step
		if math.Abs(step) <= 1e-6*n {
			break
		}
	}
	return n, slope
}

// Plain is the gas with bare numbers, for mathematics that knows no units: internal/decay takes it as its Gas.
type Plain struct{ Gas }

// Plain gives the gas with bare numbers.
func (g Gas) Plain() Plain { return Plain{g} }

// Z is the compressibility factor at an absolute pressure in Pa and a temperature in K.
func (p Plain) Z(pa, k float64) float64 { return p.Gas.Z(units.Absolute(pa), units.Temperature(k)) }

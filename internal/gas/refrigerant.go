package gas

import (
	"fmt"
	"math"
	"strings"

	"example.org/holdfast/internal/units"
	"example.org/holdfast/refdata"
)

// Refrigerant is what the circuit holds in service. Get one from
// LookupRefrigerant; the zero Refrigerant must not be used.
type Refrigerant struct{ d *refdata.Refrigerant }

// LookupRefrigerant finds a refrigerant by its number or name; case, spaces and hyphens do not matter.
func LookupRefrigerant(name string) (Refrigerant, error) {
	key := fold(name)
	all := refdata.Refrigerants()
	for i := range all {
		if matches(key, all[i].Name, all[i].Aliases) {
			return Refrigerant{&all[i]}, nil
		}
	}
	return Refrigerant{}, fmt.Errorf("unknown refrigerant %q, known are %s", name, strings.Join(RefrigerantNames(), ", "))
}

// RefrigerantNames lists the refrigerants.
func RefrigerantNames() []string {
	var names []string
	for _, r := range refdata.Refrigerants() {
		names = append(names, r.Name)
	}
	return names
}

// Name is the name as RefrigerantNames lists it.
func (r Refrigerant) Name() string { return r.d.Name }

// MolarMass is in kg/mol.
func (r Refrigerant) MolarMass() float64 { return r.d.MolarMass.V }

// Gamma is the ratio of the ideal heat capacities.
func (r Refrigerant) Gamma() float64 { return r.d.Gamma.V }

// Viscosity is that of the thin vapour in Pa s; at saturation it is a few per cent more, which is left out.
func (r Refrigerant) Viscosity(t units.Temperature) float64 { return viscosity(r.d.Viscosity, t) }

// Flammable says whether the refrigerant burns.
func (r Refrigerant) Flammable() bool { return r.d.Flammable }

// Saturation is the saturation pressure at t, -40 to 70 °C.
func (r Refrigerant) Saturation(t units.Temperature) (units.Absolute, error) {
	s := &r.d.Saturation
	last := len(s.P) - 1
	at := (float64(t) - s.T0) / s.Step
	if !(at >= -1e-9 && at <= float64(last)+1e-9) {
		return 0, fmt.Errorf("%s saturation is known from %.0f to %.0f °C, not at %.1f °C", r.d.Name,
			units.Temperature(s.T0).Celsius(), units.Temperature(s.T0+s.Step*float64(last)).Celsius(), t.Celsius())
	}
	first := min(max(int(at)-1, 0), last-3)
	return units.Absolute(math.Exp(lagrange(s, first, float64(t)))), nil
}

// lagrange interpolates ln P in 1/T through four entries: the curve is so
// nearly straight in these coordinates that the error stays below 1e-6.
func lagrange(s *refdata.Saturation, first int, t float64) float64 {
	inverse := func(i int) float64 { return 1 / (s.T0 + s.Step*float64(i)) }
	var sum float64
	for i := first; i < first+4; i++ {
		weight := 1.0
		for j := first; j < first+4; j++ {
			if j != i {
				weight *= (1/t - inverse(j)) / (inverse(i) - inverse(j))
			}
		}
		sum += weight * math.Log(s.P[i])
	}
	return sum
}

// WaterSaturation is the vapour pressure over ice below 273.16 K (IAPWS
// R14-08(2011) eq. 6) and over liquid water above (IAPWS-IF97 region 4,
// eq. 30), to 350 °C.
func WaterSaturation(t units.Temperature) units.Absolute {
	ice := refdata.Ice()
	if float64(t) < ice.TripleT {
		theta := float64(t) / ice.TripleT
		var sum float64
		for i := range ice.A {
			sum += ice.A[i] * math.Pow(theta, ice.B[i])
		}
		return units.Absolute(ice.TripleP * math.Exp(sum/theta))
	}
	n := refdata.Water().N
	theta := float64(t) + n[8]/(float64(t)-n[9])
	a := theta*theta + n[0]*theta + n[1]
	b := n[2]*theta*theta + n[3]*theta + n[4]
	c := n[5]*theta*theta + n[6]*theta + n[7]
	root := 2 * c / (-b + math.Sqrt(b*b-4*a*c))
	return units.Absolute(1e6 * root * root * root * root)
}

package gas

import (
	"fmt"
	"math"

	"example.org/holdfast/internal/units"
)

// FlowLaw says how a leak's throughput depends on gas and pressure.
type FlowLaw uint8

// The flow laws of leak testing.
const (
	Viscous   FlowLaw = iota // laminar: a long narrow path
	Molecular                // a path narrower than the free path of the gas
	Choked                   // an orifice at the speed of sound
)

// String names the law.
func (l FlowLaw) String() string {
	switch l {
	case Viscous:
		return "viscous"
	case Molecular:
		return "molecular"
	case Choked:
		return "choked"
	}
	return fmt.Sprintf("FlowLaw(%d)", uint8(l))
}

// Drive is the part of the law that the pressures make: the throughput of one
// leak and one gas at one temperature is proportional to it. Inside is p, outside out.
func (l FlowLaw) Drive(p, out units.Absolute) float64 {
	switch l {
	case Viscous:
		return float64(p*p - out*out)
	case Molecular:
		return float64(p - out)
	default:
		return float64(p)
	}
}

// Fluid is what a leak translation needs to know of a gas or a vapour.
type Fluid interface {
	MolarMass() float64                    // kg/mol
	Gamma() float64                        // ratio of heat capacities
	Viscosity(t units.Temperature) float64 // Pa s
}

// State is a fluid at the inner end of a leak.
type State struct {
	Fluid
	Pressure    units.Absolute
	Temperature units.Temperature
}

// conductivity is the throughput in Pa m3/s at the fluid's own temperature, up
// to a factor that only the leak's geometry sets.
//
// The three laws are standard results (Hagen-Poiseuille, Knudsen, the choked
// nozzle), as given in EN 1779 annex B, ISO 20486 and the NASA/JPL Leakage
// Testing Handbook; written down from memory, the standards could not be read.
//
//	viscous    q = K (p1² - p2²)/η
//	molecular  q = K √(T/M) (p1 - p2)
//	choked     q = K √(γT/M) (2/(γ+1))^((γ+1)/(2(γ-1))) p1
func (l FlowLaw) conductivity(s State, out units.Absolute) float64 {
	drive := l.Drive(s.Pressure, out)
	switch l {
	case Viscous:
		return drive / s.Viscosity(s.Temperature)
	case Molecular:
		return drive * math.Sqrt(float64(s.Temperature)/s.MolarMass())
	default:
		return drive * math.Sqrt(float64(s.Temperature)/s.MolarMass()) * chokedFactor(s.Gamma())
	}
}

// chokedFactor is √γ (2/(γ+1))^((γ+1)/(2(γ-1))), the mass flow function of a choked nozzle.
func chokedFactor(gamma float64) float64 {
	return math.Sqrt(gamma) * math.Pow(2/(gamma+1), (gamma+1)/(2*(gamma-1)))
}

// Translate carries the throughput q of one leak from one fluid and pressure to
// another, both against the pressure out. A fluid that does not stand above out
// does not leak outwards: the result is 0. A leak that was measured at no
// pressure difference says nothing; that too gives 0.
func Translate(q units.LeakRate, law FlowLaw, from, to State, out units.Absolute) units.LeakRate {
	if from.Pressure <= out || to.Pressure <= out {
		return 0
	}
	return q * units.LeakRate(law.conductivity(to, out)/law.conductivity(from, out))
}

// Throughput is the leak, in Pa m3/s at temperature t, behind a pressure loss
// of a closed volume at constant temperature: dn/dt·R·T with n = pV/(ZRT)
// (the pressure change method of EN 1779, from memory, with the compressibility).
func Throughput(v units.Volume, rate units.PressureRate, p units.Absolute, t units.Temperature, g Gas) units.LeakRate {
	_, slope := g.solve(p, t) // slope = dp/dn / (R T)
	return units.LeakRate(float64(v) * float64(rate) / slope)
}

// Rate is the inverse of Throughput: the pressure loss that a leak makes in a closed volume.
func Rate(q units.LeakRate, v units.Volume, p units.Absolute, t units.Temperature, g Gas) units.PressureRate {
	_, slope := g.solve(p, t)
	return units.PressureRate(float64(q) * slope / float64(v))
}

// MassFlow is the mass that a throughput at temperature t carries: q·M/(R·T), the
// ideal gas law, with M in kg/mol and the CODATA 2018 value of R.
func MassFlow(q units.LeakRate, molarMass float64, t units.Temperature) units.MassRate {
	return units.MassRate(float64(q) * molarMass / (R * float64(t)))
}

// Standstill is the temperature at which a refrigerant loss is stated: a machine at rest in a warm room.
const Standstill = units.Temperature(298.15)

// Loss is what a leak found with a test gas means in service: the refrigerant
// lost at standstill under the two laws between which nearly every small leak lies.
type Loss struct {
	Viscous   units.MassRate
	Molecular units.MassRate
}

// Worst is the larger of the two: the figure to decide by.
func (l Loss) Worst() units.MassRate {
	if math.Abs(float64(l.Molecular)) > math.Abs(float64(l.Viscous)) {
		return l.Molecular
	}
	return l.Viscous
}

// Least is the smaller of the two.
func (l Loss) Least() units.MassRate { return min(l.Viscous, l.Molecular) }

// RefrigerantLoss says what a throughput q, measured with a test gas in the
// state from, loses of the refrigerant at its saturation pressure at 25 °C,
// against the pressure out around it.
func RefrigerantLoss(q units.LeakRate, from State, r Refrigerant, out units.Absolute) (Loss, error) {
	s, err := SideAt(q, from, r, Standstill, out)
	return s.Out, err
}

// RateForLoss turns a limit on the refrigerant lost at standstill, by the worse
// law, into the pressure loss that a section of volume v filled with gas g to
// pressure p at temperature t shows when it leaks just that much.
func RateForLoss(limit units.MassRate, v units.Volume, g Gas, p units.Absolute, t units.Temperature, r Refrigerant, out units.Absolute) (units.PressureRate, error) {
	const unit units.LeakRate = 1e-6
	loss, err := RefrigerantLoss(unit, State{g, p, t}, r, out)
	if err != nil {
		return 0, err
	}
	if loss.Worst() == 0 {
		return 0, fmt.Errorf("no limit from %s: test gas and refrigerant must both stand above the outside pressure of %.0f Pa", r.Name(), float64(out))
	}
	q := units.LeakRate(float64(unit) * float64(limit) / float64(loss.Worst()))
	return Rate(q, v, p, t, g), nil
}

// BubbleTime is how long, in seconds, a leak of throughput q takes to blow a
// bubble of the given diameter (m) in soap or under water at the pressure
// around it: π/6·d³·p/q, Boyle's law and the volume of a sphere. Surface tension, below 1 % from 0.3 mm up, is left out.
func BubbleTime(q units.LeakRate, diameter float64, around units.Absolute) float64 {
	return math.Pi / 6 * diameter * diameter * diameter * float64(around) / float64(q)
}

// BubbleDiameter is the diameter, in m, of the bubble (or of the ball of foam
// without its films) that a leak has blown after some seconds.
func BubbleDiameter(q units.LeakRate, seconds float64, around units.Absolute) float64 {
	return math.Cbrt(6 / math.Pi * float64(q) * seconds / float64(around))
}

// ParseFlowLaw finds a law by its name.
func ParseFlowLaw(name string) (FlowLaw, error) {
	for _, l := range []FlowLaw{Viscous, Molecular, Choked} {
		if name == l.String() {
			return l, nil
		}
	}
	return 0, fmt.Errorf("unknown flow law %q, known are viscous, molecular, choked", name)
}

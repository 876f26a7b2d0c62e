package gas

import (
	"math"

	"example.org/holdfast/internal/units"
)

// Conductance is what flows through the tube per difference of pressure, in
// m3/s, where the flow is slow: laminar (Hagen-Poiseuille) and molecular flow
// (Knudsen) added,
//
//	C = π D⁴ p / (128 η L) + D³/(6 L) √(2π R T/M)
//
// with p the mean of both ends. Between the two regimes the sum is up to some 20 %
// too high (any text on vacuum technique; from memory).
func (d Tube) Conductance(mean units.Absolute, t units.Temperature, f Fluid) float64 {
	laminar := math.Pi * math.Pow(d.Bore, 4) * float64(mean) / (128 * f.Viscosity(t) * d.Length)
	molecular := math.Pow(d.Bore, 3) / (6 * d.Length) * math.Sqrt(2*math.Pi*R*float64(t)/f.MolarMass())
	return laminar + molecular
}

// LevelTime is the time constant, in s, with which two evacuated volumes even
// out through the tube at the mean pressure.
func (d Tube) LevelTime(v1, v2 units.Volume, mean units.Absolute, t units.Temperature, f Fluid) float64 {
	return 1 / (d.Conductance(mean, t, f) * (1/float64(v1) + 1/float64(v2)))
}

package hold

import (
	"math"

	"example.org/holdfast/internal/units"
)

// What instruments beside a refrigeration circuit can show at all; beyond, a
// device or a file is talking nonsense.
const (
	leastAtmosphere = units.Absolute(3e4)
	mostAtmosphere  = units.Absolute(1.2e5)
	mostPressure    = units.Absolute(1e9)
	leastTemp       = units.Temperature(150)
	mostTemp        = units.Temperature(600)
)

// plausible is t, or 0 = not measured where it cannot be.
func plausible(t units.Temperature) units.Temperature {
	if t > leastTemp && t < mostTemp {
		return t
	}
	return 0
}

// known gives a temperature as the mathematics wants it: NaN when not measured.
func known(t units.Temperature) float64 {
	if t > 0 {
		return float64(t)
	}
	return math.NaN()
}

package units

import (
	"fmt"
	"math"
)

// The troposphere of ISO 2533:1975, which is that of the US Standard
// Atmosphere 1976 up to 11 km.
const (
	seaLevelKelvin  = 288.15
	lapsePerMetre   = 0.0065    // K/m
	airGasConstant  = 287.05287 // J/(kg K)
	lowestAltitude  = -2000.0   // m, where the tables of ISO 2533 begin
	highestAltitude = 11000.0   // m, the top of the troposphere
)

// AtmosphereAt gives the pressure of the ISO 2533 standard atmosphere at an
// altitude above sea level:
//
//	p = p0 (1 - L H / T0)^(g0 / (R L))
//
// with H the geopotential altitude. The height on a map differs from it by less
// than 3 m up to 4000 m, which is 21 Pa; the weather moves the barometer by a
// hundred times that.
func AtmosphereAt(altitudeMetres float64) (Absolute, error) {
	if !(altitudeMetres >= lowestAltitude && altitudeMetres <= highestAltitude) {
		return 0, fmt.Errorf("altitude %s m is outside the standard atmosphere: from %.0f to %.0f m",
			Significant(altitudeMetres, 5), lowestAltitude, highestAltitude)
	}
	exponent := standardGravity / (airGasConstant * lapsePerMetre)
	ratio := math.Pow(1-lapsePerMetre*altitudeMetres/seaLevelKelvin, exponent)
	return StandardAtmosphere * Absolute(ratio), nil
}

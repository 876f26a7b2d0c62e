package hold

import (
	"fmt"

	"example.org/holdfast/internal/units"
)

// A pressure read in a wrong unit is off by 10 (MPa or kg/cm2 for bar), 14.5 (psi for bar) or 100 (kPa
// for bar). A section is filled to somewhere below its ceiling, so what is several
// times that, or a small part of it, is more likely a slip than a filling.
const (
	farAbove = 4.0 // times the ceiling
	farBelow = 0.1 // of the ceiling
	// No circuit with one of the refrigerants of refdata is tested with more than highestTest, and
	// none of CO2 with more than highestCO2; Pa gauge (common practice, no source).
	highestTest = units.Gauge(70e5)
	highestCO2  = units.Gauge(200e5)
)

// unitDoubt says that the unit of the pressure may be wrong; "" = nothing speaks for it.
func (h *Hold) unitDoubt() string {
	if h.vacuum() || !h.s.HasPressure || h.fit == nil && h.s.Gauge < openGauge {
		return ""
	}
	ceiling, p := h.s.Header.Settings.Ceiling, h.s.Gauge
	read := units.FormatPressure(float64(p), h.unit())
	const look = "Is the unit right? 1 bar is 14.5 psi, 100 kPa, 0.1 MPa and 1.02 kg/cm2."
	switch {
	case ceiling > 0 && p > farAbove*ceiling:
		return fmt.Sprintf("%s is %s times the ceiling of %s. %s", read, units.Significant(float64(p/ceiling), 2), units.FormatPressure(float64(ceiling), h.unit()), look)
	case ceiling > 0 && p < farBelow*ceiling:
		return fmt.Sprintf("%s is less than a tenth of the ceiling of %s. %s", read, units.FormatPressure(float64(ceiling), h.unit()), look)
	case p > highestCO2, p > highestTest && h.setup.refrigerant != nil:
		return fmt.Sprintf("%s is more than such a circuit is tested with. %s", read, look)
	}
	return ""
}

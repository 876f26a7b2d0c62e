package hold

import (
	"fmt"
	"math"
	"slices"

	"example.org/holdfast/internal/gas"
	"example.org/holdfast/internal/units"
	"example.org/holdfast/internal/verdict"
)

// sizeBoiling says how much refrigerant a rise would be and how far it could
// go, where the settings know enough: m = p V M / (R T) with the vapour taken
// as ideal, and the saturation pressure at the temperature of the part or room. Water
// boils off too, but no further than its own vapour pressure.
func (h *Hold) sizeBoiling() {
	i := slices.IndexFunc(h.s.Verdict.Causes, func(c verdict.Cause) bool { return c.Cause == verdict.BoilingOut })
	t := h.limitAt
	if h.s.HasSection {
		t = h.s.Section
	}
	if i < 0 || t <= 0 {
		return
	}
	rise, at := h.s.Estimate.Levelling.Value, units.FormatTemperature(t, "C")
	more := fmt.Sprintf("; water lifts it by no more than %s at %s", units.FormatPressureFine(float64(gas.WaterSaturation(t)), h.unit()), at)
	if r := h.setup.refrigerant; r != nil && rise > 0 {
		if v := float64(h.setup.volume); v > 0 {
			kg := rise * v * r.MolarMass() / (gas.R * float64(t))
			more += fmt.Sprintf("; as %s it would be %s so far", r.Name(), units.FormatMass(units.Mass(kg)))
		}
		if p, err := r.Saturation(t); err == nil {
			most := math.Max(float64(p.Gauge(h.s.Atmosphere)), 0)
			more += fmt.Sprintf("; the saturation pressure of %s at %s is %s gauge", r.Name(), at, units.FormatPressure(most, h.unit()))
		}
	}
	h.s.Verdict.Causes = slices.Clone(h.s.Verdict.Causes) // a State given out keeps its own
	h.s.Verdict.Causes[i].Evidence += more
}

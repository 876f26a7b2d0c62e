package hold

import (
	"fmt"
	"math"

	"example.org/holdfast/internal/gas"
	"example.org/holdfast/internal/units"
	"example.org/holdfast/internal/verdict"
)

// sizeBoiling says how much refrigerant a rise would be and how far it could
// go, where the settings know enough: m = p V M / (R T) with the vapour taken
// as ideal, and the saturation pressure at the temperature of the part or room.
func (h *Hold) sizeBoiling() {
	rise, r := h.s.Estimate.Levelling.Value, h.setup.refrigerant
	if r == nil || !(rise > 0) {
		return
	}
	t := h.limitAt
	if h.s.HasSection {
		t = h.s.Section
	}
	for i, c := range h.s.Verdict.Causes {
		if c.Cause != verdict.BoilingOut {
			continue
		}
		more := ""
		if v := float64(h.setup.volume); v > 0 && t > 0 {
			kg := rise * v * r.MolarMass() / (gas.R * float64(t))
			more = fmt.Sprintf("; as %s it would be %s so far", r.Name(), units.FormatMass(units.Mass(kg)))
		}
		if p, err := r.Saturation(t); err == nil {
			most := math.Max(float64(p.Gauge(h.s.Atmosphere)), 0)
			more += fmt.Sprintf("; the saturation pressure of %s at %s is %s gauge", r.Name(), units.FormatTemperature(t, "C"), units.FormatPressure(most, h.unit()))
		}
		causes := append([]verdict.Cause{}, h.s.Verdict.Causes...) // a State given out keeps its own
		causes[i].Evidence += more
		h.s.Verdict.Causes = causes
	}
}

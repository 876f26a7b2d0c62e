package hold

import (
	"math"

	"example.org/holdfast/internal/decay"
	"example.org/holdfast/internal/units"
)

const yearHours = units.SecondsPerYear / units.SecondsPerHour

// config hands the mathematics what is known beforehand.
func (h *Hold) config() decay.Config {
	set := h.s.Header.Settings
	c := decay.Config{
		Gas:        h.setup.gas.Plain(),
		Atmosphere: float64(h.s.Atmosphere),
		FullScale:  float64(set.PressureRange),
		Accuracy:   float64(set.PressureAccuracy),
		Step:       float64(set.PressureStep),
		TempStep:   float64(set.TemperatureStep),
		Brazed:     set.Brazed,
		Planned:    h.s.HoldFor,
	}
	for _, d := range h.s.Header.Devices {
		if c.FullScale == 0 {
			c.FullScale = float64(d.PressureRange)
		}
		if c.Accuracy == 0 {
			c.Accuracy = float64(d.PressureAccuracy)
		}
		if c.ZeroDrift == 0 {
			c.ZeroDrift = d.ZeroDrift
		}
		// A drift stated for a year is no less over an hour than its share of it.
		if s := math.Max(d.Stability.PerHour(), float64(d.Drift)/yearHours); c.Stability == 0 && (d.Stability > 0 || s > decay.UsualStability) {
			c.Stability = s
		}
		if c.Step == 0 {
			c.Step = float64(d.PressureStep)
		}
		if c.TempStep == 0 {
			c.TempStep = float64(d.TemperatureStep)
		}
	}
	return c
}

package verdict

import (
	"math"

	"example.org/holdfast/internal/decay"
	"example.org/holdfast/internal/units"
)

// ByVolume widens an estimate by what is unknown of the volume, for figures and
// limits that are amounts: an amount is volume times pressure loss, and of a product of independent
// factors the relative variances add (JCGM 100:2008, 5.1.6, with the second-order term of the note to 5.1.2).
func ByVolume(e decay.Estimate, volumeSE float64) decay.Estimate {
	if volumeSE <= 0 || e.SE <= 0 {
		return e
	}
	r := e.Rate.Value
	wider := math.Sqrt(e.SE*e.SE + volumeSE*volumeSE*(r*r+e.SE*e.SE))
	grow := wider / e.SE
	e.Rate.Lo, e.Rate.Hi = r-(r-e.Rate.Lo)*grow, r+(e.Rate.Hi-r)*grow
	e.SE = wider
	return e
}

// atMost is the upper end of the loss, Pa/s. No leak is negative: a figure below
// zero is an error and counts as zero, or a rise by chance would leave nothing that could hide.
func atMost(e decay.Estimate) float64 {
	return math.Max(e.Rate.Value, 0) + e.Rate.Half() + stepLoss(e)
}

// hides is what could still hide: the upper end of the loss, and of the amounts with what is unknown of the volume.
func hides(in Input) Figures {
	more := stretch(in, in.Estimate.At)
	f := in.Figures(units.PressureRate(atMost(in.Estimate) * more))
	if !f.HasThroughput {
		return f
	}
	wide := in.Figures(units.PressureRate(atMost(ByVolume(in.Estimate, in.VolumeSE)) * more))
	f.Throughput, f.Refrigerant, f.RefrigerantLow = wide.Throughput, wide.Refrigerant, wide.RefrigerantLow
	return f
}

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

// atMost is the most that could still leak, Pa/s: what must be below the limit to be tight at the
// end. No gas comes in by itself, so a rise is an error of its size, which could as well go the other way.
func atMost(e decay.Estimate) float64 {
	return math.Abs(e.Rate.Value) + stepLoss(e) + tightFinal*e.SE
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

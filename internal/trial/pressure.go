package trial

import (
	"math"
	"slices"

	"example.org/holdfast/internal/units"
)

// few is how many pressures it takes to speak of noise and drift.
const few = 8

// measure computes mean, noise, step and drift.
func (r *Result) measure(at, p []float64) {
	r.Mean = mean(p)
	if len(p) < few {
		return
	}
	diffs := differences(p)
	// The noise of one reading from the differences of neighbours, by their
	// median, so that a spike or a step does not count as noise:
	// sd = 1.4826 * median |difference| / sqrt(2), for the normal law.
	abs := make([]float64, len(diffs))
	for i, d := range diffs {
		abs[i] = math.Abs(d)
		if abs[i] > 0 && !(abs[i] >= r.Step) {
			r.Step = abs[i]
		}
	}
	slices.Sort(abs)
	r.Noise = 1.4826 * abs[len(abs)/2] / math.Sqrt2
	r.Drift = slope(at, p)
}

func differences(p []float64) []float64 {
	d := make([]float64, len(p)-1)
	for i := range d {
		d[i] = p[i+1] - p[i]
	}
	return d
}

func mean(x []float64) float64 {
	sum := 0.0
	for _, v := range x {
		sum += v
	}
	return sum / float64(len(x))
}

// slope is that of the straight line of least squares; 0 where time stands still.
func slope(x, y []float64) float64 {
	mx, my := mean(x), mean(y)
	var sxy, sxx float64
	for i := range x {
		sxy += (x[i] - mx) * (y[i] - my)
		sxx += (x[i] - mx) * (x[i] - mx)
	}
	if sxx == 0 {
		return 0
	}
	return sxy / sxx
}

// Limits of an instrument that is at rest.
const (
	noisyShare  = 0.001 // of the range
	noisy       = 2000  // Pa, where the range is not known
	jumpNoises  = 8     // noises that a jump is above
	jumpLeast   = 500   // Pa that a jump is above
	driftNoises = 4     // standard errors that a drift is above
	driftLeast  = 300   // Pa/min that a drift is above
)

// pressure says what is wrong with the pressures beside each other.
func (r *Result) pressure(at, p []float64, set Setup) {
	if len(p) < few {
		r.say(false, "few", "only %d pressures came: let it be watched for longer to see noise and drift", len(p))
		return
	}
	limit := float64(noisy)
	if set.Spec.PressureRange > 0 {
		limit = noisyShare * float64(set.Spec.PressureRange)
	}
	if r.Noise > limit {
		r.say(true, "noise", "the pressure is noisy by %s: check shielding, supply and ground", set.words(r.Noise))
	}
	if r.Step != r.Step {
		r.say(false, "still", "the pressure did not change at all: right for a coarse step or an open gauge, wrong for a reading that is frozen")
	}
	least := max(jumpLeast, jumpNoises*r.Noise, 3*float64(set.Spec.PressureStep))
	spikes, steps := jumps(p, least)
	if spikes > 0 {
		r.say(true, "spikes", "%d single readings are off by more than %s: check the cable and what is switched nearby", spikes, set.words(least))
	}
	if steps > 0 {
		r.say(true, "steps", "the pressure jumped %d times by more than %s and stayed: check plugs and the supply, or leave valve and hose alone meanwhile", steps, set.words(least))
	}
	if spikes+steps > 0 {
		return // a slope through jumps is no drift
	}
	// The standard error of a slope through n readings of noise s, evenly in a time T: s * sqrt(12/n) / T.
	span := at[len(at)-1] - at[0]
	scatter := max(r.Noise, float64(set.Spec.PressureStep)/math.Sqrt(12)) * math.Sqrt(12/float64(len(p))) / max(span, 1e-9)
	if d := math.Abs(r.Drift); d > driftNoises*scatter && d*60 > driftLeast {
		r.say(true, "drift", "the pressure drifts by %s a minute with nothing done: let the sensor warm up, and a filled section settle", set.words(r.Drift*60))
	}
}

// jumps counts readings that are off alone, and changes that stay.
func jumps(p []float64, least float64) (spikes, steps int) {
	for i := 1; i < len(p); i++ {
		if math.Abs(p[i]-p[i-1]) <= least {
			continue
		}
		if i+1 < len(p) && math.Abs(p[i+1]-p[i-1]) <= least {
			spikes++
			i++
			continue
		}
		steps++
	}
	return spikes, steps
}

// nearAir is how far from the atmosphere a reading may be to be that of an open
// gauge: the weather moves by 5 %, a mountain by more.
const nearAir = 0.06

// reference checks zero and unit of a gauge that is open, and suspects the reference of one that may be.
func (r *Result) reference(set Setup) {
	air := set.atmosphere()
	like := func(pa, of float64) bool { return math.Abs(pa-of) < nearAir*air }
	gauge := r.Last.Ref == units.GaugeRef
	switch {
	case gauge && like(r.Mean, air):
		r.say(set.Open, "reference", "it reads %s gauge, which is the air around us: if it is open, it measures absolute, and its column ends in _abs", set.words(r.Mean))
	case !gauge && like(r.Mean, 0):
		r.say(set.Open, "reference", "it reads %s absolute, nearly a vacuum: if it is open, it measures gauge, and its column does not end in _abs", set.words(r.Mean))
	case set.Open:
		r.zero(air, gauge, set)
	}
}

// zero checks an open gauge: the air must read as zero, or as the barometer.
func (r *Result) zero(air float64, gauge bool, set Setup) {
	off, most := r.Mean, zeroMost(set)
	if !gauge {
		off -= air
		if set.Barometer == 0 {
			most = nearAir * air // what the weather may be
		}
	}
	if math.Abs(off) <= most {
		return
	}
	if name := wrongUnit(r.Mean, air, gauge, set.PerUnit); name != "" {
		r.say(true, "unit", "it reads %s where the air is %s: its numbers seem to be in %s", set.words(r.Mean), set.words(air), name)
		return
	}
	r.say(true, "zero", "it is open and reads %s too much: `holdfast devices calibrate` takes that off", set.words(off))
}

// zeroMost is how far from zero an open gauge may stand: its accuracy, or 0.5 %
// of its range, or 20 mbar where neither is known.
func zeroMost(set Setup) float64 {
	switch {
	case set.Spec.PressureAccuracy > 0:
		return float64(set.Spec.PressureAccuracy)
	case set.Spec.PressureRange > 0:
		return 0.005 * float64(set.Spec.PressureRange)
	}
	return 2000
}

// wrongUnit finds the unit in which the number of an open absolute sensor would be the air.
func wrongUnit(pa, air float64, gauge bool, said float64) string {
	if gauge || said == 0 {
		return "" // zero is zero in every unit
	}
	for _, name := range []string{"bar", "kPa", "mbar", "psi", "Pa"} {
		is, _, _, err := units.PressureUnit(name)
		if err == nil && is != said && math.Abs(pa*is/said-air) < nearAir*air {
			return name
		}
	}
	return ""
}

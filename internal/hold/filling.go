package hold

import "example.org/holdfast/internal/decay"

// filling watches the pressure for the moment when the filling ends, and for a
// new filling later. Nobody presses a key at the right moment; the pressure
// itself says it.
type filling struct {
	active bool
	peak   float64        // Pa absolute, highest so far
	since  float64        // s, of the peak
	buffer []decay.Sample // from the peak on, to be given to the fit; times since the first record
	lastT  float64
	lastP  float64
	sparse bool    // readings more than half a minute apart
	upAt   float64 // s, when the pressure jumped up and has stayed; 0 = it has not
}

const (
	fillQuiet  = 20.0  // s without a new peak end the filling
	fillStep   = 0.003 // a new peak is higher by this share
	handStep   = 0.03  // the same where readings are far apart and the room has time to move
	refillStep = 0.02  // a rise by this share within refillTime is a new filling
	refillTime = 60.0  // s
	refillStay = 5.0   // s it stays up; what comes back at once was a spike
	openGauge  = 0.3e5 // Pa above the atmosphere: below this nothing has been let in yet
	bufferMost = 1 << 14
)

func (f *filling) begin() { *f = filling{active: true} }

// shift moves what was kept by some Pa.
func (f *filling) shift(by float64) {
	if f.lastP == 0 {
		return
	}
	f.peak += by
	f.lastP += by
	for i := range f.buffer {
		f.buffer[i].P += by
	}
}

// watch takes a sample while filling and reports whether the filling is over.
func (f *filling) watch(s decay.Sample, atmosphere float64) (over bool) {
	f.sparse = f.lastP > 0 && s.T-f.lastT > 30
	step := fillStep
	if f.sparse {
		step = handStep
	}
	f.lastT, f.lastP = s.T, s.P
	switch {
	case s.P < atmosphere+openGauge:
		f.peak, f.since = s.P, s.T
		f.buffer = f.buffer[:0]
		return false
	case s.P > f.peak:
		// A crawl upwards still moves the start of the segment, but only a real
		// step keeps the filling alive.
		if s.P > f.peak*(1+step) || len(f.buffer) == 0 {
			f.since = s.T
		}
		if s.T-f.since < fillQuiet {
			f.peak = s.P
			f.buffer = f.buffer[:0]
		}
	}
	if len(f.buffer) < bufferMost {
		f.buffer = append(f.buffer, s)
	}
	return s.T-f.since >= fillQuiet
}

// refill reports, outside a filling, that the pressure has jumped up and stayed
// there: one wrong reading must not throw away what was held so far.
func (f *filling) refill(s decay.Sample) bool {
	up := f.lastP > 0 && s.P > f.lastP*(1+refillStep)
	switch {
	case up && f.upAt > 0:
		return s.T-f.upAt >= refillStay
	case up && s.T-f.lastT < refillTime:
		f.upAt = s.T // the reference waits where it was
		return false
	}
	// The reference creeps after the pressure so that a slow rise never adds up.
	f.lastT, f.lastP, f.upAt = s.T, s.P, 0
	return false
}

package decay

import "math"

// Config is what is known of a hold beforehand. Zero values mean unknown.
type Config struct {
	Gas        Gas     // nil = ideal
	Atmosphere float64 // Pa absolute around the section; 0 = 101325
	FullScale  float64 // Pa, span of the pressure sensor; 0 = unknown, 35 bar is assumed
	Accuracy   float64 // Pa, stated accuracy of the pressure, half-width; 0 = unknown
	ZeroDrift  float64 // Pa/K, of the zero with the sensor's temperature; 0 = unknown, 6e-5 of the span is assumed
	Stability  float64 // Pa/h, how steady the sensor stays over hours, standard deviation; 0 = unknown, 120 is assumed
	Step       float64 // Pa, readable step of the pressure; 0 = found from the data
	TempStep   float64 // K, readable step of the thermometer; 0 = found from the data
	Brazed     bool    // the part was brazed or heated just before
	Planned    float64 // s, how long the hold is meant to last; only for projections
	LookEvery  float64 // s between looks at the evidence; 0 = at every row, as an alarm needs. Planning asks rarely
}

// UsualStability is how steady a sensor stays over hours if nothing is stated,
// Pa/h, standard deviation (common practice, no source).
const UsualStability = 120.0

const (
	tRef        = 293.0      // K, the temperature in which heat terms are expressed
	binLength   = 20.0       // s, of a bin in the first two hours
	firstUse    = 120.0      // s after filling before the fit starts
	sparse      = 60.0       // s between samples from which they count as read by hand
	defaultSpan = 35e5       // Pa
	priorRate   = 3.0        // 1/h, standard deviation of the leak
	priorLevel  = 0.1        // of ln P
	historySpan = 3 * 3600.0 // s of room drift assumed before the record
	lawError    = 0.015      // relative, of the leak: flow law and reference state
	openedError = 0.03       // relative, of a leak that opened: the law, from a short stretch, and when
	handError   = 0.03       // relative, of the leak, when read by hand
	zeroDrift   = 6e-5       // of the span per K, if not stated
)

// Members of the bank that the forks refer to.
const (
	normalHeat = 1 // of the heat scales
	longWander = 3 // of the wanders
)

// Numbers of terms.
const (
	nLag = 7
	nTau = 7
	nLaw = 3
)

// thermal is one way of tying the gas to thermometers: lags and their priors.
type thermal struct {
	lag    [nLag]float64 // s
	onPart [nLag]bool    // driven by the thermometer on the part instead of the room's
	mean   [nLag]float64 // prior of the weight
	sd     [nLag]float64
	sumSD  float64       // of the sum of the weights around 1; <=0 = no such tie
	heatSD [nTau]float64 // K, prior of the filling heat
	heat   [nTau]float64 // K, its mean
}

// tau are the time constants of the fading filling heat, s.
var tau = [nTau]float64{50, 100, 200, 400, 800, 1600, 3200}

// heatScales are the hypotheses of how hot the part was, on the slow heat terms
// (tau >= 800 s), with their prior weights: cold, normal, brazed, just brazed.
var (
	heatScales   = [...]float64{0.2, 1, 5, 20}
	heatWeights  = [...]float64{0.35, 0.42, 0.17, 0.06}
	brazedScales = [...]float64{1, 4, 16, 60}
)

// slopes are the hypotheses of the room's drift before the record, K/h.
var slopes = [...]float64{-3, -1.5, -0.6, 0, 0.6, 1.5, 3}

// wander is one hypothesis of how air the thermometer does not see strays: the
// sum of processes with memory length (s) and standard deviation (K).
type wander []struct{ length, sd float64 }

var (
	wanders = []wander{
		{{600, 0.01}}, {{600, 0.04}}, {{600, 0.12}},
		{{2500, 0.04}}, {{2500, 0.12}},
	}
	// blind stands for a room nobody measured.
	blind = wander{{1200, 0.5}, {24 * 3600, 6}}
)

// roomThermal ties the gas to a thermometer in the room.
func roomThermal() thermal {
	t := thermal{
		lag:    [nLag]float64{0, 60, 150, 400, 1000, 2500, 6000},
		sumSD:  0.015,
		heat:   [nTau]float64{1.5, 1.5, 1, 0.6, 0.3, 0.1, 0.03},
		heatSD: [nTau]float64{4, 4, 2.5, 1.5, 0.5, 0.2, 0.1},
	}
	for j := range t.lag {
		t.mean[j], t.sd[j] = 1.0/nLag, 0.2
	}
	return t
}

// partThermal ties it to a thermometer on the part, with the room as a helper.
func partThermal() thermal {
	return thermal{
		lag:    [nLag]float64{0, 60, 200, 600, 0, 300, 1500},
		onPart: [nLag]bool{true, true, true, true},
		mean:   [nLag]float64{0.4, 0.3, 0.2, 0.1, 0, 0, 0},
		sd:     [nLag]float64{0.3, 0.3, 0.3, 0.2, 0.12, 0.12, 0.1},
		sumSD:  0.015,
		heat:   [nTau]float64{1.5, 1.5, 1, 0.6, 0.2, 0.08, 0.03},
		heatSD: [nTau]float64{4, 4, 2, 0.6, 0.2, 0.08, 0.04},
	}
}

// span is the sensor's full scale, assumed when unknown.
func (c Config) span() float64 {
	if c.FullScale > 0 {
		return c.FullScale
	}
	return defaultSpan
}

// drift is how the zero moves with the temperature, Pa/K.
func (c Config) drift() float64 {
	if c.ZeroDrift > 0 {
		return c.ZeroDrift
	}
	return zeroDrift * c.span()
}

// inaccuracy is the standard deviation of the stated accuracy, Pa: a bound
// without more said is a rectangle (JCGM 100:2008, 4.3.7).
func (c Config) inaccuracy() float64 { return c.Accuracy / math.Sqrt(3) }

// beyond is the variance of a leak r (1/h of the start pressure) that no fit can
// know: gain, which scales every difference of pressure by the same share, and
// how steady the sensor stays. A zero that is off but stays drops out of differences.
func (c Config) beyond(r, start float64) float64 {
	stability := c.Stability
	if stability <= 0 {
		stability = UsualStability
	}
	return sq(c.inaccuracy()/c.span()*r) + sq(stability/start)
}

// atmosphere is the pressure around the section.
func (c Config) atmosphere() float64 {
	if c.Atmosphere > 0 {
		return c.Atmosphere
	}
	return 101325
}

// stiffness is G = (T/P)(dP/dT) at constant density: by how many per cent the
// pressure follows one per cent of temperature. From ln P = ln rho + ln RT + ln Z(P,T):
// G = (1 + dlnZ/dlnT) / (1 - dlnZ/dlnP).
func (c Config) stiffness(p, t float64) float64 {
	if c.Gas == nil {
		return 1
	}
	const h = 0.01
	zt := (math.Log(c.Gas.Z(p, t*(1+h))) - math.Log(c.Gas.Z(p, t*(1-h)))) / (2 * h)
	zp := (math.Log(c.Gas.Z(p*(1+h), t)) - math.Log(c.Gas.Z(p*(1-h), t))) / (2 * h)
	return (1 + zt) / (1 - zp)
}

// lawFlow is what drives a leak at absolute pressure p under each flow law:
// laminar viscous p^2 - pa^2, molecular p - pa, choked p (results of
// kinetic theory and Hagen-Poiseuille flow, from memory).
func lawFlow(p, pa float64) [nLaw]float64 {
	return [nLaw]float64{math.Max(p*p-pa*pa, 0), math.Max(p-pa, 0), p}
}

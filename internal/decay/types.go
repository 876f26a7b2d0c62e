package decay

// Sample is one measurement of the closed-off section.
type Sample struct {
	T       float64 // s since the filling ended, on a clock that counts sleep
	P       float64 // Pa absolute
	Ambient float64 // K, room air; NaN = none
	Section float64 // K, on the part; NaN = none
	Step    float64 // Pa, readable step of this sample; 0 = Config's
}

// Gas is what the mathematics needs to know of the test gas.
type Gas interface {
	// Z is the compressibility factor at an absolute pressure in Pa and a temperature in K.
	Z(p, t float64) float64
}

// Supplied reports a pressure that is kept where it is: it stands still while
// the room moved so much that a closed gas would have followed.
func (e *Estimate) Supplied() bool {
	return e.unfollowed() && e.Follows.Hi > 0 && e.Held >= heldSure
}

// Astray reports a thermometer that has nothing to do with the part: the
// pressure goes its own way, or the other.
func (e *Estimate) Astray() bool { return e.unfollowed() && !e.Supplied() }

func (e *Estimate) unfollowed() bool {
	return e.Follows.Lo < e.Follows.Hi && e.Follows.Hi < followsNot && e.At > astrayFrom
}

// Levels reports a rise that dies out, beyond doubt and beyond a thousandth of the pressure.
func (e *Estimate) Levels() bool {
	return e.Levelling.Value > 2*e.Levelling.Half() && e.Levelling.Lo > 0 && e.Levelling.Value > e.Start/1000
}

// Interval is an estimate that is never a bare number: the value with its two-sided 95 % interval.
type Interval struct {
	Value float64 `json:"value"`
	Lo    float64 `json:"lo"`
	Hi    float64 `json:"hi"`
}

// Half is the half-width of the interval.
func (i Interval) Half() float64 { return (i.Hi - i.Lo) / 2 }

// Estimate is what a hold says so far. Rates are Pa/s of absolute pressure at
// the start pressure, caused by the leak alone, positive = loss.
type Estimate struct {
	Valid                                        bool     // false: nothing to say yet; the numbers below are zero
	At                                           float64  // s, time of the last bin used
	Rate                                         Interval // since the filling, or since the leak opened if Opened is set
	SE                                           float64  // Pa/s, standard uncertainty of Rate.Value
	Z                                            float64  // value over standard uncertainty in the whole bank
	ZHot                                         float64  // the same if the part was brazed just before: is the fall beyond any cooling?
	Start                                        float64  // Pa absolute, pressure at the start of the segment
	End                                          float64  // Pa absolute, last pressure
	Level                                        float64  // Pa absolute, pressure at the start without the heat of filling; 0 = not known, as where a leak opened
	Corrected                                    float64  // Pa absolute, last pressure at the temperature of the start, without the heat of filling
	WidthSensor, WidthTemperature, WidthSettling float64  // shares of the variance, sum 1
	HeatRate                                     float64  // Pa/s, how fast the heat of filling still moves the pressure, either way
	SettledAt                                    float64  // s from which that no longer matters at the level of the limit (set by the reducer, which knows the limit); <0 = not yet
	CalledAt                                     float64  // s when the alarm rang; <0 = never
	CalledWhy                                    string   // "gross", "steady" or "opened"
	OpenedAt                                     float64  // s when a leak opened during the hold; <0 = not so
	Blind                                        float64  // probability that the thermometer tells nothing of the part; 0 without one
	UpsetAt                                      float64  // s when something disturbed the section and died out; <0 = nothing did
	Follows                                      Interval // share of the room's moves that the pressure follows, 1 = as a closed gas must; all zero = not known
	Held                                         float64  // probability that a pressure that does not follow is kept where it is
	Levelling                                    Interval // Pa, rise that dies out, since ten minutes after the filling, beyond the room's; all zero = not known
	Steps                                        []Step   // of the sensor, found and taken out, oldest first
	Coarse                                       float64  // Pa, step of a reading by eye or of a display that stands still between its steps; 0 = finer
	Frozen                                       bool     // the pressure sensor has stopped and still stands
	Changing                                     float64  // s since when it falls faster than before, too short to say why; 0 = it does not
	Slowed                                       float64  // s since when it falls more slowly than before, beyond doubt and beyond a disturbance; 0 = it does not
	Falling                                      bool     // falls, but cooling could still explain it
	Warnings                                     []Warning
	Bins                                         int
}

// Warning is a doubt that travels with the estimate.
type Warning struct {
	Code string // short and stable: "no thermometer", "frozen sensor", ...
	Text string // for people
}

// Point is one place of the curve on the screen.
type Point struct {
	T         float64 // s since the start of the segment
	Raw       float64 // Pa absolute, as measured
	RawMin    float64 // Pa absolute, lowest sample behind this point
	RawMax    float64 // Pa absolute, highest
	Corrected float64 // Pa absolute, at the temperature of the start, filling heat taken off
	Fit       float64 // Pa absolute, what the fit says of Corrected
	Ambient   float64 // K; 0 = none
	Section   float64 // K; 0 = none
	Gap       bool    // nothing was measured between the point before and this one
}

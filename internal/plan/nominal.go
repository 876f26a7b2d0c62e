package plan

import (
	"math"
	"math/rand/v2"
	"slices"

	"example.org/holdfast/internal/decay"
	"example.org/holdfast/internal/gas"
	"example.org/holdfast/internal/units"
)

// Place is where the thermometer sits.
type Place string

// The places, in the words of --thermometer.
const (
	NoThermometer Place = "none"
	InRoom        Place = "room"
	OnPart        Place = "part"
)

// Instruments are what the hold is watched with.
type Instruments struct {
	Range       units.PressureDiff // span of the pressure sensor; 0 = 35 bar, as the engine assumes
	Noise       units.PressureDiff // standard deviation of one reading; 0 = a 20 000th of the span (common practice, no source)
	Step        units.PressureDiff // readable step; 0 = too fine to matter
	Interval    float64            // s between readings; 0 = 1 s, by hand 600 s
	ByHand      bool               // a gauge read by eye
	Thermometer Place              // "" = in the room
	TempStep    units.TempDiff     // readable step of the thermometer; 0 = 0.0625 K, by hand 0.5 K
}

const (
	usualRange    = units.PressureDiff(35e5)
	usualNoise    = 1.0 / 20000 // of the span
	usualTempStep = units.TempDiff(0.0625)
	handTempStep  = units.TempDiff(0.5)
	handInterval  = 600.0 // s
	handStep      = units.PressureDiff(0.1e5)
)

// filled puts the usual values where nothing is said.
func (i Instruments) filled() Instruments {
	if i.Range == 0 {
		i.Range = usualRange
	}
	if i.Noise == 0 {
		i.Noise = units.PressureDiff(usualNoise * float64(i.Range))
	}
	if i.Thermometer == "" {
		i.Thermometer = InRoom
	}
	if i.ByHand && i.Step == 0 {
		i.Step = handStep
	}
	if i.Interval == 0 {
		i.Interval = 1
		if i.ByHand {
			i.Interval = handInterval
		}
	}
	if i.TempStep == 0 {
		i.TempStep = usualTempStep
		if i.ByHand {
			i.TempStep = handTempStep
		}
	}
	return i
}

// coarse reports a display whose steps are larger than its noise. What it tells
// hangs on when it steps, so no mean can stand for its readings.
func (i Instruments) coarse() bool { return !i.ByHand && float64(i.Noise) < float64(i.Step) }

// Stuck reports one whose noise is too small to be seen: it stands still until the pressure comes to its next step.
func (i Instruments) Stuck() bool { return i.coarse() && float64(i.Noise) < 0.2*float64(i.Step) }

// still reports one of which even the steps are not blurred.
func (i Instruments) still() bool { return i.Stuck() && i.Noise < i.Step/10 }

// nominal is an ordinary hold without a leak, in a still room, by instruments
// that do what they say. Its part and its room are chosen so that the uncertainty is the
// median of simulated holds (promise_test.go).
type nominal struct {
	gas        gas.Gas
	start      units.Absolute
	atmosphere units.Absolute
	with       Instruments // filled
	brazed     bool
	unmoved    bool // the display never steps once it is at rest
}

// Look is what the hold can see after some time.
type Look struct {
	After float64            // s since the filling when it is known
	SE    units.PressureRate // standard uncertainty of the leak, at the start pressure
	Slow  float64            // how much of the spread from hold to hold (see spread) there is by then: all = 1
}

// A fine sensor is played once a bin of the engine, with the noise of the mean of
// all the readings in that bin; a coarse one and a needle as they are read.
const (
	binLength = 20.0  // s
	lookEvery = 900.0 // s; a stuck display is looked at more often, for it tells when it steps, and a needle with every reading
)

// looks plays the nominal hold to the engine for so many seconds and gives its uncertainty at each look.
func (n nominal) looks(seconds float64) []Look {
	part := newPart(air(0))
	amount := n.gas.Density(n.start, units.Temperature(part.gas(0)))
	every, step, shown := n.sampling(float64(n.gas.PressureAt(amount, fillAt)))
	config := decay.Config{
		Gas: n.gas.Plain(), Atmosphere: float64(n.atmosphere), FullScale: float64(n.with.Range),
		Step: step, TempStep: float64(n.with.TempStep), Brazed: n.brazed, LookEvery: lookEvery,
	}
	switch {
	case n.with.ByHand:
		config.LookEvery = 0
	case n.with.Stuck():
		config.LookEvery = lookEvery / 6
	}
	h := decay.New(config)
	var out []Look
	at := 0.0 // s, of the last look
	for i := 0; ; i++ {
		t := float64(i) * every
		part.advance(every, air(t)+unseen(t))
		p := n.gas.PressureAt(amount, units.Temperature(part.gas(t)))
		h.Add(n.sample(t, shown(i, float64(p)), part))
		if e := h.Estimate(); e.Valid && e.At > at {
			at = e.At
			out = n.look(out, t, every, e)
		}
		if t > seconds && len(out) > 0 && (out[len(out)-1].After >= seconds || n.with.Stuck()) {
			return n.lagging(out)
		}
	}
}

// look adds a new answer of the engine. One of a needle or of a stuck display
// comes later than the reading that it is of, and until then the last one stands.
func (n nominal) look(out []Look, t, every float64, e decay.Estimate) []Look {
	l := Look{e.At, units.PressureRate(e.SE), 1 - e.WidthSensor}
	if n.with.ByHand || n.with.Stuck() {
		l.After = t
	}
	if k := len(out) - 1; n.with.Stuck() && k >= 0 && out[k].After < t-every {
		out = append(out, Look{t - every, out[k].SE, out[k].Slow})
	}
	return append(out, l)
}

// restsAt is where between two steps of the display the pressure comes to rest, in
// steps from the middle of one. How soon it steps, and so how much is seen, hangs on it; these are
// the places from which the median of simulated holds comes out.
func (n nominal) restsAt() float64 {
	if n.unmoved || n.with.still() {
		return 0
	}
	return 0.5
}

// sampling is how the instruments are played: s apart, with which readable step
// (Pa), and what is shown of the i-th pressure, which comes to rest at a known one.
func (n nominal) sampling(rest float64) (every, step float64, shown func(i int, p float64) float64) {
	noise, step := float64(n.with.Noise), float64(n.with.Step)
	switch {
	case n.with.ByHand:
		return n.with.Interval, step, func(_ int, p float64) float64 { return rest + step*math.Round((p-rest)/step) }
	case n.with.coarse():
		off, chance := n.restsAt(), rand.New(rand.NewPCG(1, 1)) // always the same
		return math.Max(n.with.Interval, 1), step, func(_ int, p float64) float64 {
			return rest + step*(math.Round((p-rest+noise*chance.NormFloat64())/step+off)-off)
		}
	}
	mean := math.Sqrt(math.Max(binLength/n.with.Interval, 1))
	return math.Max(binLength, n.with.Interval), step / mean, func(i int, p float64) float64 { return p + noise/mean*flicker(i) }
}

// sample is what the instruments say.
func (n nominal) sample(t, p float64, part *part) decay.Sample {
	s := decay.Sample{T: t, P: p, Ambient: math.NaN(), Section: math.NaN()}
	if n.with.Thermometer != NoThermometer {
		s.Ambient = air(t)
	}
	if n.with.Thermometer == OnPart {
		s.Section = part.surface()
	}
	return s
}

// flicker is noise without chance: mean zero, and its median second difference,
// from which the engine learns the noise, is that of a normal deviate of unit size.
func flicker(i int) float64 {
	const size = 0.826 // sqrt(6) / 1.4826 / 2
	if i%4 < 2 {
		return size
	}
	return -size
}

// air is the room at the thermometer, K.
func air(t float64) float64 {
	return 293.15 + 0.05*math.Sin(2*math.Pi*t/1500) + 0.05*math.Sin(2*math.Pi*t/4100+1)
}

// unseen is by how much the air at the part is warmer than at the thermometer, K.
func unseen(t float64) float64 { return 0.031 * math.Sin(2*math.Pi*t/1900) }

// part is the closed-off section: tube that follows the air at once, fittings,
// and something heavy (shares and lags from memory).
type part struct {
	level [3]float64 // K
}

var partShare, partLag = [3]float64{0.6, 0.3, 0.1}, [3]float64{100, 400, 2000} // -, s

func newPart(air float64) *part { return &part{[3]float64{air, air, air}} }

func (p *part) advance(dt, air float64) {
	for j, lag := range partLag {
		p.level[j] += (1 - math.Exp(-dt/lag)) * (air - p.level[j])
	}
}

func (p *part) surface() (k float64) {
	for j, share := range partShare {
		k += share * p.level[j]
	}
	return k
}

// gas is the temperature of the gas, still warm from a filling in steps.
func (p *part) gas(t float64) float64 {
	return p.surface() + 3*math.Exp(-t/90) + 0.2*math.Exp(-t/600)
}

// seen interpolates what can be seen at a time, on logarithmic axes. Before the first look that is nothing: +Inf.
func seen(looks []Look, seconds float64) Look {
	for i, b := range looks {
		switch {
		case seconds > b.After:
		case i > 0:
			a := looks[i-1]
			return a.towards(b, math.Log(seconds/a.After)/math.Log(b.After/a.After))
		case seconds < 0.9*b.After:
			return Look{seconds, units.PressureRate(math.Inf(1)), 1}
		default:
			return b
		}
	}
	return looks[len(looks)-1]
}

// towards goes the share f of the way from one look to another.
func (l Look) towards(to Look, f float64) Look {
	return Look{
		After: l.After * math.Pow(to.After/l.After, f),
		SE:    l.SE * units.PressureRate(math.Pow(float64(to.SE/l.SE), f)),
		Slow:  l.Slow + f*(to.Slow-l.Slow),
	}
}

// proves is the limit at which half of all tight sections are called tight at this look.
func (l Look) proves() units.PressureRate { return sure * l.SE }

// provesIn is the limit at which nine of ten are, whose room and filling spread the answer so many times.
func (l Look) provesIn(spread float64) units.PressureRate {
	return l.proves() * units.PressureRate(1+(spread-1)*l.Slow)
}

// behind is how many times longer room and filling tell in one hold of ten than in the nominal one.
const behind = 1.6

// lagging says of each look by how much nine of ten holds may fall behind. By
// room and filling they are no further on than the nominal one was earlier. A needle's share is not asked: its readings
// share one error with the heat. With a stuck display it may be that it never steps.
func (n nominal) lagging(looks []Look) []Look {
	out := slices.Clone(looks)
	if n.unmoved {
		return out
	}
	if n.with.Stuck() && !n.with.still() {
		worst := n
		worst.unmoved, worst.with.Noise = true, 0.17*n.with.Step
		still := worst.looks(looks[len(looks)-1].After)
		for i, l := range looks {
			se := seen(still, math.Max(l.After, still[0].After)).SE
			out[i].Slow = max(float64(se/l.SE)-1, 0)
		}
		return out
	}
	for i, l := range looks {
		earlier := seen(looks, l.After/behind)
		switch {
		case n.with.ByHand, n.with.still():
			out[i].Slow = 1
		case !math.IsInf(float64(earlier.SE), 1):
			out[i].Slow = earlier.Slow
		}
	}
	return out
}

// reach is when what is seen falls to a rate, s; <0 = not in these looks.
func reach(looks []Look, rate units.PressureRate, see func(Look) units.PressureRate) float64 {
	for i, b := range looks {
		if see(b) > rate {
			continue
		}
		if i == 0 {
			return b.After
		}
		a := looks[i-1]
		f := math.Log(float64(see(a)/rate)) / math.Log(float64(see(a)/see(b)))
		return a.After * math.Pow(b.After/a.After, f)
	}
	return -1
}

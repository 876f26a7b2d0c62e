package decay_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"example.org/holdfast/internal/bench"
	"example.org/holdfast/internal/gas"
	"example.org/holdfast/internal/units"
)

const smallLeak = 0.02 // 1/h

func share(o *outcome) float64 { return o.truth / float64(o.p.StartPressure) }

func isSmall(o *outcome) bool { return share(o) < smallLeak }

// mixed makes the population of the first table: half an hour to eight hours;
// one in twenty loses a fifth to the whole of its filling in an hour, one in twenty opens on the way.
func mixed(i int, rng *rand.Rand, p *bench.Params) {
	p.Hold = 3600 * holdHours[i/4%len(holdHours)]
	switch u := rng.Float64(); {
	case u < 0.05:
		p.Leak = 0.2 * math.Pow(5, rng.Float64())
	case u < 0.10:
		p.Hold = math.Max(p.Hold, 3600)
		p.Leak = 0.03 * math.Pow(7, rng.Float64())
		p.LeakOpensAt = (0.3 + 0.3*rng.Float64()) * p.Hold
	}
}

var holdHours = []float64{0.5, 1, 2, 4, 8}

// group is a line of the first table.
type group struct {
	name string
	in   func(o *outcome) bool
}

// groups are the ways the holds are counted.
func groups() []group {
	opens := func(o *outcome) bool { return o.p.LeakOpensAt > 0 }
	gs := []group{
		{"all", func(*outcome) bool { return true }},
		{"small leaks", isSmall},
		{"  tight", func(o *outcome) bool { return o.truth == 0 }},
		{"  under 2 %/h", func(o *outcome) bool { return o.truth > 0 && isSmall(o) }},
		{"large leaks", func(o *outcome) bool { return !isSmall(o) }},
		{"  2 to 20 %/h", func(o *outcome) bool { return ordinary(o) && !isSmall(o) }},
		{"  over 20 %/h", func(o *outcome) bool { return share(o) > 0.2 && !opens(o) }},
		{"  opens on the way", opens},
	}
	add := func(name string, in func(o *outcome) bool) { gs = append(gs, group{name, in}) }
	for _, k := range []bench.Physics{bench.PhysicsA, bench.PhysicsB, bench.PhysicsC, bench.PhysicsD} {
		add("physics "+string(k), func(o *outcome) bool { return o.kind == k })
	}
	for k := bench.Still; k <= bench.Day; k++ {
		add("room "+k.String(), func(o *outcome) bool { return o.p.Room.Kind == k })
	}
	for _, l := range []gas.FlowLaw{gas.Viscous, gas.Molecular, gas.Choked} {
		add("law "+l.String(), func(o *outcome) bool { return o.p.Law == l })
	}
	for _, name := range []string{fineSensor, bitsSensor, digitSensor} {
		add("sensor "+name, func(o *outcome) bool { return sensorName(o.p.Sensor) == name })
	}
	for low := units.Absolute(8e5); low < 24e5; low += 4e5 {
		add(fmt.Sprintf("%.0f to %.0f bar", low/1e5, low/1e5+4), func(o *outcome) bool { return o.p.StartPressure >= low && o.p.StartPressure < low+4e5 })
	}
	for _, h := range holdHours {
		add(fmt.Sprintf("hold %g h", h), func(o *outcome) bool { return o.p.Hold == 3600*h })
		add(fmt.Sprintf("  small, %g h", h), func(o *outcome) bool { return o.p.Hold == 3600*h && isSmall(o) })
	}
	return gs
}

// ordinary is a steady leak of at most 20 %/h, or none.
func ordinary(o *outcome) bool { return o.p.LeakOpensAt == 0 && share(o) <= 0.2 }

const (
	fineSensor  = "35 bar, fine"
	bitsSensor  = "35 bar, 12 bits"
	digitSensor = "25 bar, 2.5 mbar digits"
)

func sensorName(s bench.Sensor) string {
	switch {
	case s.Step < 100:
		return fineSensor
	case s.Range > 30e5:
		return bitsSensor
	default:
		return digitSensor
	}
}

func studyCoverage(t *testing.T) {
	s := sample{n: size(20, 2400), seed: 7, change: mixed}
	os := s.play()
	t.Logf("%d holds, seed %d", s.n, s.seed)
	t.Log(columns)
	for _, g := range groups() {
		y := tallyOf(os, g.in)
		t.Logf("%-32s %s", g.name, y)
		if full() && y.n >= 300 {
			y.covers(t, g.name, 0.90)
		}
	}
	all := tallyOf(os, nil)
	all.covers(t, "all", 0.94)
	if full() && all.share(all.cover) > 0.99 {
		t.Errorf("coverage %.3f: the interval is wider than it says", all.share(all.cover))
	}
	if all.lineCover > all.n/2 {
		t.Errorf("the straight line covers %d of %d: this population is no test", all.lineCover, all.n)
	}
	tallyOf(os, isSmall).covers(t, "small leaks", 0.95)
	large := tallyOf(os, func(o *outcome) bool { return !isSmall(o) })
	large.covers(t, "large leaks", 0.95)
	below(t, "median error of large leaks", large.error(), 0.015)
	falseAlarms(t, os, 0.01)
	tallyOf(os, isApart).covers(t, "physics D", 0.95)
	y := tallyOf(os, ordinary)
	below(t, "to 20 %/h: rms error over that of the straight line", y.rms(y.sq)/y.rms(y.lineSq), 0.15)
	if y = tallyOf(os, func(o *outcome) bool { return isApart(o) && ordinary(o) }); full() {
		below(t, "physics D, to 20 %/h: rms error over that of the straight line", y.rms(y.sq)/y.rms(y.lineSq), 0.15)
	}
}

// isApart tells the physics that nothing was tuned on.
func isApart(o *outcome) bool { return o.kind == bench.PhysicsD }

// tightOrSmall draws the leak anew where it is large.
func tightOrSmall(rng *rand.Rand, p *bench.Params) {
	if p.Leak >= smallLeak {
		p.Leak = 0.001 * math.Pow(smallLeak/0.001, rng.Float64())
	}
}

// strap puts a thermometer on the part.
func strap(rng *rand.Rand, p *bench.Params) {
	p.SectionProbe = p.RoomProbe
	p.SectionProbe.Lag = 10 + 50*rng.Float64()
}

// studyHours is the table by hold time: the same small leaks with a thermometer in
// the room alone, with the hour before the filling recorded as well, and with a
// thermometer on the part.
func studyHours(t *testing.T) {
	ways := []struct {
		name   string
		before bool
		onPart bool
		width  map[float64]float64 // Pa/h, by hours: what is to be reached
	}{
		{"room only", false, false, map[float64]float64{1: 2500, 2: 900, 4: 550}},
		{"room, from 1 h before", true, false, map[float64]float64{1: 2500, 2: 900, 4: 550}},
		{"on the part", false, true, map[float64]float64{1: 1500}},
	}
	for _, w := range ways {
		t.Run(w.name, func(t *testing.T) {
			t.Log(columns)
			whole := &tally{}
			for i, hours := range holdHours {
				if !full() && hours != 1 && hours != 2 {
					continue
				}
				s := sample{n: size(4, 80), seed: 100 + uint64(i), history: w.before, change: func(_ int, rng *rand.Rand, p *bench.Params) {
					p.Hold, p.PreRecord = 3600*hours, 3600
					tightOrSmall(rng, p)
					if w.onPart {
						strap(rng, p)
					}
				}}
				y := s.row(t, w.name, hours, whole)
				if most, ok := w.width[hours]; ok {
					below(t, fmt.Sprintf("%s, %g h: half-width", w.name, hours), y.mean(y.half), most)
				}
				if hours == 1 {
					below(t, w.name+", 1 h: rms error", y.rms(y.sq), 1400)
				}
			}
			t.Logf("%-25s all   %s", w.name, whole)
			whole.covers(t, w.name, 0.95)
		})
	}
}

// row plays the holds, prints their line and adds them to whole.
func (s sample) row(t *testing.T, name string, hours float64, whole *tally) *tally {
	os := s.play()
	y := tallyOf(os, nil)
	t.Logf("%-25s %3g h %s  (seed %d) width: %s", name, hours, y, s.seed, y.width())
	for i := range os {
		whole.add(&os[i])
	}
	return y
}

// needle makes a gauge read by eye: 0.1 bar on the dial, the room to half a
// degree. That a dial is read with 2 kPa beside the rounding is from memory.
func needle(every float64, p *bench.Params) {
	p.Sensor = bench.Sensor{Range: 40e5, Noise: 2000, Step: 1e4}
	p.RoomProbe = bench.Thermometer{Lag: 60, Noise: 0.1, Step: 0.5}
	p.Interval = every
}

// studyManual is the table without good instruments.
func studyManual(t *testing.T) {
	ways := []struct {
		name        string
		quick, full int
		change      func(p *bench.Params)
		least       float64 // Pa/h, half-width after an hour below which precision would be false
	}{
		{"needle, every 10 min", 20, 400, func(p *bench.Params) { needle(600, p) }, 0},
		{"needle, every 5 min", 20, 400, func(p *bench.Params) { needle(300, p) }, 0},
		{"digits of 0.1 bar, every 5 s", 4, 200, func(p *bench.Params) {
			p.Sensor, p.Interval = bench.Sensor{Range: 25e5, Noise: 500, Step: 1e4}, 5
		}, 0},
		{"no thermometer", 4, 200, func(p *bench.Params) { p.RoomProbe.None = true }, 10e3},
	}
	for _, w := range ways {
		t.Run(w.name, func(t *testing.T) {
			t.Log(columns)
			whole := &tally{}
			for i, hours := range []float64{1, 2, 4} {
				if !full() && i > 0 && w.quick < 20 {
					break
				}
				s := sample{n: size(w.quick, w.full), seed: 200 + uint64(i), change: func(_ int, rng *rand.Rand, p *bench.Params) {
					p.Hold = 3600 * hours
					tightOrSmall(rng, p)
					w.change(p)
				}}
				y := s.row(t, w.name, hours, whole)
				if half := y.mean(y.half); half < w.least && hours == 1 {
					t.Errorf("%s, 1 h: half-width %.0f Pa/h is less than can be known", w.name, half)
				}
			}
			t.Logf("%-25s all   %s", w.name, whole)
			whole.covers(t, w.name, 0.95)
		})
	}
}

// studyBarometer is what the weather does to a gauge sensor: the barometer moves
// by 60 Pa/h (standard deviation; from memory, an unsettled day) and wanders.
func studyBarometer(t *testing.T) {
	t.Log(columns)
	for _, known := range []bool{true, false} {
		s := sample{n: size(4, 200), seed: 300, barometer: known, change: func(_ int, rng *rand.Rand, p *bench.Params) {
			p.Hold = 3600 * 4
			tightOrSmall(rng, p)
			p.Sensor.Gauge = true
			p.Barometer = bench.Barometer{Slope: 60 * rng.NormFloat64(), Wander: bench.Wander{SD: 40, Tau: 7200}}
		}}
		y := tallyOf(s.play(), nil)
		name := "barometer not logged, 4 h"
		if known {
			name = "barometer logged, 4 h"
		}
		t.Logf("%-31s %s  (seed %d)", name, y, s.seed)
		y.covers(t, name, 0.95)
	}
}

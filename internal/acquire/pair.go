package acquire

import (
	"math"

	"example.org/holdfast/drivers"
	"example.org/holdfast/internal/holdlog"
	"example.org/holdfast/internal/units"
)

// pairing puts beside each pressure what the other devices said last. A
// quantity is taken from the reading itself, else from the same device's
// earlier lines, else from the first device of the configuration that has a
// fresh one; never from whichever spoke last, or two thermometers that differ
// would make a temperature that jumps.
type pairing struct {
	heard        []companions // by device
	maxAge       []float64    // s, by device
	ownAge       []float64    // s, the same for the pressures of the device itself
	lastPressure float64      // s; NaN = none yet
	words        []string     // by device: the latest that went into a sample
}

// companions is what one device last said beside pressure.
type companions struct {
	ambient, section, barometer timed
}

// timed is a value in SI with its time in s; a zero one has never been said.
type timed struct {
	value, at float64
	said      bool
}

// loneAfter is how long after a pressure, in seconds, a temperature becomes a
// sample of its own instead of waiting for the next pressure: the room's
// history counts while nobody reads the gauge.
const loneAfter = 3.0

// typedApart is how long, in seconds, a temperature that a person typed goes with
// the pressures of the same person: long enough to type one after the other. A
// later pressure without a temperature has none; the old one written again
// would claim a room that never moves.
const typedApart = 60.0

func newPairing(cfg Config) pairing {
	p := pairing{heard: make([]companions, len(cfg.Devices)), words: make([]string, len(cfg.Devices)), lastPressure: math.NaN()}
	for _, d := range cfg.Devices {
		age := max(cfg.PairWithin.Seconds(), periodsSilent*d.Spec.Interval)
		if d.Unhurried && d.Spec.Interval <= 0 {
			age = max(age, unhurriedPair.Seconds())
		}
		p.maxAge = append(p.maxAge, age)
		if d.Unhurried {
			age = min(age, typedApart)
		}
		p.ownAge = append(p.ownAge, age)
	}
	return p
}

// sample makes the Sample of a good reading at the time now; false = it adds nothing yet.
func (p *pairing) sample(device uint8, r drivers.Reading, now float64) (holdlog.Sample, bool) {
	h := &p.heard[device]
	h.ambient.note(float64(r.Ambient), now)
	h.section.note(float64(r.Section), now)
	h.barometer.note(float64(r.Barometer), now)

	s := holdlog.NoSample()
	s.Device, s.Step = device, r.Step
	if !r.HasPressure() {
		if now-p.lastPressure < loneAfter {
			return s, false
		}
		s.Ambient, s.Section, s.Barometer = r.Ambient, r.Section, r.Barometer
		return s, !math.IsNaN(float64(s.Ambient)) || !math.IsNaN(float64(s.Section)) || !math.IsNaN(float64(s.Barometer))
	}
	p.lastPressure = now
	s.Pressure, s.Ref = r.Pressure, r.Ref
	ambient := p.fresh(device, now, func(c companions) timed { return c.ambient })
	section := p.fresh(device, now, func(c companions) timed { return c.section })
	barometer := p.fresh(device, now, func(c companions) timed { return c.barometer })
	s.Ambient, s.Section, s.Barometer = units.Temperature(ambient.value), units.Temperature(section.value), units.Absolute(barometer.value)
	for _, t := range []timed{ambient, section, barometer} {
		if t.said {
			s.Skew = max(s.Skew, math.Round((now-t.at)*10)/10)
		}
	}
	return s, true
}

func (t *timed) note(value, now float64) {
	if !math.IsNaN(value) {
		*t = timed{value: value, at: now, said: true}
	}
}

// fresh gives the quantity that of picks, unsaid and NaN if nobody said it lately enough.
func (p *pairing) fresh(own uint8, now float64, of func(companions) timed) timed {
	if v, ok := p.freshFrom(int(own), now, p.ownAge[own], of); ok {
		return v
	}
	for i := range p.heard {
		if i == int(own) {
			continue
		}
		if v, ok := p.freshFrom(i, now, p.maxAge[i], of); ok {
			return v
		}
	}
	return timed{value: math.NaN()}
}

func (p *pairing) freshFrom(device int, now, maxAge float64, of func(companions) timed) (timed, bool) {
	t := of(p.heard[device])
	return t, t.said && now-t.at <= maxAge
}

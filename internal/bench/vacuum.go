package bench

import (
	"math"
	"math/rand/v2"

	"example.org/holdfast/internal/gas"
	"example.org/holdfast/internal/units"
)

// Vacuum describes an evacuated section from the moment the pump is shut off,
// and the gauge on it. What comes in adds up: the gases do not hinder one another.
type Vacuum struct {
	Name     string         // what is simulated, in words
	Base     units.Absolute // when the valve closes
	Leak     float64        // Pa/h, steady: air from outside, far below the atmosphere
	Equalise float64        // Pa that even out within the section with 30 s
	Gassing  []Gassing      // what comes off surfaces and out of oil
	Water    Water
	Far      FarSide
	Room     Room
	Gauge    VacuumGauge
	Pumping  float64 // s of samples before the valve closes
	Interval float64 // s between samples; for the caller
	Hold     float64 // s the hold is meant to last; for the caller
}

// Gassing is one process that gives off gas until its store is empty.
type Gassing struct {
	Rise float64 // Pa in the end
	Tau  float64 // s
}

// Water is liquid or ice in the section: it evaporates up to its vapour pressure.
type Water struct {
	Tau  float64           // s; 0 = none there
	Spot units.Temperature // of a cold, iced spot; 0 = the room
}

// FarSide is a volume behind a capillary that was not pumped down as far.
type FarSide struct {
	Tube     gas.Tube
	Near     units.Volume // of the side with pump and gauge
	Volume   units.Volume // 0 = none there
	Pressure units.Absolute
}

// VacuumGauge is the instrument.
type VacuumGauge struct {
	Noise float64            // Pa, standard deviation of one reading
	Share float64            // the same, of the pressure
	Drift float64            // of the span, per hour
	Step  units.PressureDiff // digital step; 0 = none
}

// Rising is one realisation of a Vacuum: a pure function of the parameters, the seed and the time.
type Rising struct {
	p     Vacuum
	room  *room
	noise *rand.Rand
	t     float64 // s, of the state
	water float64 // Pa
	near  float64 // Pa that has come over from the far side
	far   float64 // Pa absolute
}

// NewVacuum makes a realisation.
func NewVacuum(p Vacuum, seed uint64) *Rising {
	return &Rising{
		p: p, room: newRoom(p.Room, -p.Pumping, rand.New(rand.NewPCG(seed, 1))),
		noise: rand.New(rand.NewPCG(seed, 2)), t: -p.Pumping, far: float64(p.Far.Pressure),
	}
}

const (
	vacuumStep  = 1.0   // s
	pumpTau     = 40.0  // s, of the pump on the section
	equaliseTau = 30.0  // s
	atmosphere  = 101e3 // Pa, before the pump starts
)

// At is the sample at t, s since the valve closed; t must not decrease.
func (v *Rising) At(t float64) Sample {
	for v.t+vacuumStep <= t {
		v.advance()
	}
	air := v.room.air
	p := float64(v.p.Base)
	if t < 0 {
		p += atmosphere * math.Exp(-(t+v.p.Pumping)/pumpTau)
	} else {
		p += v.p.Leak*t/units.SecondsPerHour - v.p.Equalise*math.Expm1(-t/equaliseTau) + v.water + v.near
		for _, g := range v.p.Gassing {
			p -= g.Rise * math.Expm1(-t/g.Tau)
		}
	}
	p = math.Min(p, atmosphere)
	g := v.p.Gauge
	seen := p*(1+g.Drift*math.Max(t, 0)/units.SecondsPerHour) + v.noise.NormFloat64()*(g.Noise+g.Share*p)
	return Sample{
		T: t, TruePressure: units.Absolute(p), TrueAmbient: units.Temperature(air),
		Pressure: units.Absolute(math.Max(round(seen, float64(g.Step)), math.Max(float64(g.Step), 0.01))),
		Ambient:  units.FromCelsius(round(units.Temperature(air).Celsius(), 0.0625)),
		Section:  units.Temperature(math.NaN()),
	}
}

// advance moves the state by one step.
func (v *Rising) advance() {
	v.room.advance(vacuumStep)
	v.t += vacuumStep
	if v.t <= 0 {
		return
	}
	if w := v.p.Water; w.Tau > 0 {
		at := units.Temperature(v.room.air)
		if w.Spot > 0 {
			at = w.Spot
		}
		v.water += (float64(gas.WaterSaturation(at)) - v.water) * -math.Expm1(-vacuumStep/w.Tau)
	}
	if f := v.p.Far; f.Volume > 0 {
		near := float64(v.p.Base) + v.near
		q := f.Tube.Conductance(units.Absolute(v.far+near)/2, units.Temperature(v.room.air), gas.Nitrogen()) * (v.far - near)
		v.near += q / float64(f.Near) * vacuumStep
		v.far -= q / float64(f.Volume) * vacuumStep
	}
}

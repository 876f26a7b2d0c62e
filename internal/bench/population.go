package bench

import (
	"fmt"
	"math"
	"math/rand/v2"

	"example.org/holdfast/internal/gas"
	"example.org/holdfast/internal/units"
)

// Physics names a family of simulated holds.
type Physics string

// The families. A judgement may be tuned on A to C; D is built otherwise and is there to check it.
const (
	PhysicsA Physics = "A" // one lag, one transient of the filling
	PhysicsB Physics = "B" // three parts, two transients, sensor and thermometer with their own drifts
	PhysicsC Physics = "C" // air at the part unlike the thermometer's; a quarter of them just brazed
	PhysicsD Physics = "D" // conduction through a wall, air pocket, free convection, sun
)

// RandomParams draws a hold of the population: 8 to 24 bar, five kinds of room,
// three sensors, three flow laws, no leak (two in five) or 0.1 to 20 % per
// hour, half an hour to four hours. All ranges are common practice or from memory.
func RandomParams(rng *rand.Rand, kind Physics) Params {
	p := Params{
		Gas:           gas.Nitrogen(),
		Volume:        units.Volume(logUniform(rng, 0.1e-3, 1.5e-3)),
		StartPressure: units.Absolute(uniform(rng, 8e5, 24e5)),
		Law:           gas.FlowLaw(rng.IntN(3)),
		Room:          RandomRoom(rng, RoomKind(rng.IntN(5))),
		Sensor:        randomSensor(rng),
		RoomProbe:     Thermometer{Noise: 0.02, Step: 0.0625, Bias: units.TempDiff(0.3 * rng.NormFloat64())},
		SectionProbe:  Thermometer{None: true},
		Interval:      []float64{1, 2, 5}[rng.IntN(3)],
		Hold:          units.SecondsPerHour * []float64{0.5, 1, 2, 4}[rng.IntN(4)],
	}
	if rng.Float64() >= 0.4 {
		p.Leak = logUniform(rng, 0.001, 0.2)
	}
	switch kind {
	case PhysicsB:
		physicsB(&p, rng)
	case PhysicsC:
		physicsC(&p, rng)
	case PhysicsD:
		physicsD(&p, rng)
	default:
		p.Thermal = Thermal{
			Nodes: []Node{{1, logUniform(rng, 60, 1500)}},
			Fill:  []Heat{{uniform(rng, 1, 6), logUniform(rng, 50, 200)}},
		}
	}
	p.Name = fmt.Sprintf("physics %s, %s room, %.0f bar, %v leak of %.2f %%/h", kind, p.Room.Kind, float64(p.StartPressure)/1e5, p.Law, 100*p.Leak)
	return p
}

// physicsB draws tube, fittings and a heavy part, and instruments with faults.
func physicsB(p *Params, rng *rand.Rand) {
	heavy := uniform(rng, 0.05, 0.35)
	p.Thermal = Thermal{
		Nodes: []Node{
			{(1 - heavy) * 0.65, logUniform(rng, 30, 150)},
			{(1 - heavy) * 0.35, logUniform(rng, 150, 900)},
			{heavy, logUniform(rng, 1200, 6000)},
		},
		Fill: []Heat{
			{uniform(rng, 0.5, 6), logUniform(rng, 40, 150)},
			{uniform(rng, 0.1, 1.2), logUniform(rng, 300, 1500)},
		},
	}
	scale := float64(p.Sensor.Range)
	p.Sensor.WarmUp = units.PressureDiff(4e-5 * scale * rng.NormFloat64())
	p.Sensor.ZeroPerK = units.PressureDiff(4e-5 * scale * rng.NormFloat64())
	p.Sensor.Wander = Wander{SD: uniform(rng, 0, 120), Tau: 7200}
	p.RoomProbe.Lag = uniform(rng, 20, 120)
}

// physicsC draws one or two lags in air of their own.
func physicsC(p *Params, rng *rand.Rand) {
	p.Thermal = Thermal{
		Nodes: []Node{{0.7, logUniform(rng, 60, 600)}, {0.3, logUniform(rng, 400, 2500)}},
		Fill: []Heat{
			{uniform(rng, -1, 5), logUniform(rng, 40, 200)},
			{uniform(rng, 0, 0.6), logUniform(rng, 300, 1000)},
		},
		Local: Wander{SD: logUniform(rng, 0.01, 0.1), Tau: logUniform(rng, 600, 3000)},
	}
	if rng.Float64() < 0.25 {
		p.Thermal.Braze = []Heat{{logUniform(rng, 0.3, 3), logUniform(rng, 300, 2000)}}
	}
	p.RoomProbe.Lag = uniform(rng, 5, 60)
}

// physicsD draws a wall.
func physicsD(p *Params, rng *rand.Rand) {
	w := Wall{
		Diffusion: logUniform(rng, 300, 4000),
		Film:      logUniform(rng, 0.2, 2),
		Pocket:    uniform(rng, 60, 300),
		Gap:       logUniform(rng, 600, 6000),
		Tube:      logUniform(rng, 40, 300),
		Contact:   uniform(rng, 0.2, 0.8),
		FillRise:  uniform(rng, 2, 10),
		GasTau:    uniform(rng, 20, 90),
		HeatRatio: uniform(rng, 0.02, 0.1),
	}
	if rng.Float64() < 0.3 {
		w.Sun, w.SunFrom, w.SunFor = uniform(rng, 0.05, 0.3), uniform(rng, 0, p.Hold), uniform(rng, 1200, 3600)
	}
	p.Thermal.Wall = &w
	p.Sensor.ZeroPerK = units.PressureDiff(3e-5 * float64(p.Sensor.Range) * rng.NormFloat64())
	p.RoomProbe.Lag = uniform(rng, 10, 90)
}

// RandomRoom draws a room of the kind.
func RandomRoom(rng *rand.Rand, kind RoomKind) Room {
	r := Room{
		Kind:    kind,
		Mean:    units.FromCelsius(uniform(rng, 14, 28)),
		Flutter: Wander{SD: uniform(rng, 0.02, 0.08), Tau: logUniform(rng, 200, 1200)},
	}
	switch kind {
	case Drift:
		r.Slope = uniform(rng, 0.3, 2.5)
		if rng.Float64() < 0.5 {
			r.Slope = -r.Slope
		}
	case Heater:
		r.Swing, r.Period = uniform(rng, 0.2, 0.9), uniform(rng, 600, 2700)
	case Door:
		r.Swing, r.Period, r.Recover = uniform(rng, 0.5, 3), uniform(rng, 900, 5400), logUniform(rng, 200, 1200)
	case Day:
		r.Swing, r.Phase = uniform(rng, 1, 4), uniform(rng, 0, 2*math.Pi)
	}
	return r
}

// The three sensors of the population.
func randomSensor(rng *rand.Rand) Sensor {
	switch rng.IntN(3) {
	case 0: // fine
		return Sensor{Range: 35e5, Noise: units.PressureDiff(uniform(rng, 80, 250)), Step: 10}
	case 1: // 12 bits over the range
		return Sensor{Range: 35e5, Noise: units.PressureDiff(uniform(rng, 250, 500)), Step: 35e5 / 4096}
	default: // digits on a bus
		return Sensor{Range: 25e5, Noise: units.PressureDiff(uniform(rng, 50, 200)), Step: 250}
	}
}

func uniform(rng *rand.Rand, lo, hi float64) float64 { return lo + (hi-lo)*rng.Float64() }

func logUniform(rng *rand.Rand, lo, hi float64) float64 {
	return lo * math.Exp(math.Log(hi/lo)*rng.Float64())
}

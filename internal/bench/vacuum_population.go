package bench

import (
	"fmt"
	"math/rand/v2"

	"example.org/holdfast/internal/gas"
	"example.org/holdfast/internal/units"
)

// Rise names a class of simulated vacuum rises.
type Rise string

// The classes. FarRise is tight and dry, but its far side still evens out.
const (
	FlatRise  Rise = "flat"
	LeakRise  Rise = "leak"
	WetRise   Rise = "wet"
	BothRise  Rise = "both"
	FarRise   Rise = "far"
	gaugeStep      = 1 // Pa
)

// Rises lists the classes.
func Rises() []Rise { return []Rise{FlatRise, LeakRise, WetRise, BothRise, FarRise} }

// RandomRise draws a rise of the population. All are pumped to 5-60 Pa and give
// off up to 3 Pa; leaks are 120 to 4000 Pa/h. Wet ones hold liquid water, ice at
// -15 to 0 °C, give off gas in one process, or in many spread over two decades
// of time. Far sides stand at 150 to 3000 Pa behind a capillary. All ranges are
// common practice or from memory.
func RandomRise(rng *rand.Rand, class Rise) Vacuum {
	p := Vacuum{
		Base:     units.Absolute(logUniform(rng, 5, 60)),
		Equalise: 10 * rng.Float64(),
		Gassing:  []Gassing{{3 * rng.Float64(), logUniform(rng, 200, 3000)}},
		Room:     RandomRoom(rng, []RoomKind{Still, Drift, Heater, Day}[rng.IntN(4)]),
		Gauge:    VacuumGauge{Noise: 0.3, Share: 0.003, Drift: 0.002, Step: gaugeStep},
		Interval: 5,
	}
	kind := ""
	if class == LeakRise || class == BothRise {
		p.Leak = logUniform(rng, 120, 4000)
	}
	if class == WetRise || class == BothRise {
		kind = p.wet(rng)
	}
	if class == FarRise {
		p.Far = FarSide{
			Tube: gas.Tube{Bore: uniform(rng, 0.6e-3, 0.8e-3), Length: uniform(rng, 2, 4)},
			Near: units.Volume(logUniform(rng, 0.05e-3, 1e-3)), Volume: units.Volume(logUniform(rng, 0.05e-3, 1e-3)),
			Pressure: units.Absolute(logUniform(rng, 150, 3000)),
		}
	}
	p.Name = fmt.Sprintf("%s %s, %.0f Pa/h", class, kind, p.Leak)
	return p
}

// wet adds water or gas that comes off slowly, and names it.
func (p *Vacuum) wet(rng *rand.Rand) string {
	switch rng.IntN(4) {
	case 0:
		p.Water = Water{Tau: logUniform(rng, 300, 4000)}
		return "water"
	case 1:
		p.Water = Water{Tau: logUniform(rng, 300, 4000), Spot: units.FromCelsius(uniform(rng, -15, 0))}
		return "ice"
	case 2:
		p.Gassing = append(p.Gassing, Gassing{logUniform(rng, 150, 2000), logUniform(rng, 300, 3000)})
		return "gas"
	}
	const processes = 6
	total := logUniform(rng, 150, 2000)
	for range processes {
		p.Gassing = append(p.Gassing, Gassing{total / processes, logUniform(rng, 60, 6000)})
	}
	return "gases"
}

// Wetness names what comes off inside a simulated section.
type Wetness string

// What may be left in a section.
const (
	Dry      Wetness = "dry"
	WetWater Wetness = "water" // liquid
	WetIce   Wetness = "ice"   // at -5 °C
	WetOil   Wetness = "oil"   // gas out of oil and hoses
)

// EvacuatedCooler is the vacuum of the demonstration: the finished circuit of a
// bottle cooler, pumped down for five minutes to 40 Pa. leak is in Pa/h; 0 = tight.
func EvacuatedCooler(leak float64, wet Wetness) (Vacuum, error) {
	p := Vacuum{
		Name: "bottle cooler, evacuated, " + string(wet),
		Base: 40, Leak: leak, Equalise: 3, Gassing: []Gassing{{2, 900}},
		Room:    Room{Kind: Heater, Mean: units.FromCelsius(19.5), Swing: 0.35, Period: 1500, Flutter: Wander{SD: 0.03, Tau: 400}},
		Gauge:   VacuumGauge{Noise: 0.3, Share: 0.003, Drift: 0.002, Step: gaugeStep},
		Pumping: 300, Interval: 1, Hold: 2 * units.SecondsPerHour,
	}
	switch wet {
	case Dry:
	case WetWater:
		p.Water = Water{Tau: 900}
	case WetIce:
		p.Water = Water{Tau: 900, Spot: units.FromCelsius(-5)}
	case WetOil:
		p.Gassing = append(p.Gassing, Gassing{90, 300}, Gassing{60, 1500})
	default:
		return p, fmt.Errorf("%q is none of %s, %s, %s, %s", wet, Dry, WetWater, WetIce, WetOil)
	}
	return p, nil
}

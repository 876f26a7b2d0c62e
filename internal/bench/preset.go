package bench

import (
	"example.org/holdfast/internal/gas"
	"example.org/holdfast/internal/units"
)

// BottleCooler is the section of the demonstration: the condenser with its
// drier, cut off from the compressor of a bottle cooler, a quarter litre, filled with nitrogen
// to 19.5 bar absolute in a shop whose heater switches on and off.
//
// leak is the share of the start pressure lost per hour; 0 = tight.
func BottleCooler(leak float64) Params {
	name := "bottle cooler, condenser and drier, tight"
	if leak != 0 {
		name = "bottle cooler, condenser and drier, with a leak"
	}
	return Params{
		Name:          name,
		Gas:           gas.Nitrogen(),
		Volume:        0.25e-3,
		StartPressure: 19.5e5,
		Leak:          leak,
		Law:           gas.Viscous,
		Room: Room{
			Kind: Heater, Mean: units.FromCelsius(19.5), Swing: 0.35, Period: 1500,
			Flutter: Wander{SD: 0.03, Tau: 400},
		},
		Thermal: Thermal{
			Nodes: []Node{{0.7, 150}, {0.3, 600}},
			Fill:  []Heat{{3.5, 90}, {0.5, 500}},
		},
		Sensor:       Sensor{Range: 35e5, Noise: 120, Step: 10, WarmUp: 60, ZeroPerK: 40},
		RoomProbe:    Thermometer{Lag: 20, Noise: 0.02, Step: 0.0625},
		SectionProbe: Thermometer{None: true},
		Interval:     1,
		Hold:         units.SecondsPerHour,
	}
}

// The two leaks of the demonstration.
const (
	DemoTight   = 0.0
	DemoLeaking = 0.025 // of the start pressure per hour: hidden by the cooling at first, certain within half an hour
)

package bench

import (
	"example.org/holdfast/internal/gas"
	"example.org/holdfast/internal/units"
)

// Params describes a simulated hold completely, but for the seed.
type Params struct {
	Name          string         // what is simulated, in words
	Gas           gas.Gas        // zero = nitrogen
	Volume        units.Volume   // of the section; 0 = 0.3 L
	StartPressure units.Absolute // true pressure when the valve closes, gas still warm
	Leak          float64        // share of the start pressure lost per hour, by the leak alone, at the start pressure
	Law           gas.FlowLaw    // how the leak weakens as the pressure falls
	LeakOpensAt   float64        // s; tight before
	Room          Room
	Barometer     Barometer
	Thermal       Thermal
	Sensor        Sensor
	RoomProbe     Thermometer // in the air beside the part
	SectionProbe  Thermometer // on the part
	PreRecord     float64     // s of samples that At can give before the valve closes
	Interval      float64     // s between samples; for the caller, At does not care
	Hold          float64     // s the hold is meant to last; for the caller
	Events        []Event
}

// Wander is a random quantity that keeps its size: exponentially correlated, with standard
// deviation SD and correlation time Tau in s. Zero = none.
type Wander struct {
	SD  float64
	Tau float64
}

// Barometer is the atmosphere around the bench.
type Barometer struct {
	Mean   units.Absolute // at the start; 0 = standard atmosphere
	Slope  float64        // Pa/h
	Wander Wander         // Pa
}

// Thermal says how the gas comes to its temperature: Nodes with Fill and Braze,
// or the Wall instead of all three.
type Thermal struct {
	Nodes []Node // what the gas touches; none = one lag of 300 s
	Fill  []Heat // what the filling left in the gas: positive = compression, negative = throttling
	Braze []Heat // what brazing left in the part
	Local Wander // K, air at the part that the thermometer does not see
	Wall  *Wall  // conduction through a wall instead of nodes; nil = nodes
}

// Node is one part that the gas shares its temperature with.
type Node struct {
	Weight float64 // share of the gas; the weights are scaled to sum 1
	Lag    float64 // s behind the air
}

// Heat is a temperature excess that dies out exponentially.
type Heat struct {
	Rise float64 // K when the valve closes
	Tau  float64 // s
}

// Sensor is a pressure transducer.
type Sensor struct {
	Range    units.PressureDiff // full scale
	Noise    units.PressureDiff // standard deviation of one reading
	Step     units.PressureDiff // digital step; 0 = none
	Gauge    bool               // measures against the atmosphere around it
	WarmUp   units.PressureDiff // offset at the start that dies out with WarmUpTau
	WarmTau  float64            // s; 0 = 800
	ZeroPerK units.PressureDiff // drift of the zero per kelvin of its body, which lags the room by 600 s
	Wander   Wander             // Pa, slow instability
}

// Thermometer is a temperature probe. None = it is not there and reads NaN.
type Thermometer struct {
	None  bool
	Lag   float64        // s
	Bias  units.TempDiff // constant error
	Noise units.TempDiff // standard deviation of one reading
	Step  units.TempDiff // digital step; 0 = none
}

// EventKind names something that happens to the bench or its instruments.
type EventKind uint8

// The events. Size is in Pa or K as said.
const (
	Freeze  EventKind = iota // the pressure reading stands still
	Dropout                  // no reading at all
	Spike                    // readings off by Size Pa
	Step                     // the pressure reading is off by Size Pa from here on
	Hand                     // a warm hand on the part: the gas tends to Size K more, with 60 s
	Touch                    // the room probe is touched: Size K more, dying out with 120 s
	Stuck                    // the room probe repeats its last reading
)

// Event is something that happens at a time and lasts a while.
type Event struct {
	Kind EventKind
	At   float64 // s
	For  float64 // s
	Size float64
}

// on reports whether the event lasts at time t.
func (e Event) on(t float64) bool { return t >= e.At && t < e.At+e.For }

// Sample is what the bench shows at one moment, and what only the bench knows.
type Sample struct {
	T             float64           // s since the valve was closed
	Missing       bool              // nothing came from the instruments
	Pressure      units.Absolute    // as the sensor says; of a gauge sensor with the barometer of the start added
	PressureGauge units.Gauge       // as the sensor says; of an absolute sensor less the barometer of the start
	Ambient       units.Temperature // room probe; NaN = none
	Section       units.Temperature // probe on the part; NaN = none

	TruePressure   units.Absolute
	TrueBarometer  units.Absolute
	TrueAmbient    units.Temperature
	GasTemperature units.Temperature
	Amount         float64 // mol in the section
}

// Truth is what a good judgement of the hold should find.
type Truth struct {
	Rate    units.PressureRate // loss of pressure by the leak alone, at the start pressure
	Start   units.Absolute     // true pressure when the valve closed
	OpensAt float64            // s; 0 = from the start
}

// Package drivers is the contract between instruments and the rest of holdfast.
//
// A driver turns the bytes of one protocol into Readings. It opens no port and
// reads no clock: the port is handed in, already open, and the caller stamps
// what comes out. Instruments without a byte stream (kernel files, a person
// typing, the simulator) are Sources directly.
//
// All values are SI. A value that the device did not give is NaN.
package drivers

import (
	"context"
	"io"
	"math"

	"example.org/holdfast/internal/units"
)

// Reading is what one device said at one moment.
type Reading struct {
	Pressure  float64            // Pa against Ref; NaN = none in this reading
	Ref       units.Reference    // reference of Pressure
	Ambient   units.Temperature  // room air beside the part, K; NaN = none
	Section   units.Temperature  // on the part itself, K; NaN = none
	Barometer units.Absolute     // Pa; NaN = none
	Raw       string             // the device's own words, control bytes removed
	Doubt     string             // "" = good; else why this reading must not be used as it stands
	Elapsed   float64            // s since start, where the device keeps its own time (simulator); NaN = stamp on arrival
	Step      units.PressureDiff // smallest readable step, if this reading says so (a person reading a needle); 0 = unknown
	_         struct{}
}

// Empty is a Reading with nothing in it.
func Empty() Reading {
	n := math.NaN()
	return Reading{Pressure: n, Ambient: units.Temperature(n), Section: units.Temperature(n), Barometer: units.Absolute(n), Elapsed: n}
}

// HasPressure reports whether the reading carries a usable pressure.
func (r Reading) HasPressure() bool { return r.Doubt == "" && !math.IsNaN(r.Pressure) }

// Source yields readings one after another. Read blocks until there is one,
// the context ends, or the device is gone; after an error the Source is dead
// and the caller opens a new one.
type Source interface {
	Read(ctx context.Context) (Reading, error)
	Close() error
}

// Driver speaks one protocol over a byte stream that somebody else opened.
// Reads of the port may return (0, nil) when nothing came within its timeout.
type Driver interface {
	Name() string
	Source(port io.ReadWriteCloser) Source
}

// Spec is what is known of an instrument beforehand, from its data sheet, its
// profile or the flags. Zero = unknown.
type Spec struct {
	PressureStep     units.PressureDiff // readable or digital step
	PressureRange    units.PressureDiff // span of the sensor (full scale)
	PressureAccuracy units.PressureDiff // stated accuracy, as a half-width
	TemperatureStep  units.TempDiff     // readable step of the thermometer
	Interval         float64            // s between readings when it works as it should; 0 = unknown
}

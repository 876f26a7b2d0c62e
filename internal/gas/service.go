package gas

import (
	"fmt"
	"math"

	"example.org/holdfast/internal/units"
)

// The saturation temperatures at which a machine in service is looked at:
// common practice for small sealed circuits, no source.
const (
	Evaporating = units.Temperature(273.15 - 25) // a freezer's evaporating side while the compressor runs
	Condensing  = units.Temperature(273.15 + 45) // the condensing side while the compressor runs
)

// Side is what one leak does where the refrigerant stands at one saturation
// temperature. At most one of Out and In is above zero: below the pressure
// around it a side loses nothing and draws in air, and with it moisture.
type Side struct {
	Saturation units.Temperature // of the refrigerant, and the temperature of its vapour
	Pressure   units.Absolute    // of the refrigerant at that temperature
	Out        Loss              // refrigerant lost
	In         Loss              // air drawn in
}

// Service is what a leak found with a test gas means on each side of the circuit.
type Service struct {
	Standstill  Side // at rest, 25 °C, the same pressure everywhere
	Evaporating Side // running, -25 °C
	Condensing  Side // running, 45 °C
}

// InService says what a throughput q, measured with a test gas in the state
// from against the pressure out, means at rest and on both sides of the running
// machine. Every figure is proportional to q.
//
// The leak is taken to pass vapour. Where liquid stands at it, on the condenser's
// last turns and up to the capillary, it loses several times as much.
func InService(q units.LeakRate, from State, r Refrigerant, out units.Absolute) (s Service, err error) {
	if from.Pressure <= out {
		return s, fmt.Errorf("a test at %.0f Pa says nothing of a leak: it must stand above the pressure around it, %.0f Pa",
			float64(from.Pressure), float64(out))
	}
	for _, at := range []struct {
		side *Side
		t    units.Temperature
	}{{&s.Standstill, Standstill}, {&s.Evaporating, Evaporating}, {&s.Condensing, Condensing}} {
		if *at.side, err = SideAt(q, from, r, at.t, out); err != nil {
			return Service{}, err
		}
	}
	return s, nil
}

// SideAt carries the throughput q, measured with a test gas in the state from
// against the pressure out, to a side where the refrigerant is saturated at t.
// The vapour is taken as ideal. Real saturated vapour is denser, so the mass is
// understated by up to 10 % (R600a) and 18 % (R290) at 25 °C, by up to 14 and
// 25 % at 45 °C; the spread of the laws is wider. Air that is drawn in has 25 °C.
func SideAt(q units.LeakRate, from State, r Refrigerant, t units.Temperature, out units.Absolute) (Side, error) {
	p, err := r.Saturation(t)
	if err != nil {
		return Side{}, err
	}
	s := Side{Saturation: t, Pressure: p}
	if from.Pressure <= out {
		return s, nil
	}
	carry := func(to State, against units.Absolute) Loss {
		mass := func(law FlowLaw) units.MassRate {
			ratio := law.conductivity(to, against) / law.conductivity(from, out)
			return MassFlow(q*units.LeakRate(ratio), to.MolarMass(), to.Temperature)
		}
		return Loss{Viscous: mass(Viscous), Molecular: mass(Molecular)}
	}
	switch {
	case p > out:
		s.Out = carry(State{Fluid: r, Pressure: p, Temperature: t}, out)
	case p < out:
		s.In = carry(State{Fluid: DryAir(), Pressure: out, Temperature: Standstill}, p)
	}
	return s, nil
}

// SoapWait is how long a soaped joint is looked at, in s: common practice, no source.
const SoapWait = 180.0

// SoapSeen is the smallest ball of foam, in m, that a patient eye finds on a joint: common practice, no source.
const SoapSeen = 3e-3

// Soap is what shows at one joint, well soaped, that lets the whole leak out.
type Soap struct {
	Volume float64 // m3/s of gas, expanded to the pressure around the joint
	Foam   float64 // m, diameter of a ball of the gas of SoapWait; the films make the foam a little larger
	Bubble float64 // s for a bubble of 2 mm; +Inf without a leak
}

// SoapShows says what soap shows of a throughput q, at the pressure and gas of
// the hold, where the pressure around the joint is the given one. Boyle's law
// and the volume of a sphere: see BubbleTime.
func SoapShows(q units.LeakRate, around units.Absolute) Soap {
	if q <= 0 {
		return Soap{Bubble: math.Inf(1)}
	}
	return Soap{
		Volume: float64(q) / float64(around),
		Foam:   BubbleDiameter(q, SoapWait, around),
		Bubble: BubbleTime(q, 2e-3, around),
	}
}

// Seen reports whether soap can be trusted to show the leak if all of it leaves at one joint.
func (s Soap) Seen() bool { return s.Foam >= SoapSeen }

// DaysToLose is after how many days a share (0 to 1) of the charge is gone at a
// steady loss. As long as there is liquid in the circuit the pressure, and so
// the loss, stays: charge·share/loss. Without a loss ok is false.
func DaysToLose(charge units.Mass, share float64, loss units.MassRate) (days float64, ok bool) {
	if loss <= 0 {
		return 0, false
	}
	return float64(charge) * share / float64(loss) / 86400, true
}

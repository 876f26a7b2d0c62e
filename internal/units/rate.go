package units

import (
	"fmt"
	"strings"
	"time"
)

// RateKind says which quantity a Rate is of.
type RateKind uint8

// The kinds of rate, with the SI unit of Rate.Value. The zero kind is no rate.
const (
	FractionPerTime RateKind = iota + 1 // of the absolute start pressure, 1/s
	PressurePerTime                     // Pa/s, a PressureRate
	Throughput                          // Pa m3/s, a LeakRate, at the temperature of the gas
	MassPerTime                         // kg/s, a MassRate
)

// Rate is a loss per time as people state a limit: in mass, throughput,
// pressure, or as a share of the pressure. The zero Rate is none.
type Rate struct {
	Kind  RateKind
	Value float64 // SI, see the kinds
	Text  string  // as stated, in one spelling: "3g/yr", "0.4%/h"; ParseRate reads it back
}

// IsZero reports whether there is no rate.
func (r Rate) IsZero() bool { return r.Kind == 0 }

// String gives the rate as it was stated.
func (r Rate) String() string { return r.Text }

// mostShare is the largest share of the pressure per time, 1/s: all of it ten times a second.
const mostShare = 10.0

// rateForms are the accepted forms, as an error message offers them.
const rateForms = "3g/yr, 1e-5mbar.l/s, 1e-6Pa.m3/s, 500Pa/h, 5mbar/h, 0.2psi/h or 0.4%/h"

// ParseRate reads a rate above zero:
//
//   - a mass of refrigerant per time: "3g/yr", "5 oz/yr"
//   - a throughput: "1e-5mbar.l/s", "1e-6 Pa*m3/s", "1e-4 std cm3/s", "0.5sccm".
//     A standard cm3 is 101325 Pa times 1 cm3 at the temperature of the gas.
//   - a pressure per time: "500Pa/h", "5mbar/h", "0.2psi/h"
//   - a share of the absolute start pressure per time: "0.4%/h"
func ParseRate(s string) (Rate, error) {
	v, name, err := ParseNumber(s)
	if err != nil {
		return Rate{}, fmt.Errorf("rate %w: write %s", err, rateForms)
	}
	unit, ok := rateUnitOf(squeeze(name))
	if !ok {
		return Rate{}, unitError("rate", s, name, "a form such as "+rateForms)
	}
	if v <= 0 {
		return Rate{}, fmt.Errorf("rate %s is not above zero: write a positive loss such as %s", quote(s), rateForms)
	}
	most := mostSI
	if unit.kind == FractionPerTime {
		most = mostShare
	}
	si, err := scaledTo(s, v, unit.si, most)
	if err != nil {
		return Rate{}, fmt.Errorf("rate %w", err)
	}
	return Rate{Kind: unit.kind, Value: si, Text: FormatNumber(v) + unit.symbol}, nil
}

// rateUnit is one unit of a rate.
type rateUnit struct {
	kind   RateKind
	si     float64
	symbol string
}

// rateUnitOf reads a squeezed unit such as "mbar.l/s" or "sccm".
func rateUnitOf(name string) (rateUnit, bool) {
	switch strings.ToLower(name) {
	case "sccm":
		return rateUnit{Throughput, float64(StandardAtmosphere) * 1e-6 / 60, "sccm"}, true
	case "sccs":
		return rateUnit{Throughput, float64(StandardAtmosphere) * 1e-6, "std.cm3/s"}, true
	case "lusec": // litre and micron of mercury per second
		return rateUnit{Throughput, torr / 1000 * 1e-3, "lusec"}, true
	}
	slash := strings.LastIndexByte(name, '/')
	if slash < 0 {
		return rateUnit{}, false
	}
	per, short, ok := rateTime(name[slash+1:])
	if !ok {
		return rateUnit{}, false
	}
	unit, ok := rateNumerator(name[:slash])
	unit.si *= float64(time.Second) / float64(per)
	unit.symbol += "/" + short
	return unit, ok
}

// rateNumerator reads what is lost: a share, a mass, a pressure or an amount of gas.
func rateNumerator(name string) (rateUnit, bool) {
	if name == "%" {
		return rateUnit{FractionPerTime, 0.01, "%"}, true
	}
	if kg, symbol, ok := massUnit(name); ok {
		return rateUnit{MassPerTime, kg, symbol}, true
	}
	if unit, _, _, ok := lookupPressure(name); ok {
		return rateUnit{PressurePerTime, unit.pa, unit.symbol}, true
	}
	if strings.EqualFold(name, "scc") {
		name = "std.cm3"
	}
	for i := 1; i < len(name); i++ {
		pa, pressure, ok := throughputPressure(name[:i])
		if !ok {
			continue
		}
		if m3, volume, ok := volumeUnit(strings.TrimPrefix(name[i:], ".")); ok {
			return rateUnit{Throughput, pa * m3, pressure + "." + volume}, true
		}
	}
	return rateUnit{}, false
}

// throughputPressure reads the pressure in an amount of gas, which may also be
// the standard atmosphere.
func throughputPressure(name string) (pa float64, symbol string, ok bool) {
	switch strings.ToLower(name) {
	case "std", "atm":
		return float64(StandardAtmosphere), strings.ToLower(name), true
	}
	unit, ok := pressureBase(name)
	return unit.pa, unit.symbol, ok
}

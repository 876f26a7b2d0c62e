package kernel

import (
	"fmt"
	"strings"

	"example.org/holdfast/internal/units"
)

// points are two points of a transmitter's line: signal in V or A, pressure in Pa.
type points struct {
	kind   dimension
	signal [2]float64
	pa     [2]float64
}

const pointsHelp = "write two points of the transmitter, such as 4mA=0bar,20mA=25bar or 0.5V=0bar,4.5V=25bar"

func parsePoints(text string) (*points, error) {
	parts := strings.Split(text, ",")
	if len(parts) != 2 {
		return nil, fmt.Errorf("points %q: %s", text, pointsHelp)
	}
	var p points
	for i, part := range parts {
		signal, value, found := strings.Cut(part, "=")
		kind, v, err := parseSignal(strings.TrimSpace(signal))
		if !found || err != nil || i > 0 && kind != p.kind {
			return nil, fmt.Errorf("point %q is not understood: %s", part, pointsHelp)
		}
		pa, err := units.ParsePressureDiff(strings.TrimSpace(value))
		if err != nil {
			return nil, fmt.Errorf("point %q: %w", part, err)
		}
		p.kind, p.signal[i], p.pa[i] = kind, v, float64(pa)
	}
	if !(p.signal[0] < p.signal[1]) || p.pa[0] == p.pa[1] {
		return nil, fmt.Errorf("points %q: the smaller signal comes first, and the pressures differ", text)
	}
	return &p, nil
}

func parseSignal(text string) (dimension, float64, error) {
	v, unit, err := units.ParseNumber(text)
	switch {
	case err != nil:
		return "", 0, err
	case unit == "V":
		return voltage, v, nil
	case unit == "mV":
		return voltage, v / 1000, nil
	case unit == "mA":
		return current, v / 1000, nil
	}
	return "", 0, fmt.Errorf("unit %q is none of V, mV, mA", unit)
}

func (p *points) span() units.PressureDiff {
	span := p.pa[1] - p.pa[0]
	return units.PressureDiff(max(span, -span))
}

// How far a signal may leave its line before the wiring is at fault, as shares
// of the lower signal and of the upper one: 3.6 and 21 mA of 4 to 20, 0.4 and 4.6 V
// of 0.5 to 4.5. From memory, see the package.
const (
	brokenCurrent, brokenVoltage = 0.9, 0.8
	overCurrent, overVoltage     = 1.05, 4.6 / 4.5
)

// pressure gives the pressure of a signal in Pa. Its error is a doubt about the wiring.
func (p *points) pressure(m measure) (float64, error) {
	if m.kind != p.kind {
		return 0, fmt.Errorf("the channel is a %s, and the points are of a %s", m.kind, p.kind)
	}
	low, high, factor, unit := brokenVoltage, overVoltage, 1.0, "V"
	if m.kind == current {
		low, high, factor, unit = brokenCurrent, overCurrent, 1000, "mA"
	}
	switch {
	case p.signal[0] > 0 && m.value < low*p.signal[0]:
		return 0, fmt.Errorf("signal of %.3g %s is below %.3g %s: the wire is broken, or the transmitter has no supply",
			m.value*factor, unit, low*p.signal[0]*factor, unit)
	case m.value > high*p.signal[1]:
		return 0, fmt.Errorf("signal of %.3g %s is above %.3g %s: a short circuit, or pressure beyond the range",
			m.value*factor, unit, high*p.signal[1]*factor, unit)
	}
	share := (m.value - p.signal[0]) / (p.signal[1] - p.signal[0])
	return p.pa[0] + share*(p.pa[1]-p.pa[0]), nil
}

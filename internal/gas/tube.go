package gas

import (
	"fmt"
	"math"
	"strings"

	"example.org/holdfast/internal/units"
)

// Tube is a round tube, a capillary above all.
type Tube struct {
	Bore   float64 // m, inside diameter
	Length float64 // m
}

// ParseTube reads a bore and a length: "0.7mm:3m".
func ParseTube(text string) (Tube, error) {
	bore, length, ok := strings.Cut(text, ":")
	if !ok {
		return Tube{}, fmt.Errorf("tube %q has no length: write bore and length, such as 0.7mm:3m", text)
	}
	var d Tube
	var err error
	if d.Bore, err = units.ParseLength(bore); err != nil {
		return Tube{}, fmt.Errorf("tube %q: bore: %w", text, err)
	}
	if d.Length, err = units.ParseLength(length); err != nil {
		return Tube{}, fmt.Errorf("tube %q: %w", text, err)
	}
	if d.Bore*10 > d.Length {
		return Tube{}, fmt.Errorf("tube %q is no tube: the bore comes first, then the length", text)
	}
	if d.Length > longestTube {
		return Tube{}, fmt.Errorf("tube %q is longer than %.0f m", text, longestTube)
	}
	return d, nil
}

// longestTube is far beyond any tube of a circuit, m.
const longestTube = 1e4

// Volume is what the tube holds.
func (d Tube) Volume() units.Volume { return units.Volume(d.area() * d.Length) }

func (d Tube) area() float64 { return math.Pi / 4 * d.Bore * d.Bore }

// Throughput is what flows through the tube from pressure p1 to p2 at
// temperature t, in Pa m3/s, negative if p2 is the higher. It is the isothermal
// flow of an ideal gas with friction (any text on compressible pipe flow; from memory),
//
//	mdot² = A² (p1² - p2²) / ((R T/M) (f L/D + 2 ln(p1/p2)))
//
// with p2 not below the pressure at which mdot is largest (choking). The
// friction factor is the larger of 64/Re (Hagen-Poiseuille) and 0.3164/Re^¼
// (Blasius), Re = 4 mdot/(π D η); it is right to some 10 %. Slip, below about
// 1 kPa in a capillary, is left out.
func (d Tube) Throughput(p1, p2 units.Absolute, t units.Temperature, f Fluid) units.LeakRate {
	if p2 > p1 {
		return -d.Throughput(p2, p1, t, f)
	}
	if p1 <= 0 || p1 == p2 {
		return 0
	}
	perMass := R * float64(t) / f.MolarMass() // Pa m3/kg
	eta := f.Viscosity(t)
	reynolds := func(mdot float64) float64 { return 4 * mdot / (math.Pi * d.Bore * eta) }
	// Friction falls as the flow grows, slower than the flow itself: the
	// iteration halves the error or better, from the laminar flow down.
	mdot := math.Pow(d.Bore, 4) * math.Pi / 256 * float64(p1*p1-p2*p2) / (eta * d.Length * perMass)
	for range 60 {
		re := reynolds(mdot)
		friction := max(64/re, 0.3164/math.Sqrt(math.Sqrt(re)))
		next := d.area() * math.Sqrt(flux2(float64(p1), float64(p2), friction*d.Length/d.Bore)/perMass)
		mean := math.Sqrt(mdot * next)
		if math.Abs(mean-mdot) <= 1e-9*mdot {
			break
		}
		mdot = mean
	}
	return units.LeakRate(mdot * perMass)
}

// flux2 is (p1²-p2²)/(k + 2 ln(p1/p2)), at the p2 of choking if that is the
// higher one: there the derivative by p2 is 0, p2²·(k + 2 ln(p1/p2)) = p1² - p2².
func flux2(p1, p2, k float64) float64 {
	at := func(p float64) float64 { return (p1*p1 - p*p) / (k + 2*math.Log(p1/p)) }
	choked := p1 / math.Sqrt(1+k)
	for range 40 {
		choked = math.Sqrt(at(choked))
	}
	return at(max(p2, choked))
}

// EqualiseTime is how long, in seconds, two closed volumes at p1 and p2 need
// to come within a difference of each other through a tube. A longer time tells of a blocked tube.
func (d Tube) EqualiseTime(v1, v2 units.Volume, p1, p2 units.Absolute, within units.PressureDiff, t units.Temperature, f Fluid) (float64, error) {
	if !(v1 > 0 && v2 > 0 && p1 > 0 && p2 >= 0 && within > 0 && d.Bore > 0 && d.Length > 0 && t > 0) {
		return 0, fmt.Errorf("volumes %g and %g m3, pressures %g and %g Pa, bore %g m, length %g m: all must be positive",
			float64(v1), float64(v2), float64(p1), float64(p2), d.Bore, d.Length)
	}
	var seconds float64
	for range 5000 { // a hundredth of the gap each: from any pressure down to rounding
		gap := p1 - p2
		if math.Abs(float64(gap)) <= float64(within) {
			return seconds, nil
		}
		q := float64(d.Throughput(p1, p2, t, f))
		closing := q * (1/float64(v1) + 1/float64(v2)) // Pa/s
		dt := 0.01 * float64(gap) / closing
		p1 -= units.Absolute(q * dt / float64(v1))
		p2 += units.Absolute(q * dt / float64(v2))
		seconds += dt
	}
	return 0, fmt.Errorf("a difference of %g Pa is too small to wait for", float64(within))
}

// ExpandedVolume is the volume of a section found by letting gas expand into
// it from a known volume: vref (p1-p2)/(p2-p0), p1 in the reference before, p0 in the section before, p2 in both
// after, all absolute and at one temperature (Boyle's law on both amounts).
func ExpandedVolume(vref units.Volume, p1, p0, p2 units.Absolute) (units.Volume, error) {
	if !(vref > 0 && p0 >= 0 && p1 > p2 && p2 > p0) {
		return 0, fmt.Errorf("pressures %g, %g and %g Pa do not fit: the one after must lie between reference and section before", float64(p1), float64(p0), float64(p2))
	}
	return vref * units.Volume((p1-p2)/(p2-p0)), nil
}

package verdict

import (
	"fmt"

	"example.org/holdfast/internal/decay"
	"example.org/holdfast/internal/units"
)

// pressure writes an absolute pressure, Pa, or a difference, in the unit of the words.
func (in RiseInput) pressure(pa float64) string {
	size, name := in.unit()
	return units.Significant(pa/size, 3) + " " + name
}

// perHour writes a rise in Pa/s.
func (in RiseInput) perHour(rate float64) string {
	_, name := in.unit()
	return in.perHourBare(rate) + " " + name + "/h"
}

func (in RiseInput) perHourBare(rate float64) string {
	size, _ := in.unit()
	return units.Significant(rate*units.SecondsPerHour/size, 2)
}

func (in RiseInput) unit() (pa float64, name string) {
	switch in.Unit {
	case "mbar":
		return 100, "mbar"
	case "micron":
		return micron, "micron"
	}
	return 1, "Pa"
}

// micron is 0.001 Torr in Pa, 1 Torr being 101325/760 Pa.
const micron = 101325.0 / 760e3

func howLong(s float64) string {
	if s < 120 {
		return fmt.Sprintf("%.0f s", s)
	}
	if s < 7200 {
		return fmt.Sprintf("%.0f min", s/60)
	}
	return fmt.Sprintf("%.1f h", s/3600)
}

// addPlateau compares where the rise ends with water and ice.
func (v *Verdict) addPlateau(in RiseInput) {
	r := in.Rise
	if r.Plateau.Hi <= 0 {
		return
	}
	v.Reasons = append(v.Reasons, fmt.Sprintf("It would level off at %s (%s to %s). %s",
		in.pressure(r.Plateau.Value), in.pressure(r.Plateau.Lo), in.pressure(r.Plateau.Hi), in.plateauMeans(r)))
}

// Pressures that tell what a plateau is.
const (
	melting     = 611.0  // Pa, water and ice at 0 °C (IAPWS)
	meltingNear = 0.08   // share of it
	freezing    = 273.16 // K
	coldestSpot = 253.0  // K: no colder ice is to be expected in a workshop
)

// plateauMeans says which pressure of water the plateau is near, in a sentence.
func (in RiseInput) plateauMeans(r decay.RiseEstimate) string {
	p := r.Plateau
	if r.Water <= 0 {
		return "There is no thermometer to compare it with: liquid water has 1.23 kPa at 10 C, 2.34 at 20, 4.25 at 30."
	}
	here := fmt.Sprintf("%s, what water has at the %.0f C of the section", in.pressure(r.Water), celsius(r.Temp))
	switch {
	case p.Lo > 1.1*r.Water:
		return "That is above " + here + ": not water alone, but gas out of oil, a far side, or air."
	case p.Hi >= 0.9*r.Water:
		return "That can be " + here + ": liquid water is in the section."
	case p.Lo <= melting*(1+meltingNear) && p.Hi >= melting*(1-meltingNear) && r.Temp > freezing:
		return fmt.Sprintf("That can be the %s of melting ice at 0 C, below %s: water has frozen inside. Warm the section, never with a flame.", in.pressure(melting), here)
	case r.WaterAt >= freezing:
		return fmt.Sprintf("Water has that at %.0f C, below %s: a colder spot that is wet, or less water than it takes.", celsius(r.WaterAt), here)
	case r.WaterAt >= coldestSpot:
		return fmt.Sprintf("Ice has that at %.0f C below freezing, and it is below %s: a cold, iced spot, or traces of moisture or gas.", -celsius(r.WaterAt), here)
	}
	return "That is far below " + here + ": traces of moisture, gas out of oil or hoses, no liquid water."
}

func celsius(k float64) float64 { return units.Temperature(k).Celsius() }

// capillary is what looks like moisture and is neither that nor a leak.
func (in RiseInput) capillary() Cause {
	c := Cause{Cause: "the far side of a capillary, not pumped down as far, evening out",
		Evidence: "where only one side was pumped it rises alike"}
	r := in.Rise
	if r.Plateau.Value > 0 {
		// With equal volumes both end half way between.
		c.Evidence += fmt.Sprintf("; an equal far side would have stood at %s", in.pressure(2*r.Plateau.Value-r.Start))
	}
	if in.Far.Level > 0 && r.Tau > 0 {
		fits := "that does not fit"
		if q := r.Tau / in.Far.Level; q > 1.0/farFits && q < farFits {
			fits = "that fits"
		}
		c.Evidence += fmt.Sprintf("; two thirds of the way take %s, and about %s through %s: %s", howLong(r.Tau), howLong(in.Far.Level), in.Far.Text, fits)
	}
	return c
}

// farFits is by which factor the time of a capillary of usual size may be off: its bore is not known.
const farFits = 4.0

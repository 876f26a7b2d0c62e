package verdict

import (
	"fmt"
	"math"

	"example.org/holdfast/internal/decay"
	"example.org/holdfast/internal/units"
)

// risingZ is how many standard uncertainties a rise must have to be called one.
const risingZ = 3.6

// supplyOpen is the cause that gas still comes in.
const supplyOpen = "supply valve not shut"

// causes names what the curve may be, with the evidence, the likeliest first.
func causes(in Input) (c []Cause) {
	e := in.Estimate
	if dead(e) { // whatever else its readings look like is not to be believed
		return []Cause{deadSensor(e)}
	}
	add := func(cause, evidence string, args ...any) {
		c = append(c, Cause{cause, fmt.Sprintf(evidence, args...)})
	}
	if e.Astray() && e.OpenedAt < 0 { // the thermometer cannot answer for what opened
		c = append(c, astray(e))
	}
	c = append(c, losses(in)...)
	if e.Falling {
		add("cooling after filling or brazing", "the fall is %.1f times its uncertainty, but only %.1f times if the part was hot when the hold began; holding on tells them apart, as heat fades and a leak does not", e.Z, e.ZHot)
	} else if e.WidthSettling > 0.5 {
		add("filling heat", "%s%.0f %% of the uncertainty is heat left from filling", takenOff(in), 100*e.WidthSettling)
	}
	if e.WidthTemperature > 0.5 {
		add("room temperature", "%s%.0f %% of the uncertainty is the temperature of the gas", takenOff(in), 100*e.WidthTemperature)
	}
	if e.OpenedAt < 0 { // else what follows looks at a curve that has a kink
		c = append(c, oddities(in)...)
	}
	if e.UpsetAt >= 0 {
		add("disturbance", "about %s something moved the pressure and died out: a hand, a draught, a step of the sensor; mark such things with m", minutes(e.UpsetAt))
	}
	if warned(e, "frozen sensor") {
		c = append(c, deadSensor(e))
	}
	return c
}

// losses are the causes by which gas goes, or went, out.
func losses(in Input) (c []Cause) {
	e := in.Estimate
	add := func(cause, evidence string, args ...any) {
		c = append(c, Cause{cause, fmt.Sprintf(evidence, args...)})
	}
	switch {
	case e.OpenedAt >= 0:
		add("leak that opened during the hold", "from %s on it falls where it held before, and no disturbance that dies out explains it; a supply valve that was shut only then looks the same", minutes(e.OpenedAt))
	case e.CalledAt >= 0 && e.Rate.Lo > 0:
		hot := ""
		if e.ZHot < calledZ {
			hot = fmt.Sprintf(", only %.1f times if the part was just brazed: then say so (--brazed), let it cool and hold on", e.ZHot)
		}
		add("leak", "the corrected fall is %.1f times its uncertainty%s", e.Z, hot)
	}
	switch {
	case e.Astray(): // by the thermometer alone it fell, or fell faster
	case e.Changing > 0 && !fresh(e):
		add("something that changed on the way", "since %s it falls faster than before, and it cannot be told whether that goes on: a supply shut only then, a valve that was turned, a leak that opened", minutes(e.Changing))
	case e.Changing > 0:
	case in.Slowed > 0:
		add("gauge cut off from the part", "since about %s it falls more slowly than before: behind a shut valve the gauge sees its hose alone", minutes(in.Slowed))
		add("leak that plugged itself", "the same; flux, oil or dirt can close it for a while")
	case in.Leaked && e.Rate.Lo <= 0:
		add("part hotter than usual when filled", "at %s the fall was beyond doubt, now it is %.1f times its uncertainty, as heat of brazing does that fades; if it does not come back in a second hold, it was that", units.FormatHeld(rangAfter(in)), e.Z)
		add("leak that plugged itself", "the same; flux, oil or dirt can close a leak for a while")
	}
	return c
}

// takenOff says how far temperature and filling heat moved the pressure, as the
// start of a sentence; "" = not known.
func takenOff(in Input) string {
	e := in.Estimate
	if e.Corrected <= 0 || e.Level <= 0 {
		return ""
	}
	moved, way := (e.End-e.Start)-(e.Corrected-e.Level), "lifted"
	if moved < 0 {
		way = "lowered"
	}
	return fmt.Sprintf("room and heat of filling have %s the pressure by %s, which is taken off; ", way, units.FormatPressureFine(math.Abs(moved), in.Unit))
}

// deadSensor is the cause that the pressure sensor stood still, with what the data say.
func deadSensor(e decay.Estimate) Cause {
	c := Cause{Cause: "frozen sensor"}
	for _, w := range e.Warnings {
		if w.Code == "frozen sensor" || w.Code == decay.NeverMoved {
			c.Evidence = w.Text
		}
	}
	return c
}

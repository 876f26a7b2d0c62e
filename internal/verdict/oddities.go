package verdict

import (
	"fmt"

	"example.org/holdfast/internal/decay"
	"example.org/holdfast/internal/units"
)

// oddPhrase is what a pressure that rises or stands too still says.
func oddPhrase(e decay.Estimate) string {
	switch {
	case e.Supplied():
		return "held up from outside: is the supply shut?"
	case e.Levels():
		return "rises and levels off: something boils out, or warms up"
	default:
		return "pressure rises: is the supply shut?"
	}
}

// BoilingOut is the cause that residual refrigerant lifts the pressure.
const BoilingOut = "refrigerant boiling out of oil"

// oddities are the causes that come from how the pressure behaves beside the
// leak: what lifts it or holds it up, what boils off, what no thermometer feels.
func oddities(in Input) (c []Cause) {
	e := in.Estimate
	add := func(cause, evidence string, args ...any) {
		c = append(c, Cause{cause, fmt.Sprintf(evidence, args...)})
	}
	const shut = "shut the cylinder, vent the hose and look again"
	if e.Supplied() {
		add(supplyOpen, "the pressure stands still though the room moved: it follows the thermometer by %.0f %% (at most %.0f %%) of what a closed gas must; what holds it up makes up for any leak: "+shut, 100*e.Follows.Value, 100*e.Follows.Hi)
	}
	if up := stepsUp(e); up > 1 {
		add(supplyOpen, "the pressure was lifted %d times, as a regulator does that makes up for a leak: "+shut, up)
	}
	if e.Astray() && e.Follows.Hi > 0 {
		add(supplyOpen, "the same, where a regulator keeps the pressure: "+shut)
	}
	switch {
	case e.Levels():
		add(BoilingOut, "the pressure rose by %s beyond what the room does, and levels off; while it rises a leak hides behind it. It can go as far as the refrigerant's saturation pressure at this temperature, and no further: warm the part, evacuate and fill again; if the rise comes back smaller, it was that", units.FormatPressure(e.Levelling.Value, in.Unit))
		if !e.Supplied() {
			add(supplyOpen, "the same rise; one not quite shut lifts the pressure as far as its regulator is set: "+shut)
		}
		add("part colder than the room when filled", "the same rise; if it does not come back in a second hold with the part at room temperature, it was that")
	case e.Z < -risingZ:
		if !e.Supplied() {
			add(supplyOpen, "the corrected pressure rises by %.1f times its uncertainty, which no leak does; a leak could be masked: "+shut, -e.Z)
		}
		add(BoilingOut, "the same rise; warm the part, evacuate and fill again to be rid of it")
	}
	if e.Blind > 0.9 && !e.Astray() && e.Coarse == 0 { // coarse steps look like it too
		add("warmth or cold that the thermometer does not feel", "the pressure moves in ways that it does not show: a hand, a draught, a lamp, sun, or a thermometer too far from the part. Keep them away, put it beside the part or on it, and hold anew")
	}
	return c
}

// astray is the cause that the thermometer has nothing to do with the part.
func astray(e decay.Estimate) Cause {
	evidence := fmt.Sprintf("the pressure does not follow it (by %.0f %%, at most %.0f %%, of what a closed gas must): put it beside the part, or on it", 100*e.Follows.Value, 100*e.Follows.Hi)
	if e.Follows.Hi < 0 {
		evidence = fmt.Sprintf("the pressure falls when it rises (%.0f %% of what a closed gas must do): put it beside the part, out of the draught of heater or fan, or on the part", 100*e.Follows.Value)
	}
	return Cause{"thermometer in the wrong place", evidence}
}

// stepsUp counts the steps upwards.
func stepsUp(e decay.Estimate) (n int) {
	for _, s := range e.Steps {
		if s.By > 0 {
			n++
		}
	}
	return n
}

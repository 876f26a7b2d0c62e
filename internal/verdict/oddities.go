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
// leak: what holds it up, what boils off, a thermometer that says nothing of the part.
func oddities(in Input) (c []Cause) {
	e := in.Estimate
	add := func(cause, evidence string, args ...any) {
		c = append(c, Cause{cause, fmt.Sprintf(evidence, args...)})
	}
	if e.Supplied() {
		add("supply valve not shut", "the pressure stands still though the room moved: it follows the thermometer by %.0f %% (at most %.0f %%) of what a closed gas must; what holds it up makes up for any leak: shut the cylinder, vent the hose and look again", 100*e.Follows.Value, 100*e.Follows.Hi)
	}
	if up := stepsUp(e); up > 1 {
		add("supply valve not shut", "the pressure was lifted %d times, as a regulator does that makes up for a leak: shut the cylinder, vent the hose and look again", up)
	}
	if e.Levels() {
		rise := units.FormatPressure(e.Levelling.Value, in.Unit)
		add(BoilingOut, "the pressure rose by %s beyond what the room does, and levels off; while it rises a leak hides behind it. It can go as far as the refrigerant's saturation pressure at this temperature, and no further: warm the part, evacuate and fill again; if the rise comes back smaller, it was that", rise)
		add("part colder than the room when filled", "the same rise; if it does not come back in a second hold with the part at room temperature, it was that")
	}
	switch {
	case e.OpenedAt >= 0: // the thermometer cannot answer for what opened
	case e.Astray() && e.Follows.Hi < 0:
		add("thermometer in the wrong place", "the pressure falls when it rises (%.0f %% of what a closed gas must do): put it beside the part, out of the draught of heater or fan, or on the part", 100*e.Follows.Value)
	case e.Astray() || e.Blind > 0.9:
		add("thermometer in the wrong place", "the pressure does not follow it (by %.0f %%, at most %.0f %%, of what a closed gas must): put it beside the part, or on it", 100*e.Follows.Value, 100*e.Follows.Hi)
	}
	return c
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

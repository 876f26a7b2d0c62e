package verdict

import (
	"fmt"
	"slices"

	"example.org/holdfast/internal/units"
)

// Equalising is a fall that may be two volumes coming together through a
// capillary: exponential, and ending where both stand alike.
type Equalising struct {
	Alike    bool         // the shape is that of equalising and not of a leak; false = it cannot be told yet
	EndsAt   units.Gauge  // where both volumes meet
	ClearIn  float64      // s, in which a clear capillary would be 99 % there
	Passes   float64      // share of the gas of a clear one that this one lets through; 0 = not known
	Behind   units.Volume // what lies behind the capillary
	Complete bool         // it is all but over
}

// shortTime says a time to the second below two minutes.
func shortTime(s float64) string {
	if s < 120 {
		return fmt.Sprintf("%.0fs", s)
	}
	return minutes(s)
}

// NameEqualising puts it among the causes: first where the shape says so, with a
// warning and no word of a leak, and last where it only may be.
func NameEqualising(v Verdict, e Equalising, unit string) Verdict {
	evidence := fmt.Sprintf("a capillary leads to %s behind it: both would meet at %s gauge, through a clear one within %s",
		units.FormatVolume(e.Behind), units.FormatPressure(float64(e.EndsAt), unit), shortTime(e.ClearIn))
	if e.Passes > 0 && e.Passes < 0.5 {
		evidence += fmt.Sprintf("; this one lets through about %s of that, so it is partly blocked", units.FormatShare(e.Passes))
	}
	c := Cause{"two volumes equalising through the capillary", evidence}
	switch {
	case !e.Alike:
		c.Evidence = "so far a leak would look the same: " + c.Evidence + ". Plug the capillary, or wait for where it ends"
		v.Causes = append(slices.Clip(v.Causes), c)
		return v
	case e.Complete:
		c.Evidence = "the fall slowed down and ended there: " + c.Evidence
	default:
		c.Evidence = "the fall slows down as this does and a leak does not: " + c.Evidence
	}
	v.Causes = slices.Insert(slices.Clone(v.Causes), 0, c)
	v.Warnings = append(slices.Clip(v.Warnings), "What looks like a leak may be two volumes equalising through the capillary: fill again when the pressure stands still.")
	if v.Word == Leaking { // the fall has an explanation that is no leak
		v.Word, v.MoreHold = Unproven, -1
		v.Phrase = "two volumes equalising: wait, then fill again"
		v.Advice = []string{"Wait until the pressure stands still, fill again and hold anew; or plug the capillary and hold each side alone."}
	}
	return v
}

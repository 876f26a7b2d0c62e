package verdict

import (
	"fmt"
	"slices"

	"example.org/holdfast/internal/decay"
	"example.org/holdfast/internal/units"
)

// Blank is what hose and valve alone lose, brought to the section. Estimate is
// without it already.
type Blank struct {
	Loss    decay.Interval // Pa/s of the section; Value is what was taken off
	Proven  bool           // hose and valve are known to leak; else nothing was taken off
	Share   float64        // of the variance of the leak
	Weakest BlankPart      // where most of the doubt in Loss comes from
	File    string
	SHA256  string // hex, of the file
	Date    string // day of the blank hold; "" = unknown
	Stale   bool   // another day than that of this hold
}

// BlankPart is a part of the doubt in what a blank hold takes off.
type BlankPart uint8

// The parts.
const (
	BlankTime     BlankPart = iota // the blank hold itself is too short or too coarse
	BlankPressure                  // it stood at another pressure, and nobody knows how the leak follows that
	BlankVolumes                   // the volumes are not known well enough
)

// remedy says what would make the blank hold worth more.
func (b *Blank) remedy() string {
	switch b.Weakest {
	case BlankPressure:
		return "Hose and valve held alone at the pressure of the section would narrow this most."
	case BlankVolumes:
		return "Both volumes measured better, and stated with how well they are known (20ml±5%), would narrow this most."
	}
	return "A longer hold of hose and valve alone would narrow this most."
}

// sayBlank says what was taken off and what to think of it.
func sayBlank(v *Verdict, in Input) {
	b := in.Blank
	if b == nil {
		return
	}
	rate := func(pa float64) string { return units.FormatPressureRate(units.PressureRate(pa), in.Unit) }
	if b.Proven {
		v.Reasons = append(v.Reasons, fmt.Sprintf("Hose and valve alone lose %s here (%s to %s), taken off.", rate(b.Loss.Value), rate(b.Loss.Lo), rate(b.Loss.Hi)))
	} else {
		v.Reasons = append(v.Reasons, fmt.Sprintf("Hose and valve alone may lose up to %s here, which is not proven: nothing is taken off, and the interval is wider for it.", rate(b.Loss.Hi)))
	}
	half := float64(in.Limit.Rate) / 2
	switch {
	case !in.Limit.Set:
	case b.Loss.Value > half:
		v.Advice = slices.Insert(v.Advice, 0, "Change the hose or its seals first: alone they lose more than half the limit.")
	case b.Loss.Hi > half:
		v.Advice = append(v.Advice, "Hold hose and valve alone for longer: what they could lose is more than half the limit.")
	}
	if b.Stale {
		v.Warnings = append(v.Warnings, fmt.Sprintf("The blank hold is of %s, not of the day of this hold. Hoses and seals change: hold them anew.", b.Date))
	}
}

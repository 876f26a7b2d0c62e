package verdict

import (
	"fmt"
	"math"

	"example.org/holdfast/internal/decay"
	"example.org/holdfast/internal/units"
)

// RiseInput is what the verdict of a vacuum rise rests on.
type RiseInput struct {
	Rise    decay.RiseEstimate
	Most    units.Absolute // acceptance: at most this pressure; 0 = none was given
	After   float64        // s, for so long
	Within  bool           // it was, all that time
	Text    string         // the acceptance as typed
	Elapsed float64        // s since the section was closed off
}

// wetHold is how long a wet section takes to tell, s (simulated rises, see the study of the model).
const wetHold = 7200.0

// JudgeRise gives the verdict of a vacuum rise: tight only if it stays flat and
// within the acceptance. It says nothing that overrules a hold under pressure.
func JudgeRise(in RiseInput) Verdict {
	v := Verdict{Word: Unproven, MoreHold: -1, Warnings: []string{
		"Never energise a compressor, nor test its insulation, under vacuum.",
		"A rise under vacuum shows dryness better than tightness: a joint can be sucked shut. The hold under pressure has the say.",
	}}
	switch {
	case !in.Rise.Valid:
		v.Phrase = "too early to say"
		v.Reasons = []string{"Too few readings since the section was closed off for any statement."}
		v.MoreHold = math.Max(math.Max(in.After, 1200)-in.Elapsed, 60)
	case in.Rise.Shape == decay.RiseLeak || in.Rise.Shape == decay.RiseBoth:
		riseLeaks(&v, in)
	case in.Rise.Shape == decay.RiseFlat:
		riseFlat(&v, in)
	case in.Rise.Shape == decay.RiseUndecided:
		riseOpen(&v, in)
	default:
		riseLevels(&v, in)
	}
	return v
}

func riseLeaks(v *Verdict, in RiseInput) {
	r := in.Rise
	v.Word, v.MoreHold = Leaking, 0
	v.Phrase = fmt.Sprintf("the pressure rises steadily, %s Pa/h", pascals(r.Leak.Value*units.SecondsPerHour))
	v.Reasons = []string{fmt.Sprintf("The steady part of the rise is %s to %s Pa/h (95 %%): a leak does not level off, moisture does.",
		pascals(r.Leak.Lo*units.SecondsPerHour), pascals(r.Leak.Hi*units.SecondsPerHour))}
	if r.Shape == decay.RiseBoth {
		v.Reasons = append(v.Reasons, fmt.Sprintf("Another part, %s Pa so far, levels off: moisture or outgassing as well.", pascals(r.Levelling)))
	}
	v.Advice = []string{"Check hose, valve and gauge connections first: they are part of what was held.", "Then find the leak with a hold under nitrogen pressure."}
}

func riseFlat(v *Verdict, in RiseInput) {
	r := in.Rise
	flat := fmt.Sprintf("The rise is flat: from %s to %s Pa, at most %s Pa/h of it steady (95 %%).",
		pascals(r.Start), pascals(r.End), pascals(r.Leak.Hi*units.SecondsPerHour))
	v.Reasons = []string{flat}
	switch {
	case in.Most <= 0:
		v.Phrase = "flat, but no acceptance was given"
		v.Reasons = append(v.Reasons, "Without an acceptance there is nothing to be tight to.")
		v.Advice = []string{"Say what has to be met, such as --accept 80Pa@60min."}
	case in.Elapsed < in.After:
		v.Phrase = "flat so far"
		v.MoreHold = in.After - in.Elapsed
		v.Advice = []string{"Keep holding until the time of the acceptance is over."}
	case !in.Within:
		v.Phrase = "flat, but above the acceptance of " + in.Text
		v.Reasons = append(v.Reasons, "It neither leaks nor gives off much, but was not pumped down far enough.")
		v.Advice = []string{"Pump down further and hold again."}
	default:
		v.Word, v.MoreHold = Tight, 0
		v.Phrase = "under vacuum: flat and within " + in.Text
	}
}

func riseLevels(v *Verdict, in RiseInput) {
	r := in.Rise
	v.Phrase = "wet or gassing: the rise levels off"
	v.Reasons = []string{fmt.Sprintf("The rise of %s Pa levels off; no steady part above the tolerance is left.", pascals(r.Levelling))}
	if r.Plateau.Hi > 0 {
		v.Reasons = append(v.Reasons, plateau(r))
	}
	cause := Cause{Cause: "moisture", Evidence: "the plateau lies where the vapour pressure of water lies between ice at -10 °C and the temperature of the section"}
	if r.Shape == decay.RiseOutgassing {
		cause = Cause{Cause: "refrigerant boiling out of oil, hoses or adsorbed water", Evidence: "it levels off where free water would not"}
	}
	v.Causes = append(v.Causes, cause, capillary())
	v.Advice = []string{"Warm the section, pump longer, break the vacuum with dry nitrogen once, and hold again."}
}

func riseOpen(v *Verdict, in RiseInput) {
	r := in.Rise
	v.Phrase = "leak or moisture: not to be told apart yet"
	v.Reasons = []string{fmt.Sprintf("From %s to %s Pa: the probability of a leak is %.0f %%, of moisture or outgassing %.0f %%.",
		pascals(r.Start), pascals(r.End), 100*r.PLeak, 100*r.PMoisture)}
	if r.PMoisture > 0.5 {
		v.Causes = append(v.Causes, capillary())
		if r.Plateau.Hi > 0 {
			v.Reasons = append(v.Reasons, plateau(r))
		}
	}
	if in.Elapsed < wetHold {
		v.MoreHold = wetHold - in.Elapsed
		v.Advice = []string{"Keep holding: a dry section shows within half an hour, a wet one takes two hours."}
		return
	}
	v.Advice = []string{"Longer would help little: hold under nitrogen pressure, which tells a leak from moisture."}
}

// plateau compares where the rise ends with water.
func plateau(r decay.RiseEstimate) string {
	text := fmt.Sprintf("It would end at %s Pa (%s to %s)", pascals(r.Plateau.Value), pascals(r.Plateau.Lo), pascals(r.Plateau.Hi))
	if r.Water > 0 {
		text += fmt.Sprintf("; water at the last temperature has %s Pa", pascals(r.Water))
	}
	return text + "."
}

// capillary is what looks like moisture and is neither that nor a leak.
func capillary() Cause {
	return Cause{Cause: "the far side of a capillary, not pumped down as far, equalising",
		Evidence: "a rise that levels off looks the same where only one side was evacuated, or both sides unequally"}
}

func pascals(v float64) string { return units.Significant(v, 3) }

package verdict

import (
	"fmt"
	"math"
	"slices"

	"example.org/holdfast/internal/decay"
	"example.org/holdfast/internal/units"
	"example.org/holdfast/refdata"
)

// RiseInput is what the verdict of a vacuum rise rests on.
type RiseInput struct {
	Rise    decay.RiseEstimate
	Text    string         // the acceptance as typed
	Start   units.Absolute // it asks for at most this when the valve closes; 0 = it does not say
	Most    units.Absolute // at most this pressure; 0 = no acceptance was given
	After   float64        // s, for so long
	Within  bool           // it was, all that time
	Elapsed float64        // s since the section was closed off
	Unread  float64        // s of it in which nothing was read, if a clock that may have been set is right
	Unit    string         // of pressure in the words; "" = Pa
	Far     FarSide
}

// FarSide is what a capillary of usual size would do in this section.
type FarSide struct {
	Level float64 // s, time constant with which two volumes even out through it at the pressure of the rise; 0 = not known
	Text  string  // the capillary and the volumes in words
}

// wetHold is how long a wet section takes to tell, s (simulated rises, see the study of the model).
const wetHold = 7200.0

// leakHold is how long most leaks take to be sure of, s (the same).
const leakHold = 2700.0

// JudgeRise gives the verdict of a vacuum rise: tight only if it stays flat and
// within the acceptance. It says nothing that overrules a hold under pressure.
func JudgeRise(in RiseInput) Verdict {
	v := Verdict{Word: Unproven, MoreHold: -1, Warnings: []string{
		refdata.CompressorInVacuum,
		"A rise under vacuum shows dryness better than tightness: a joint can be sucked shut. The hold under nitrogen pressure has the say.",
	}}
	switch {
	case !in.Rise.Valid:
		v.Phrase = "too early to say"
		v.Reasons = []string{"Too few readings since the section was closed off for any statement."}
		v.MoreHold = math.Max(math.Max(in.After, 1200)-in.Elapsed, 60)
	case in.Rise.Gross:
		riseGross(&v, in)
	case in.Rise.Shape == decay.RiseLeak || in.Rise.Shape == decay.RiseBoth:
		riseLeaks(&v, in)
	case in.Rise.Shape == decay.RiseFlat:
		riseFlat(&v, in)
	case in.Rise.Shape == decay.RiseUndecided:
		riseOpen(&v, in)
	default:
		riseLevels(&v, in)
	}
	if in.Rise.Valid && v.MoreHold > 0 {
		v.Reasons = slices.Insert(v.Reasons, 0, fmt.Sprintf("Not decided yet: as it goes now, wait until about %s after it was closed off.", minutes(roundUp(in.Elapsed+v.MoreHold))))
	}
	return v
}

func riseGross(v *Verdict, in RiseInput) {
	v.Word, v.MoreHold = Leaking, 0
	v.Phrase = "the vacuum is lost"
	v.Reasons = []string{fmt.Sprintf("The pressure went from %s to %s in %s: neither moisture nor outgassing does that.",
		in.pressure(in.Rise.Start), in.pressure(in.Rise.End), howLong(in.Rise.At))}
	v.Causes = []Cause{{"an open valve, a hose or a cap", "nothing else lets so much in so fast"},
		{"liquid refrigerant left in the section", "it boils off until the section stands at its vapour pressure"}}
	v.Advice = []string{"Check valves, hose and caps. If they are closed, find the leak with a hold under nitrogen pressure."}
}

func riseLeaks(v *Verdict, in RiseInput) {
	r := in.Rise
	v.Word, v.MoreHold = Leaking, 0
	v.Phrase = "the pressure rises steadily, " + in.perHour(r.Leak.Value)
	v.Reasons = []string{fmt.Sprintf("Of the rise, %s to %s is steady (95 %%): a leak does not level off, moisture does.",
		in.perHourBare(r.Leak.Lo), in.perHour(r.Leak.Hi))}
	switch {
	case r.Shape == decay.RiseBoth:
		v.Reasons = append(v.Reasons, fmt.Sprintf("Another part, %s so far, levels off: moisture or outgassing as well.", in.pressure(r.Levelling)))
		v.addPlateau(in)
	case r.PMoisture > sureWet:
		v.Reasons = append(v.Reasons, "Whether it is wet or gassing as well cannot be told yet.")
	}
	v.Advice = []string{
		"Check hose, valve and gauge connections first: they are part of what was held.",
		"Then find the leak with a hold under nitrogen pressure. If that was tight, this rise does not overrule it: the leak is most likely at the vacuum gear.",
	}
}

// sureWet is the probability of moisture above which it is not out of the question.
const sureWet = 0.025

func riseFlat(v *Verdict, in RiseInput) {
	r := in.Rise
	v.Reasons = []string{fmt.Sprintf("The rise is flat: from %s to %s, at most %s of it steady (95 %%).",
		in.pressure(r.Start), in.pressure(r.End), in.perHour(r.Leak.Hi))}
	switch {
	case in.Most <= 0:
		v.Phrase = "flat, but no acceptance was given"
		v.Reasons = append(v.Reasons, "Without an acceptance there is nothing to be tight to.")
		v.Advice = []string{"Say what has to be met, such as --accept 80Pa@60min; --accept help lists published ones."}
	case in.Start > 0 && r.Start > 1.02*float64(in.Start):
		v.Phrase = "flat, but not pumped down to where " + in.Text + " begins"
		v.Reasons = append(v.Reasons, fmt.Sprintf("It asks for %s or less when the valve closes; there were %s.", in.pressure(float64(in.Start)), in.pressure(r.Start)))
		v.Advice = []string{"Pump down further and hold again."}
	case in.Elapsed-in.Unread < in.After:
		v.Phrase = "flat so far"
		v.MoreHold = in.After - in.Elapsed + in.Unread
		v.Advice = []string{"Keep holding until the time of the acceptance is over."}
	case !in.Within:
		v.Phrase = "flat, but above the acceptance of " + in.Text
		v.Reasons = append(v.Reasons, "It neither leaks nor gives off much, but was not pumped down far enough.")
		v.Advice = []string{"Pump down further and hold again."}
	default:
		v.Word, v.MoreHold = Tight, 0
		v.Phrase = "under vacuum: flat and within " + in.Text
		v.Advice = []string{"Dry and pumped down. What it is tight to under pressure is what the nitrogen hold showed, no more.",
			"Pumped from both sides? Behind a capillary a far side that was not pumped as far shows only slowly."}
	}
}

func riseLevels(v *Verdict, in RiseInput) {
	r := in.Rise
	v.Phrase = "wet or gassing: the rise levels off"
	v.Reasons = []string{fmt.Sprintf("The rise of %s levels off; of a steady part no more than %s is left.", in.pressure(r.Levelling), in.perHour(r.Leak.Hi))}
	v.addPlateau(in)
	cause := Cause{Cause: "moisture", Evidence: "it levels off where water or ice in the section would"}
	if r.Shape == decay.RiseOutgassing {
		cause = Cause{Cause: "gas out of oil, hoses or damp surfaces", Evidence: "it levels off where liquid water would not"}
	}
	v.Causes = append(v.Causes, cause, in.capillary())
	v.Advice = []string{"Warm the section, never with a flame, break the vacuum with dry nitrogen once, pump longer from both sides, and hold again."}
}

func riseOpen(v *Verdict, in RiseInput) {
	r := in.Rise
	v.Phrase = "leak or moisture: not to be told apart yet"
	switch {
	case r.PLeak > 0.9:
		v.Phrase = "looks like a leak: hold on to be sure"
	case r.PLeak < 0.1 && r.PMoisture > 0.9:
		v.Phrase = "looks wet or gassing, a small leak beside it is open"
	}
	v.Reasons = []string{fmt.Sprintf("From %s to %s: a leak is %s, moisture or outgassing is %s.",
		in.pressure(r.Start), in.pressure(r.End), likely(r.PLeak), likely(r.PMoisture))}
	if r.PMoisture > 0.5 {
		v.addPlateau(in)
		v.Causes = append(v.Causes, in.capillary())
	}
	if r.PLeak > 0.9 && in.Elapsed < wetHold {
		v.MoreHold = math.Max(leakHold-in.Elapsed, 600)
		v.Advice = []string{"Keep holding: two looks ten minutes apart must agree."}
		return
	}
	if in.Elapsed < wetHold {
		v.MoreHold = wetHold - in.Elapsed
		v.Advice = []string{"Keep holding: a dry section shows within half an hour, a wet one takes one to two hours."}
		return
	}
	v.Advice = []string{"Longer would help little: hold under nitrogen pressure, which tells a leak from moisture."}
}

// likely says a probability in words, with the number where it is in between.
func likely(p float64) string {
	switch {
	case p < 0.025:
		return "ruled out"
	case p > 0.975:
		return "very likely"
	}
	return fmt.Sprintf("%.0f %% likely", 100*p)
}

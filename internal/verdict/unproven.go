package verdict

import (
	"fmt"
	"math"

	"example.org/holdfast/internal/decay"
	"example.org/holdfast/internal/units"
)

// changeShows is how long, in s, a leak that opened takes to tell itself from a
// disturbance: nine in ten simulated ones are told by then.
const changeShows = 720.0

func sayUnproven(v *Verdict, in Input) {
	e := in.Estimate
	v.Phrase = openPhrase(v, in)
	from, remedy := widest(in)
	instead := insteadOfWaiting(in)
	switch {
	case e.At < noWordBefore:
	case fresh(e):
		v.MoreHold = math.Max(e.Changing+changeShows-e.At, 60)
		v.Advice = append(v.Advice, fmt.Sprintf("From %s after the filling on it falls faster. Hands off, doors shut, and wait: a leak goes on, a disturbance fades.", minutes(e.Changing)))
	case instead != "":
		v.MoreHold, remedy = -1, ""
		v.Advice = append(v.Advice, instead)
	case v.MoreHold > 0:
		v.Advice = append(v.Advice, fmt.Sprintf("Keep holding about %s more.", minutes(roundUp(v.MoreHold))))
	case in.Limit.Set:
		v.Advice = append(v.Advice, "Holding longer will hardly decide it: the leak is close to the limit or the instruments are too coarse.")
	}
	if v.MoreHold > 0 && (in.Limit.Set || fresh(e)) {
		v.Reasons = append(v.Reasons, fmt.Sprintf("Not decided yet: as it goes now, wait until about %s after the filling.", minutes(roundUp(in.Elapsed+v.MoreHold))))
	}
	v.Reasons = append(v.Reasons, fmt.Sprintf("A leak of up to %s could still hide.", v.Hides.Long(in.Unit)))
	if in.Limit.Set {
		v.Reasons = append(v.Reasons, fmt.Sprintf("The limit is %s.", limitText(in)))
	} else {
		v.Reasons = append(v.Reasons, "No limit is set, so nothing can be called tight: give a limit, or charge and volume.")
	}
	v.Reasons = append(v.Reasons, "The uncertainty comes mostly from "+from+".")
	if remedy != "" {
		v.Advice = append(v.Advice, remedy)
	}
}

// roundUp takes a time, s, to whole five minutes: nobody knows it better.
func roundUp(s float64) float64 { return math.Ceil(s/300) * 300 }

// openPhrase says in a few words where an unproven hold stands, what hides a leak first.
func openPhrase(v *Verdict, in Input) string {
	e := in.Estimate
	switch {
	case dead(e):
		return "the pressure sensor stands still"
	case jumpy(e) && e.CalledAt >= 0:
		return "falls in jumps: a leak, or a loose plug?"
	case jumpy(e):
		return "the pressure reading jumps about"
	case e.At < noWordBefore:
		return "too early to say"
	case e.Falling:
		return "falling, heat could explain it"
	case fresh(e):
		return "something changed just now: wait"
	case e.Astray():
		return "the thermometer tells nothing of the part"
	case e.Changing > 0:
		return "something changed at " + minutes(e.Changing) + ": hold anew"
	case e.CalledAt >= 0 && e.Rate.Lo > 0:
		return "leaks about " + v.Leak.Short(in.Unit) + ", near the limit"
	case in.Slowed > 0:
		return "fell faster before: gauge cut off, or plugged?"
	case in.Leaked:
		return "fell before, not now: plugged, or was it heat?"
	case e.Z < -risingZ || e.Supplied() || e.Levels():
		return oddPhrase(e)
	}
	return "nothing above " + v.Hides.Short(in.Unit) + " so far"
}

// insteadOfWaiting is what to do where holding on proves nothing; "" = hold on.
func insteadOfWaiting(in Input) string {
	e := in.Estimate
	switch {
	case dead(e):
		return "Check the sensor: is its valve open, does its plug sit, does it move when the pressure does? Then hold anew."
	case jumpy(e) && e.CalledAt >= 0:
		return "Check plug and cable of the sensor, soap hose, valve and joints, leave the valves alone, and hold anew."
	case jumpy(e):
		return "Check plug and cable of the sensor and leave the valves alone. Then hold anew."
	case e.Astray():
		return "Put the thermometer beside the part, out of any draught, or on it under some insulation; shut the cylinder and vent the hose; and hold anew."
	case e.Levels():
		return "Wait until it no longer rises and hold anew from there. If refrigerant was in the part: warm it, evacuate and fill again."
	case e.Supplied() || e.Z <= -risingZ:
		return "Shut the cylinder, vent the hose, and hold anew."
	case e.Changing > 0:
		return "Shut the cylinder, vent the hose, touch no valve, and hold anew."
	case in.Slowed > 0:
		return "See that the valve to the gauge is open: let a little gas off at the part, and the gauge must fall at once. Then soap the joints, fill again and hold anew."
	case in.Leaked && e.Rate.Lo <= 0:
		return "Let the part cool, soap and clean the joints (flux, oil or dirt may plug a leak), fill again and hold anew."
	}
	return ""
}

// fresh reports a change so short ago that waiting tells what it was.
func fresh(e decay.Estimate) bool { return e.Changing > 0 && e.At-e.Changing < changeShows }

// dead reports a pressure sensor that has stopped or never moved.
func dead(e decay.Estimate) bool { return e.Frozen || warned(e, decay.NeverMoved) }

// jumpy reports a pressure sensor that steps more than once.
func jumpy(e decay.Estimate) bool { return warned(e, decay.ManySteps) }

// warned reports a warning of the estimate by its code.
func warned(e decay.Estimate, code string) bool {
	for _, w := range e.Warnings {
		if w.Code == code {
			return true
		}
	}
	return false
}

// widest names where most of the width comes from, and what would narrow it most.
func widest(in Input) (from, remedy string) {
	e := in.Estimate
	sensor := e.WidthSensor >= e.WidthTemperature && e.WidthSensor >= e.WidthSettling
	switch {
	case in.Blank != nil && in.Blank.Share > max(e.WidthSensor, e.WidthTemperature, e.WidthSettling):
		return "the blank hold", in.Blank.remedy()
	case in.ByHand && e.WidthSensor > 0.4:
		return "reading the gauge by eye", "A pressure sensor, or a finer gauge, would narrow this most."
	case sensor && e.Coarse > 0:
		return "the steps of the display, " + units.FormatPressure(e.Coarse, in.Unit), "A display with finer steps would narrow this most."
	case sensor:
		return "the pressure sensor", "A sensor with a range closer to the test pressure would narrow this most."
	case warned(e, "no thermometer"):
		return "the temperature of the gas: there is no thermometer", "A thermometer beside the part would narrow this most."
	case e.WidthSettling >= e.WidthTemperature:
		return "the heat left from filling", "Only time helps against filling heat; next time fill slowly, in steps."
	case in.OnPart:
		return "the temperature of the gas, which nothing measures directly",
			"Insulation over the thermometer on the part would narrow this most; keep doors shut and sun and heaters away."
	}
	return "the temperature of the gas, which nothing measures directly",
		"A thermometer strapped to the part under some insulation would narrow this most; keep doors shut and sun and heaters away."
}

package verdict

import (
	"fmt"
	"math"
	"strings"
	"time"

	"example.org/holdfast/internal/units"
)

// Short states a leak in the unit that says most: grams of refrigerant a year
// where they are known, else gas throughput, else pressure per hour.
func (f Figures) Short(unit string) string {
	switch {
	case f.HasRefrigerant:
		return units.FormatMassRate(f.Refrigerant)
	case f.HasThroughput:
		return units.FormatLeakRate(f.Throughput)
	default:
		return units.FormatPressureRate(f.Rate, unit)
	}
}

// Long states it in every unit that is known.
func (f Figures) Long(unit string) string {
	parts := []string{units.FormatPressureRate(f.Rate, unit) + " (" + units.Significant(f.PercentPerHour, 2) + " %/h)"}
	if f.HasThroughput {
		parts = append(parts, units.FormatLeakRate(f.Throughput)+" of the test gas")
	}
	if f.HasRefrigerant {
		parts = append(parts, "about "+massRange(f)+" of refrigerant at standstill")
	}
	return strings.Join(parts, ", ")
}

// massRange gives both flow laws where they differ visibly.
func massRange(f Figures) string {
	lo, hi := f.RefrigerantLow.GramsPerYear(), f.Refrigerant.GramsPerYear()
	if hi <= 0 || lo/hi > 0.9 {
		return units.FormatMassRate(f.Refrigerant)
	}
	return units.Significant(lo, 2) + " to " + units.FormatMassRate(f.Refrigerant)
}

func minutes(s float64) string {
	return units.FormatDuration((time.Duration(s) * time.Second).Round(time.Minute))
}

func sayLeaking(v *Verdict, in Input, gross bool) {
	e := in.Estimate
	v.Phrase = "loses " + v.Leak.Short(in.Unit)
	if gross {
		v.Phrase = "large leak: loses " + v.Leak.Short(in.Unit)
	}
	v.Reasons = append(v.Reasons, fmt.Sprintf("It loses %s. The pressure loss lies between %s and %s with 95 %% confidence.",
		v.Leak.Long(in.Unit), units.FormatPressureRate(units.PressureRate(math.Max(e.Rate.Lo, 0)), in.Unit), units.FormatPressureRate(units.PressureRate(e.Rate.Hi), in.Unit)))
	if e.OpenedAt >= 0 {
		v.Reasons = append(v.Reasons, fmt.Sprintf("It held at first: the leak opened about %s after the filling. The figures are for the time since then.", minutes(e.OpenedAt)))
	}
	if e.CalledAt >= 0 {
		v.Reasons = append(v.Reasons, fmt.Sprintf("From %s after the filling on, the fall is beyond what the room and the heat of filling can explain.", minutes(e.CalledAt)))
	}
	if in.Limit.Set {
		v.Reasons = append(v.Reasons, fmt.Sprintf("The limit is %s.", limitText(in)))
	}
	v.Advice = []string{
		"Soap what you added yourself first: hose, valve, caps and pinched ends. Then new joints, then old ones.",
	}
	if in.Blank == nil {
		v.Advice = append(v.Advice, "If soap shows nothing, hold the hose and valve alone on a plug: they leak as often as the part.")
	}
	v.Advice = append(v.Advice, "Then split the section and hold each half.")
}

func sayTight(v *Verdict, in Input) {
	v.Phrase = "nothing above " + v.Hides.Short(in.Unit)
	v.Reasons = append(v.Reasons,
		fmt.Sprintf("Any leak still hidden is smaller than %s (95 %% confidence).", v.Hides.Long(in.Unit)),
		fmt.Sprintf("That is below the limit of %s.", limitText(in)))
	if e := in.Estimate; (e.CalledAt >= 0 || e.Z > 3.6 && !e.Falling) && (in.Blank == nil || e.Rate.Lo > 0) {
		v.Warnings = append(v.Warnings, fmt.Sprintf("There is a real leak of about %s, below the limit.", v.Leak.Short(in.Unit)))
	}
	if in.Estimate.Follows.Lo <= 0 {
		v.Advice = append(v.Advice, "The room stood too still to show that the supply is shut: was the cylinder off, and the hose to it vented?")
	}
	v.Advice = append(v.Advice, "Soap each joint once more before it is covered; keep this record.")
}

func sayUnproven(v *Verdict, in Input) {
	e := in.Estimate
	v.Phrase = "nothing above " + v.Hides.Short(in.Unit) + " so far"
	if e.At < noWordBefore {
		v.Phrase = "too early to say"
	} else if e.Falling {
		v.Phrase = "falling, heat could explain it"
	} else if e.Frozen {
		v.Phrase = "the pressure sensor stands still"
	} else if e.Changing > 0 {
		v.Phrase = "something changed just now: wait"
	} else if e.CalledAt >= 0 && e.Rate.Lo > 0 {
		v.Phrase = "leaks about " + v.Leak.Short(in.Unit) + ", near the limit"
	} else if in.Leaked {
		v.Phrase = "leaked before, not now: plugged?"
	} else if e.Z < -risingZ || e.Supplied() || e.Levels() {
		v.Phrase = oddPhrase(e)
	}
	v.Reasons = append(v.Reasons, fmt.Sprintf("A leak of up to %s could still hide.", v.Hides.Long(in.Unit)))
	if in.Limit.Set {
		v.Reasons = append(v.Reasons, fmt.Sprintf("The limit is %s.", limitText(in)))
	} else {
		v.Reasons = append(v.Reasons, "No limit is set, so nothing can be called tight: give a limit, or charge and volume.")
	}
	v.Reasons = append(v.Reasons, "The uncertainty comes mostly from "+source(in)+".")
	instead := insteadOfWaiting(in)
	switch {
	case e.Changing > 0 && e.At >= noWordBefore:
		v.MoreHold = changeShows
		v.Advice = append(v.Advice, fmt.Sprintf("From %s after the filling on it falls faster. Hands off, doors shut, and hold 10 min more: a leak goes on, a disturbance fades.", minutes(e.Changing)))
	case instead != "" && e.At >= noWordBefore:
		v.MoreHold = -1
		v.Advice = append(v.Advice, instead)
		return
	case v.MoreHold > 0:
		v.Advice = append(v.Advice, fmt.Sprintf("Keep holding about %s more.", minutes(math.Ceil(v.MoreHold/300)*300)))
	case v.MoreHold < 0 && in.Limit.Set:
		v.Advice = append(v.Advice, "Holding longer will hardly decide it: the leak is close to the limit or the instruments are too coarse.")
	}
	v.Advice = append(v.Advice, v.Narrower)
}

// changeShows is how long, in s, until a leak that opened tells itself from a disturbance.
const changeShows = 600.0

// insteadOfWaiting is what to do where holding on proves nothing; "" = hold on.
func insteadOfWaiting(in Input) string {
	e := in.Estimate
	switch {
	case e.Frozen:
		return "Check the sensor: is its valve open, does its plug sit, does it move when the pressure does? Then hold anew."
	case e.Levels():
		return "Wait until it no longer rises and hold anew from there. If refrigerant was in the part: warm it, evacuate and fill again."
	case e.Supplied() || e.Z <= -risingZ:
		return "Shut the cylinder, vent the hose, and hold anew."
	case in.Leaked && e.Rate.Lo <= 0:
		return "It leaked and now it does not: flux, oil or dirt may have plugged it. Soap and clean the joints, fill again and hold anew."
	}
	return ""
}

// source names where the width comes from.
func source(in Input) string {
	e := in.Estimate
	switch {
	case in.Blank != nil && in.Blank.Share > max(e.WidthSensor, e.WidthTemperature, e.WidthSettling):
		return "the blank hold"
	case in.ByHand && e.WidthSensor > 0.4:
		return "reading the gauge by eye"
	case e.WidthSettling >= e.WidthSensor && e.WidthSettling >= e.WidthTemperature:
		return "the heat left from filling"
	case e.WidthTemperature >= e.WidthSensor:
		return "the temperature of the gas, which nothing measures directly"
	default:
		return "the pressure sensor"
	}
}

// remedy says what would narrow it most.
func remedy(in Input) string {
	e := in.Estimate
	for _, w := range e.Warnings {
		if w.Code == "no thermometer" {
			return "A thermometer beside the part would narrow this most."
		}
	}
	switch source(in) {
	case "the blank hold":
		return in.Blank.remedy()
	case "reading the gauge by eye":
		return "A pressure sensor, or a finer gauge, would narrow this most."
	case "the heat left from filling":
		return "Only time helps against filling heat; next time fill slowly, in steps."
	case "the pressure sensor":
		return "A sensor with a range closer to the test pressure would narrow this most."
	default:
		return "A thermometer strapped to the part under some insulation would narrow this most; keep doors shut and sun and heaters away."
	}
}

// limitText states the limit as typed and as a pressure rate.
func limitText(in Input) string {
	rate := units.FormatPressureRate(in.Limit.Rate, in.Unit)
	if in.Limit.Text == "" || strings.ReplaceAll(in.Limit.Text, " ", "") == strings.ReplaceAll(rate, " ", "") {
		return rate
	}
	return in.Limit.Text + ", here " + rate
}

// causes names what the curve may be, with the evidence, the likeliest first.
func causes(in Input) (c []Cause) {
	e := in.Estimate
	add := func(cause, evidence string, args ...any) {
		c = append(c, Cause{cause, fmt.Sprintf(evidence, args...)})
	}
	switch {
	case e.OpenedAt >= 0:
		add("leak that opened during the hold", "from %s on it falls where it held before, and no disturbance that dies out explains it", minutes(e.OpenedAt))
	case e.CalledAt >= 0:
		add("leak", "the corrected fall is %.1f times its uncertainty", e.Z)
	}
	if e.Falling {
		add("cooling after filling or brazing", "the fall is %.1f times its uncertainty, but only %.1f times if the part was hot when the hold began; holding on tells them apart, as heat fades and a leak does not", e.Z, e.ZHot)
	} else if e.WidthSettling > 0.5 {
		add("filling heat", "%.0f %% of the uncertainty is heat left from filling", 100*e.WidthSettling)
	}
	if e.WidthTemperature > 0.5 {
		add("room temperature", "%.0f %% of the uncertainty is the temperature of the gas", 100*e.WidthTemperature)
	}
	if e.Z < -risingZ {
		add("supply valve not shut", "the corrected pressure rises by %.1f times its uncertainty, which no leak does; a leak could be masked: shut the cylinder, vent the hose and look again", -e.Z)
		add(BoilingOut, "the same rise; warm the part, evacuate and fill again to be rid of it")
	}
	c = append(c, oddities(in)...)
	if e.UpsetAt >= 0 {
		add("disturbance", "about %s something moved the pressure and died out: a hand, a draught, a step of the sensor; mark such things with m", minutes(e.UpsetAt))
	}
	for _, w := range e.Warnings {
		if w.Code == "frozen sensor" {
			add("frozen sensor", "%s", w.Text)
		}
	}
	return c
}

// risingZ is how many standard uncertainties a rise must have to be called one.
const risingZ = 3.6

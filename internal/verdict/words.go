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

// sentence begins a text with a capital and ends it with a full stop.
func sentence(text string) string {
	if text == "" {
		return ""
	}
	return strings.ToUpper(text[:1]) + strings.TrimSuffix(text[1:], ".") + "."
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
	v.Reasons = append(v.Reasons, fmt.Sprintf("Since %s after the filling, when it rang, the fall is beyond what the room and the heat of filling can explain.", units.FormatHeld(rangAfter(in))))
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

// rangAfter is when the bell rang for the leak, s since the filling: now, if it had not before.
func rangAfter(in Input) float64 {
	if in.RangAt > 0 {
		return in.RangAt
	}
	return in.Elapsed
}

func sayTight(v *Verdict, in Input) {
	v.Phrase = "nothing above " + v.Hides.Short(in.Unit)
	v.Reasons = append(v.Reasons,
		fmt.Sprintf("Any leak still hidden is smaller than %s (95 %% confidence).", v.Hides.Long(in.Unit)),
		fmt.Sprintf("That is below the limit of %s.", limitText(in)))
	if e := in.Estimate; e.Rate.Lo > 0 && (e.CalledAt >= 0 || e.Z > calledZ && !e.Falling) {
		v.Warnings = append(v.Warnings, fmt.Sprintf("There is a real leak of about %s, below the limit.", v.Leak.Short(in.Unit)))
	}
	if in.Estimate.Follows.Lo <= 0 {
		v.Advice = append(v.Advice, "Nothing has shown that the supply is shut: was the cylinder off, and the hose to it vented?")
	}
	v.Advice = append(v.Advice,
		"When you let the gas off, do it at the part and watch the gauge: if it does not fall at once, its valve was shut and this hold proves nothing.",
		"Soap each joint once more before it is covered; keep this record.")
}

// limitText states the limit as typed and as a pressure rate.
func limitText(in Input) string {
	rate := units.FormatPressureRate(in.Limit.Rate, in.Unit)
	if in.Limit.Text == "" || strings.ReplaceAll(in.Limit.Text, " ", "") == strings.ReplaceAll(rate, " ", "") {
		return rate
	}
	return in.Limit.Text + ", here " + rate
}

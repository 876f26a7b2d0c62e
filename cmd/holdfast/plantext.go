package main

import (
	"fmt"
	"io"
	"strings"

	"example.org/holdfast/internal/plan"
	"example.org/holdfast/internal/units"
	"example.org/holdfast/internal/verdict"
	"example.org/holdfast/refdata"
)

// writePlan says the plan, what decides first.
func writePlan(w io.Writer, r plan.Request, p plan.Plan, unit string) {
	say := func(format string, args ...any) { paragraph(w, "", "  ", fmt.Sprintf(format, args...)) }
	item := func(format string, args ...any) { paragraph(w, "  ", "    ", fmt.Sprintf(format, args...)) }
	pressure := func(g units.Gauge) string { return units.FormatPressure(float64(g), unit) }

	say("CEILING %s gauge: %s.", pressure(p.Ceiling.Pressure), p.Ceiling.Why)
	if p.Ceiling.Kind != plan.Given {
		item("%s", citation(p.Ceiling.Cite))
	}
	if p.OverReason != "" {
		say("ABOVE THE CEILING: planned at %s; the reason given: %s.", pressure(p.Pressure), p.OverReason)
	}
	writeVerdictOf(w, r, p, unit)
	writeSights(w, r, p)
	writeHelp(w, r, p)
	writeAcceptance(w, r, p)

	fmt.Fprintln(w)
	say("1 K of temperature moves the pressure by %s (real %s, %.1f %% more than the ideal gas).",
		units.Significant(float64(p.PerKelvin)/100, 2)+" mbar", r.Gas.Name(), 100*(p.PerKelvinOf-1))
	writeBounds(w, p, unit)
	fmt.Fprintln(w)
	say("BEFORE AND WHILE FILLING (local codes and licensed practice decide)")
	for _, c := range refdata.CautionsOf(refdata.Filling) {
		paragraph(w, "  - ", "    ", c.Text)
	}
}

// citation says where a value comes from, in a line.
func citation(c refdata.Cite) string {
	switch c.Kind {
	case refdata.Published:
		return "published: " + c.Source + ", " + c.Locator
	case refdata.Memory:
		return "from memory: " + c.Source
	case refdata.Practice:
		return "common practice, no source"
	}
	return c.Locator
}

// writeVerdictOf says whether the hold as planned is worth holding.
func writeVerdictOf(w io.Writer, r plan.Request, p plan.Plan, unit string) {
	at := fmt.Sprintf("%s at %s, %s", r.Gas.Name(), units.FormatPressure(float64(p.Pressure), unit), duration(r.For))
	if !p.Limit.Set {
		paragraph(w, "", "  ", "NO LIMIT, so nothing could be called tight: give --limit, or --charge, --refrigerant and --volume.")
		return
	}
	within := func(s float64) string {
		if s < 0 {
			return "not within a day"
		}
		return "after " + duration(roundUp(s, 300))
	}
	paragraph(w, "", "  ", fmt.Sprintf("LIMIT %s: here %s.", p.Limit.Text, p.LimitFigures.Long(units.RateUnit(unit))))
	verdict := "LONG ENOUGH"
	switch {
	case p.HalfAfter < 0:
		verdict = "NOT ENOUGH"
	case p.NineAfter < 0 || p.NineAfter > r.For:
		verdict = "TOO SHORT"
	}
	proof := fmt.Sprintf("A tight section is proven so in every second hold %s, in nine of ten %s.", within(p.HalfAfter), within(p.NineAfter))
	if p.HalfAfter < 0 {
		proof = "Even in a day this hold does not prove it."
	}
	paragraph(w, "", "  ", fmt.Sprintf("%s: %s. %s", verdict, at, proof))
	if p.NeededAt > 0 {
		paragraph(w, "  ", "  ", fmt.Sprintf("The same in %s needs about %s.", duration(r.For), units.FormatPressure(float64(p.NeededAt), unit)))
	}
	if p.MostVolume > 0 && p.MostVolume < r.Volume {
		paragraph(w, "  ", "  ", fmt.Sprintf("Or a section of at most %s instead of %s.", units.FormatVolume(p.MostVolume), units.FormatVolume(r.Volume)))
	}
}

func roundUp(s, step float64) float64 { return float64(int((s+step-1)/step)) * step }

// writeSights is the table of the smallest leaks.
func writeSights(w io.Writer, r plan.Request, p plan.Plan) {
	fmt.Fprintln(w)
	where := map[plan.Place]string{plan.InRoom: "thermometer in the room", plan.OnPart: "thermometer on the part", plan.NoThermometer: "no thermometer"}
	with := fmt.Sprintf("sensor of %s", units.FormatPressure(float64(p.With.Range), "bar"))
	if p.With.ByHand {
		with = fmt.Sprintf("needle read to %s", units.FormatPressure(float64(p.With.Step), "bar"))
	}
	paragraph(w, "", "  ", fmt.Sprintf("SMALLEST LEAK THIS HOLD CAN SEE (%s, %s, still room)", with, where[p.With.Thermometer]))
	row := func(after, half, nine, restless, others string) {
		fmt.Fprintln(w, strings.TrimRight(fmt.Sprintf("  %-7s%12s%12s%15s   %s", after, half, nine, restless, others), " "))
	}
	row("", "every 2nd", "9 of 10", "9 of 10,", "every 2nd hold,")
	row("after", "hold", "holds", "doors, heaters", "in other units")
	for _, s := range p.Sights {
		row(duration(s.After), leak(s.Half), leak(s.Nine), leak(s.Restless), rest(s.Half))
	}
	if first := p.Sights[0].After; first > r.For {
		paragraph(w, "  ", "  ", "Before that nothing can be said: a hold of "+duration(r.For)+" proves nothing.")
	}
	if p.With.Stuck() {
		paragraph(w, "  ", "  ", "Such a display stands still between its steps: what a hold proves hangs on when it steps. A finer one is worth more than hours.")
	}
	if p.With.ByHand {
		paragraph(w, "  ", "  ", "A needle that sticks does not average out: tap it, and trust it for gross leaks.")
	}
	if r.Volume == 0 {
		paragraph(w, "  ", "  ", "For grams a year give --volume (`holdfast volume` reckons it) and --refrigerant.")
	}
}

// leak states a leak in the unit that says most of those a plan has.
func leak(f verdict.Figures) string {
	if f.HasRefrigerant {
		return units.FormatMassRate(f.Refrigerant)
	}
	return units.Significant(f.PercentPerHour, 2) + " %/h"
}

// rest states it in the other units.
func rest(f verdict.Figures) string {
	var parts []string
	if f.HasRefrigerant {
		parts = append(parts, units.Significant(f.PercentPerHour, 2)+" %/h")
	}
	if f.HasThroughput {
		parts = append(parts, units.FormatLeakRate(f.Throughput))
	}
	return strings.Join(parts, ", ")
}

// writeHelp says what would help most.
func writeHelp(w io.Writer, r plan.Request, p plan.Plan) {
	fmt.Fprintln(w)
	paragraph(w, "", "  ", fmt.Sprintf("WHAT WOULD HELP MOST, after %s", duration(r.For)))
	for _, h := range p.Help {
		mark := ""
		if h.Enough {
			mark = ", which proves the limit"
		}
		fmt.Fprintf(w, "  %-10s %s%s\n", leak(h.Figures), h.What, mark)
	}
	hose := refdata.RubberHose()
	paragraph(w, "  ", "  ", fmt.Sprintf("No hose in the held section: rubber alone lets out %s to %s. Hold hose and valve alone on a plug the same day (blank hold).",
		units.FormatLeakRate(units.LeakRate(hose.Low)), units.FormatLeakRate(units.LeakRate(hose.High))))
}

// writeAcceptance sets the limit beside published figures and the complaint.
func writeAcceptance(w io.Writer, r plan.Request, p plan.Plan) {
	fmt.Fprintln(w)
	if c := p.Complaint; c.Rate > 0 {
		text := fmt.Sprintf("THE COMPLAINT: %s lost in %s is %s", units.FormatMass(r.Lost), units.FormatSpan(spanOf(r.LostIn)), units.FormatMassRate(c.Rate))
		if c.PerLimit > 0 {
			text += fmt.Sprintf(", %s times the limit", units.Significant(c.PerLimit, 2))
		}
		if c.SeenAfter >= 0 {
			text += fmt.Sprintf(". One leak of that size rings after about %s", duration(roundUp(c.SeenAfter, 300)))
		} else if r.Volume > 0 {
			text += ". Such a leak does not ring within a day in this section: make it smaller"
		}
		paragraph(w, "", "  ", text+".")
	}
	paragraph(w, "", "  ", "PUBLISHED, per appliance and year")
	for _, a := range plan.Published() {
		paragraph(w, fmt.Sprintf("  %g g  ", a.GramsPerYear), "       ", a.Text+" ("+a.Source+", "+a.Locator+")")
	}
	loss := refdata.DomesticLoss()
	paragraph(w, "  ", "       ", fmt.Sprintf("%s to %s of the charge (%s, %s)", strings.ReplaceAll(units.FormatShare(loss.Low), " ", ""), strings.ReplaceAll(units.FormatShare(loss.High), " ", ""), loss.Source, loss.Locator))
}

// writeBounds lists the other pressures, each marked as what it is.
func writeBounds(w io.Writer, p plan.Plan, unit string) {
	line := func(b plan.Bound) {
		paragraph(w, fmt.Sprintf("  %9s  ", units.FormatPressure(float64(b.Pressure), unit)), "             ", b.Why+" ("+citation(b.Cite)+")")
	}
	fmt.Fprintln(w)
	if len(p.Bounds) > 0 {
		paragraph(w, "", "  ", "ALSO BINDING, higher")
		for _, b := range p.Bounds {
			line(b)
		}
	}
	paragraph(w, "", "  ", "NOT A WORKSHOP PRESSURE HERE, only for comparison")
	for _, b := range p.Beside {
		line(b)
	}
}

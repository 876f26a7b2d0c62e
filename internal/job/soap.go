package job

import (
	"fmt"
	"slices"
	"strings"

	"example.org/holdfast/internal/gas"
	"example.org/holdfast/internal/units"
	"example.org/holdfast/internal/verdict"
)

// stream is how many bubbles a second no eye counts.
const stream = 5.0

// SoapWords says what soap should show if all of a leak q of the test gas comes
// out at one joint, against the air pressure around it.
func SoapWords(q units.LeakRate, around units.Absolute) string {
	if q <= 0 {
		return ""
	}
	soap := gas.SoapShows(q, around)
	text := fmt.Sprintf("If all of it leaves at one joint, soap should show foam of about %s mm within %.0f minutes, ",
		units.Significant(1000*soap.Foam, 1), gas.SoapWait/60)
	switch {
	case soap.Bubble < 1/stream:
		text += "bubbles in a stream"
	case soap.Bubble < 1:
		text += fmt.Sprintf("about %s bubbles of 2 mm a second", units.Significant(1/soap.Bubble, 1))
	default:
		text += fmt.Sprintf("a bubble of 2 mm every %s s", units.Significant(soap.Bubble, 2))
	}
	if !soap.Seen() {
		text += "; that is easily overlooked: wait 10 minutes and use a lamp and a mirror"
	}
	return text + ". If no joint shows it, the leak is out of reach, or spread, or no leak: think of hose, valve and temperature."
}

// SoapOrder says in which order to soap a section: what was added for the hold
// first, then the new joints, then the old ones, the worst metals first (common
// practice, no source). What is proven is left out.
func (r *Record) SoapOrder(section string) (out []string) {
	fittings := "hose, valve and caps of the hold"
	if e := r.lastLeak(section); e != nil && len(e.Hold.Fittings) > 0 {
		fittings = list(e.Hold.Fittings)
	}
	out = append(out, fittings, "cores and caps of service valves")
	ids := r.jointsOf(section, farFuture)
	slices.SortStableFunc(ids, func(a, b string) int { return r.soapRank(b) - r.soapRank(a) })
	for _, id := range ids {
		if x, _ := r.Joint(id); r.ProofOfJoint(x).Standing != Proven {
			out = append(out, x.Title())
		}
	}
	return append(out, "bends and places where tubes rub")
}

// soapRank is higher for what leaks more often.
func (r *Record) soapRank(id string) int {
	x, _ := r.Joint(id)
	rank := 0
	if !x.Old || !r.remade(id).IsZero() {
		rank += 4
	}
	metals := strings.ToLower(x.Metals)
	if strings.Contains(metals, "alu") && strings.Contains(metals, "copper") {
		rank += 2
	}
	return rank
}

// Finding is what to do about a section that leaks.
type Finding struct {
	Evidence *Evidence
	Soap     string
	Order    []string
	Causes   []verdict.Cause
}

// Findings are the sections whose last hold leaked and that were not touched
// since; not the whole, where a part of it is known to leak.
func (r *Record) Findings() (out []Finding) {
	for _, s := range r.Sections {
		e := r.lastLeak(s.ID)
		if e == nil || len(e.Touched) > 0 || slices.ContainsFunc(s.Parts, func(p string) bool { return r.lastLeak(p) != nil }) {
			continue
		}
		f := Finding{Evidence: e, Order: r.SoapOrder(s.ID), Causes: e.State.Verdict.Causes}
		if leak := e.State.Verdict.Leak; leak.HasThroughput {
			f.Soap = SoapWords(leak.Throughput, e.State.Atmosphere)
		}
		out = append(out, f)
	}
	return out
}

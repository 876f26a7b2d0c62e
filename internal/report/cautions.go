package report

import (
	"fmt"

	"example.org/holdfast/internal/gas"
	"example.org/holdfast/internal/hold"
	"example.org/holdfast/internal/job"
	"example.org/holdfast/internal/verdict"
	"example.org/holdfast/refdata"
)

// cautions adds those of some steps, each step under its name and each caution with its source.
func (d *Document) cautions(heading string, steps ...refdata.Step) {
	p := Part{Heading: heading}
	for _, c := range refdata.CautionsOf(steps...) {
		p.Items = append(p.Items, fmt.Sprintf("%s: %s%s", upperFirst(string(c.Step)), c.Text, d.cite(citation(c.Cite))))
	}
	p.Items = append(p.Items, refdata.LocalCodes)
	d.add(p)
}

func upperFirst(s string) string { return string(s[0]-'a'+'A') + s[1:] }

// citation is a source as a footnote.
func citation(c refdata.Cite) string {
	switch c.Kind {
	case refdata.Published:
		return c.Source + ", " + c.Locator + "."
	case refdata.Memory:
		return c.Source + ", " + c.Locator + ", from memory."
	}
	return upperFirst(c.Source) + ": common practice, no source."
}

// stepsOf are the steps of one hold at which somebody can be hurt.
func stepsOf(st *hold.State) []refdata.Step {
	switch {
	case st.Header.Settings.Kind == "vacuum":
		return []refdata.Step{refdata.Vacuum}
	case st.Verdict.Word == verdict.Leaking:
		return []refdata.Step{refdata.Filling, refdata.Venting, refdata.Opening, refdata.Brazing}
	}
	return []refdata.Step{refdata.Filling, refdata.Venting}
}

// stepsOfJob are those of the whole repair; charging only where the refrigerant burns.
func stepsOfJob(r *job.Record) []refdata.Step {
	steps := []refdata.Step{refdata.Opening, refdata.Filling, refdata.Venting, refdata.Brazing, refdata.Vacuum}
	if burns(r) {
		steps = append(steps, refdata.Charging)
	}
	return steps
}

func burns(r *job.Record) bool {
	x, err := gas.LookupRefrigerant(r.Refrigerant)
	return err == nil && x.Flammable()
}

// next says what comes when every section is proven: the vacuum, or the charge.
func (d *Document) next(r *job.Record) {
	switch {
	case d.Word != string(verdict.Tight):
	case !r.Dry():
		d.cautions("Next: evacuate and hold the vacuum", refdata.Venting, refdata.Vacuum)
	case burns(r):
		d.cautions("Next: charge it; "+r.Refrigerant+" burns", refdata.Charging)
	default:
		d.add(Part{Heading: "Next: charge it", Items: []string{"By weight; then close the process tube and soap or sniff it.", refdata.LocalCodes}})
	}
}

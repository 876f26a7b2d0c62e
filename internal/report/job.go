package report

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
	"time"

	"example.org/holdfast/internal/hold"
	"example.org/holdfast/internal/job"
	"example.org/holdfast/internal/units"
	"example.org/holdfast/internal/verdict"
)

const (
	remadeSource = "A leaking joint is taken apart, cleaned and remade as a new joint, and the test repeated; it is not remelted: US Unified Facilities Guide Specification 15182."
	soapedSource = "Each joint looked at about 10 minutes after soap was put on, with approved solution, not dish detergent: ASHRAE Journal, January 2021, p. 40."
	orderSource  = "Order of soaping: common practice, no source."
	buriedSource = "Tested before any pipe is insulated or covered: US Unified Facilities Guide Specification 15182. The list itself is holdfast's own."
	tubeSource   = "The process tube is closed after charging, so no hold under nitrogen can prove it: common practice, no source."
)

// OfJob makes the report of a whole job: the result, what is proven, the
// close-ups, and every hold.
func OfJob(r *job.Record) *Document {
	d := &Document{}
	d.summary(r)
	d.add(Part{Heading: "Marks", Table: &Table{Head: []string{"when", "where", "what"}, Rows: marks(r), Narrow: true}})
	for i := range r.Holds {
		d.eachHold(r, &r.Holds[i])
	}
	d.cautions("Cautions, step by step", stepsOfJob(r)...)
	return d
}

// JobSummary is what `job show` says: no single holds.
func JobSummary(r *job.Record) *Document {
	d := &Document{brief: true}
	d.summary(r)
	return d
}

func (d *Document) summary(r *job.Record) {
	d.Title = "Record of a repair"
	if r.Appliance != "" {
		d.Title += ": " + r.Appliance
	}
	d.result(r)
	job := facts(r)
	if r.Vacuum != "" {
		job = append(job, Fact{"Vacuum has to meet", d.acceptance(r.Vacuum)})
	}
	d.add(Part{Heading: "The job", Facts: job})
	d.add(Part{Heading: "What is proven, section by section", Table: sectionTable(r)})
	d.add(Part{Heading: "What is proven, joint by joint", Table: jointTable(r), Text: []string{"A joint that is touched is no longer proven; a leaking one is remade, never remelted" + d.cite(remadeSource) + "."}})
	d.add(Part{Heading: "What the holds say together", Items: r.Reasons()})
	for _, f := range r.Findings() {
		d.finding(f)
	}
	d.gates(r)
	d.next(r)
}

// standings sorts the sections by how they stand.
func standings(r *job.Record) (leaking, open, proven []string) {
	for _, s := range r.Sections {
		if s.Blank {
			continue
		}
		switch r.ProofOfSection(s).Standing {
		case job.Proven:
			proven = append(proven, s.Title())
		case job.Leaks, job.Suspect:
			leaking = append(leaking, s.Title())
		default:
			open = append(open, s.Title())
		}
	}
	return leaking, open, proven
}

// result is the whole job in a word: as good as its worst section.
func (d *Document) result(r *job.Record) {
	leaking, open, proven := standings(r)
	switch {
	case len(leaking) > 0:
		d.Word, d.Phrase, d.Mood = string(verdict.Leaking), strings.Join(leaking, ", "), Bad
	case len(open) > 0 || len(proven) == 0:
		d.Word, d.Phrase, d.Mood = string(verdict.Unproven), orElse(strings.Join(open, ", "), "nothing was held yet"), Open
	default:
		d.Word, d.Phrase, d.Mood = string(verdict.Tight), "every section was held and found tight to its limit", Good
	}
	if len(proven) > 0 {
		d.Lead = append(d.Lead, "Proven tight to the limit: "+strings.Join(proven, ", ")+".")
	}
	if len(open) > 0 {
		d.Lead = append(d.Lead, "Not proven, or not any more: "+strings.Join(open, ", ")+".")
	}
	d.Lead = append(d.Lead, dryness(r))
	if files := simulatedLogs(r); len(files) > 0 {
		d.Lead = append(d.Lead, "SIMULATED, so an example and no proof of anything real: "+strings.Join(files, ", ")+".")
	}
	for _, c := range r.Closeups {
		if c.Despite != "" {
			d.Lead = append(d.Lead, fmt.Sprintf("%s was closed up AGAINST ADVICE by %s, because: %s", title(r, c.Section), c.Name, c.Despite))
		}
	}
	for _, x := range r.Joints {
		if x.AfterCharging {
			d.Lead = append(d.Lead, fmt.Sprintf("%s is closed after charging: it can only be soaped or sniffed%s.", x.Title(), d.cite(tubeSource)))
		}
	}
}

// simulatedLogs are those that a program made.
func simulatedLogs(r *job.Record) (files []string) {
	for i := range r.Holds {
		if e := &r.Holds[i]; e.State != nil && e.State.Header.Truth != nil {
			files = append(files, e.Hold.File)
		}
	}
	return files
}

func title(r *job.Record, section string) string {
	s, _ := r.Section(section)
	return s.Title()
}

// dryness is what the last vacuum hold says.
func dryness(r *job.Record) string {
	e := r.LastRise()
	if e == nil {
		return "Dryness: no vacuum hold is in this job."
	}
	text := fmt.Sprintf("Dryness, by the rise under vacuum (%s; %s): %s. It never overrules a hold under pressure.", e.Hold.File, pumped(r, e), e.State.Verdict.Phrase)
	if len(e.Touched) > 0 {
		text += " Touched since: " + e.Touched[0].Words() + "; evacuate and hold it again."
	}
	return text
}

// pumped says from how many sides the section was evacuated.
func pumped(r *job.Record, e *job.Evidence) string {
	return orElse(r.Pumped(e).Phrase(), "not marked whether from one side or from both")
}

func facts(r *job.Record) (out []Fact) {
	add := func(name, value string) {
		if value != "" {
			out = append(out, Fact{name, value})
		}
	}
	add("Appliance", r.Appliance)
	text := r.Refrigerant
	if r.Charge > 0 {
		text += ", charge " + units.FormatMass(r.Charge)
	}
	add("Refrigerant", text)
	add("Guarantee", r.Guarantee)
	switch {
	case r.Limit != "":
		add("Limit of a section", r.Limit)
	case r.Tolerate != "":
		add("Limit of a section", r.Tolerate+" of the charge, divided by 3 for safety")
	case r.Guarantee != "":
		add("Limit of a section", "a fifth of the charge within the guarantee, divided by 3 for safety (common practice, no source)")
	}
	return out
}

func sectionTable(r *job.Record) *Table {
	t := &Table{Head: []string{"section", "volume", "state", "by what"}}
	for _, s := range r.Sections {
		volume := ""
		if s.Volume > 0 {
			volume = units.FormatVolume(s.Volume)
		}
		p := r.ProofOfSection(s)
		t.Rows = append(t.Rows, []string{s.Title(), volume, string(p.Standing), proofWords(p)})
	}
	return t
}

func jointTable(r *job.Record) *Table {
	t := &Table{Head: []string{"joint", "kind", "state", "by what"}}
	for _, x := range r.Joints {
		p := r.ProofOfJoint(x)
		t.Rows = append(t.Rows, []string{x.ID, jointKind(x), string(p.Standing), orElse(x.Name, x.Section) + ": " + proofWords(p)})
	}
	return t
}

func jointKind(x job.Joint) string {
	var parts []string
	for _, s := range []string{x.Metals, x.Method} {
		if s != "" {
			parts = append(parts, s)
		}
	}
	if x.Buried {
		parts = append(parts, "buried")
	}
	return strings.Join(parts, ", ")
}

// proofWords says to what, at what pressure and when something is proven, or why it is not.
func proofWords(p job.Proof) string {
	when := func(t time.Time) string { return t.Format("2006-01-02 15:04") }
	switch p.Standing {
	case job.Proven:
		return fmt.Sprintf("nothing above %s at %s, %s (%s)", p.By.Hides(), p.By.Gauge(), when(p.By.Start), p.By.Hold.File)
	case job.OpenEnded:
		if len(p.Undated) > 0 {
			return fmt.Sprintf("held tight %s (%s), but not said when %s was made: it may be younger", when(p.By.Start), p.By.Hold.File, strings.Join(p.Undated, ", "))
		}
		return fmt.Sprintf("up to %s could hide at %s, %s (%s)", p.By.Hides(), p.By.Gauge(), when(p.By.Start), p.By.Hold.File)
	case job.Leaks, job.Suspect:
		return fmt.Sprintf("%s, all that was held together, %s (%s)", p.By.State.Verdict.Phrase, when(p.By.Start), p.By.Hold.File)
	case job.Stale:
		return fmt.Sprintf("held %s (%s: %s), but %s on %s", when(p.By.Start), p.By.Hold.File, p.By.Word(), p.Since.Words(), when(p.Since.Time))
	case job.Later:
		return "after charging: soap or sniff only"
	}
	return "no hold covers it"
}

func (d *Document) finding(f job.Finding) {
	p := Part{Heading: "Finding the leak: " + f.Evidence.Section.Title()}
	if f.Soap != "" {
		p.Text = append(p.Text, f.Soap+d.cite(soapSource))
	}
	p.Text = append(p.Text, "Start at low pressure, for a large leak blows bubbles away. Wipe dry and soap again what foams. Let the pressure off before touching a joint. Soap in this order"+d.cite(orderSource)+":")
	p.Steps = f.Order
	p.Items = append(f.Evidence.State.Service.Words(), causes(f.Causes)...)
	d.add(p)
}

// gates are the close-up lists of the sections that have something to bury.
func (d *Document) gates(r *job.Record) {
	for _, s := range r.Sections {
		g, err := r.Gate(s.ID, "")
		if err != nil || g.Closed == nil && !r.Buries(s.ID) {
			continue
		}
		p := Part{Heading: "Close-up: " + s.Title(), Text: []string{gateWords(g)}}
		for _, c := range g.Checks {
			sign := Missing
			if c.OK {
				sign = Done
			} else if c.Later {
				sign = Later
			}
			p.Boxes = append(p.Boxes, Box{sign, c.Name + ": " + c.Found})
		}
		p.Text[0] += d.cite(buriedSource) + d.cite(soapedSource)
		d.add(p)
	}
}

func gateWords(g job.Gate) string {
	if g.Closed == nil {
		return map[bool]string{true: "Everything is there: it may be closed up with a name.", false: "Not to be buried yet."}[g.Clear]
	}
	text := fmt.Sprintf("Closed up on %s by %s.", g.Closed.Time.Format("2006-01-02 15:04"), g.Closed.Name)
	if g.Closed.Despite != "" {
		text += fmt.Sprintf(" AGAINST ADVICE, because: %s. Missing was then: %s.", g.Closed.Despite, strings.Join(g.Closed.Missing, "; "))
	}
	return text
}

// marks are all of them, of the job file and of the logs.
func marks(r *job.Record) (rows [][]string) {
	for _, m := range r.Marks {
		where := m.Section
		if m.Joint != "" {
			where = m.Joint
		}
		what := m.What.Phrase()
		if m.What == job.Note {
			what = ""
		}
		for _, more := range []string{m.Text, m.Name} {
			if more != "" {
				what = strings.TrimPrefix(what+", "+more, ", ")
			}
		}
		rows = append(rows, []string{m.Time.Format("2006-01-02 15:04"), where, what})
	}
	return rows
}

// markedBy is the state of a hold with the marks that were entered in the job file
// while it ran, beside those of its log.
func markedBy(r *job.Record, e *job.Evidence) *hold.State {
	st := *e.State
	st.Marks = slices.Clone(st.Marks)
	for _, m := range r.Marks {
		if m.File == "" && r.Concerns(m, e) && !m.Time.Before(e.Start) && !m.Time.After(e.End) {
			what := m.What.Phrase()
			if m.What == job.Note {
				what = ""
			}
			text := strings.Join(strings.Fields(what+" "+orElse(m.Joint, m.Section)+" "+m.Text), " ")
			st.Marks = append(st.Marks, hold.Mark{Elapsed: st.SegmentStart + m.Time.Sub(e.Start).Seconds(), Text: text, Segment: st.Segment})
		}
	}
	slices.SortStableFunc(st.Marks, func(a, b hold.Mark) int { return cmp.Compare(a.Elapsed, b.Elapsed) })
	return &st
}

// eachHold puts one hold of the job on a page of its own.
func (d *Document) eachHold(r *job.Record, e *job.Evidence) {
	head := fmt.Sprintf("%s: %s", e.Hold.File, e.Section.Title())
	if e.Err != nil {
		d.add(Part{Heading: head, Text: []string{"No evidence: " + e.Err.Error()}})
		return
	}
	st := markedBy(r, e)
	p := Part{Heading: head, Break: true, Chart: chartOf(st)}
	p.Text = append(p.Text, fmt.Sprintf("%s: %s. %s", strings.ToUpper(string(st.Verdict.Word)), st.Verdict.Phrase, plainResult(st)))
	if len(e.Touched) > 0 {
		p.Text = append(p.Text, "Touched since: "+e.Touched[0].Words()+". What it says of the rest of the section stands.")
	}
	p.Facts = d.figures(st)
	if st.Rise != nil {
		p.Facts = append(p.Facts, Fact{"Evacuated", pumped(r, e)})
	}
	if len(e.Joints) > 0 && st.Rise == nil {
		p.Facts = append(p.Facts, Fact{"Joints in it", strings.Join(e.Joints, ", ")})
	}
	if len(e.Hold.Fittings) > 0 {
		p.Facts = append(p.Facts, Fact{"Fittings in it", strings.Join(e.Hold.Fittings, ", ")})
	}
	p.Facts = append(p.Facts, d.setup(HoldInput{File: e.Hold.File, State: st, Integrity: e.Integrity})...)
	p.Items = append(append(p.Items, st.Verdict.Warnings...), causes(st.Verdict.Causes)...)
	if rows := happened(st); len(rows) > 0 {
		p.Table = &Table{Head: []string{"no.", "time", "what"}, Rows: rows}
	}
	d.add(p)
}

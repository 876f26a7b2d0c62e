package job

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"example.org/holdfast/internal/holdlog"
	"example.org/holdfast/internal/units"
	"example.org/holdfast/internal/verdict"
)

// Check is one line of the list that has to be full before a section is buried.
type Check struct {
	Name  string
	OK    bool
	Found string // the evidence, or what is missing
	Later bool   // comes after the close-up, or after charging: it does not hold up
}

// Gate is the list for one section.
type Gate struct {
	Section Section
	Checks  []Check
	Closed  *Closeup // the last decision that still stands; nil = none
	Clear   bool     // everything that can be had by now is there
}

// farFuture is later than anything in a job.
var farFuture = time.Unix(1<<40, 0)

// Gate fills the list of a section from the evidence alone. Name is who would
// answer for the close-up; "" = nobody yet.
func (r *Record) Gate(section, name string) (Gate, error) {
	s, ok := r.Section(section)
	if !ok {
		return Gate{}, fmt.Errorf("there is no section %q", section)
	}
	if s.Blank {
		return Gate{}, fmt.Errorf("%q is hose and valve: it is not buried", section)
	}
	g := Gate{Section: s, Closed: r.closed(section)}
	until := farFuture
	if g.Closed != nil {
		name, until = g.Closed.Name, g.Closed.Time
	}
	exact := r.exact(section)
	proof := lastEnded(exact, until)
	g.Checks = append(g.Checks, r.checkExact(s, proof), r.checkBound(s, proof), r.checkBlank(proof), r.checkSoap(s, until), r.checkAgain(s, exact, proof), r.checkCapillary(s, until), r.checkMade(s), checkName(name))
	g.Checks = append(g.Checks, r.checkCured(g.Closed, exact, proof))
	g.Checks = append(g.Checks, r.checkLater(s)...)
	g.Clear = !slices.ContainsFunc(g.Checks, func(c Check) bool { return !c.OK && !c.Later })
	return g, nil
}

// Missing are the names of what is not there.
func (g Gate) Missing() (out []string) {
	for _, c := range g.Checks {
		if !c.OK && !c.Later {
			out = append(out, c.Name)
		}
	}
	return out
}

// closed gives the last close-up of a section, unless it was touched since.
func (r *Record) closed(section string) *Closeup {
	at := r.lastTouch(section)
	for i := len(r.Closeups) - 1; i >= 0; i-- {
		if c := &r.Closeups[i]; c.Section == section && c.Time.After(at) {
			return c
		}
	}
	return nil
}

// lastTouch is when anything in a section was last touched; zero = never.
func (r *Record) lastTouch(section string) (at time.Time) {
	leaves := r.leaves(section)
	for _, m := range r.Marks {
		if m.What.Touches() && slices.ContainsFunc(r.leaves(m.Section), func(s string) bool { return slices.Contains(leaves, s) }) {
			at = m.Time
		}
	}
	return at
}

// exact are the fresh holds of exactly the joints of a section, in order.
func (r *Record) exact(section string) (out []*Evidence) {
	want := slices.Sorted(slices.Values(r.jointsOf(section, farFuture)))
	for i := range r.Holds {
		e := &r.Holds[i]
		if e.Pressure() && e.Hold.Section == section && len(e.Touched) == 0 && slices.Equal(slices.Sorted(slices.Values(e.Joints)), want) {
			out = append(out, e)
		}
	}
	return out
}

// last gives the last of some holds.
func last(all []*Evidence) *Evidence { return lastEnded(all, farFuture) }

// lastEnded gives the last one that was over at a moment.
func lastEnded(all []*Evidence, t time.Time) *Evidence {
	for i := len(all) - 1; i >= 0; i-- {
		if !all[i].End.After(t) {
			return all[i]
		}
	}
	return nil
}

// lastBefore gives the last one that began before a moment.
func lastBefore(all []*Evidence, t time.Time) *Evidence {
	for i := len(all) - 1; i >= 0; i-- {
		if all[i].Start.Before(t) {
			return all[i]
		}
	}
	return nil
}

// leastOfCeiling is the share of the allowable pressure under which a hermetically
// sealed system is to be tested at least: EN 378-1:2016, 3.1.7.
const leastOfCeiling = 0.25

func (r *Record) checkExact(s Section, proof *Evidence) Check {
	joints := r.jointsOf(s.ID, farFuture)
	c := Check{Name: "hold of exactly these joints"}
	what := "joints " + strings.Join(joints, ", ")
	if len(joints) == 0 {
		what = "no joint in it"
	}
	if bad := r.unread(s); bad != nil {
		c.Found = fmt.Sprintf("missing: %s is no evidence, and what it saw is not known: put it right, or hold again and take it out of the job file", bad.Hold.File)
		return c
	}
	if proof == nil {
		c.Found = fmt.Sprintf("missing: no hold of this section alone (%s) since it was last touched", what)
		if p := r.ProofOfSection(s); p.Standing == Stale {
			c.Found = fmt.Sprintf("missing: %s was before %s on %s", p.By.Hold.File, p.Since.Words(), stamp(p.Since.Time))
		}
		return c
	}
	ceiling := r.ceiling(s)
	switch least := leastOfCeiling * float64(ceiling); {
	case ceiling == 0:
		c.Found = fmt.Sprintf("missing: no ceiling of this section is given, so nobody can say whether %s is enough: `holdfast plan` names one, `holdfast job section --ceiling` keeps it", proof.Gauge())
	case proof.gauge() < least:
		c.Found = fmt.Sprintf("missing: %s was at %s only; at least a quarter of the ceiling, %s, is wanted (EN 378-1:2016, 3.1.7)",
			proof.Hold.File, proof.Gauge(), units.FormatPressure(least, proof.unit()))
	default:
		c.OK, c.Found = true, fmt.Sprintf("%s, %s, %s%s", proof.Hold.File, stamp(proof.Start), what, proof.peculiar())
	}
	return c
}

// ceiling is that of a section, or else the lowest of what it consists of; 0 = not said.
func (r *Record) ceiling(s Section) units.Gauge {
	lowest := s.Ceiling
	for _, id := range r.leaves(s.ID) {
		if leaf, _ := r.Section(id); leaf.Ceiling > 0 && (lowest == 0 || s.Ceiling == 0 && leaf.Ceiling < lowest) {
			lowest = leaf.Ceiling
		}
	}
	return lowest
}

// peculiar says what an inspector would want to know of a log that counts.
func (e *Evidence) peculiar() (text string) {
	if name := e.Said.Section; name != "" && !strings.EqualFold(name, e.Section.ID) && !strings.EqualFold(name, e.Section.Title()) {
		text += fmt.Sprintf(", called %q in its log", name)
	}
	if g := e.State.Header.Settings.Gas; g != "" && !strings.EqualFold(g, "nitrogen") {
		text += ", under " + g
	}
	if e.Integrity.State() == holdlog.None {
		text += ", a file without fingerprint: a change in it would not be seen"
	}
	if set := e.clockSet(); set != 0 {
		text += ", its clock was set by " + units.FormatDuration(set) + " on the way"
	}
	if e.State.Header.Truth != nil {
		text += ", SIMULATED"
	}
	return text
}

// unread finds a hold of this section, or of a part of it, that cannot be read or
// was altered and may be from after the last touch: it could have shown a leak.
func (r *Record) unread(s Section) *Evidence {
	touched := r.lastTouch(s.ID)
	for i := range r.Holds {
		e := &r.Holds[i]
		if !e.usable() && e.Hold.Kind != vacuum && contains(r.leaves(s.ID), e.leavesIn(r)) && (e.Err != nil || !e.Start.Before(touched)) {
			return e
		}
	}
	return nil
}

// Words says a mark with what it was done to.
func (m Mark) Words() string {
	where := m.Section
	if m.Joint != "" {
		where = m.Joint
	}
	return m.What.Phrase() + " (" + where + ")"
}

func stamp(t time.Time) string { return t.Format("2006-01-02 15:04") }

func (r *Record) checkBound(s Section, proof *Evidence) Check {
	c := Check{Name: "upper bound below the limit"}
	switch leak := r.leakBeside(s, proof); {
	case proof == nil:
		c.Found = "missing: no such hold"
	case proof.State.LimitRate <= 0:
		c.Found = "missing: no limit; give limit, or charge, guarantee and volume"
	case proof.Word() == verdict.Leaking:
		c.Found = fmt.Sprintf("missing: %s leaks: %s, limit %s", proof.Hold.File, proof.State.Verdict.Phrase, proof.limit())
	case !proof.Tight():
		c.Found = fmt.Sprintf("missing: %s is %s, up to %s could hide, limit %s", proof.Hold.File, proof.Word(), proof.Hides(), proof.limit())
	case proof.shrunk():
		c.Found = fmt.Sprintf("missing: %s was begun with %s, the job says %s: a smaller volume makes a leak look smaller; hold it with the volume as measured",
			proof.Hold.File, units.FormatVolume(proof.Said.Volume), units.FormatVolume(s.Volume))
	case r.emptied(proof):
		c.Found = fmt.Sprintf("missing: the limit of %s lets the whole charge of %s go within %s", proof.limit(), units.FormatMass(r.Charge), orElse(r.Guarantee, "a year"))
	case leak != nil:
		c.Found = fmt.Sprintf("missing: %s leaked at %s and nothing was remade since: hold it tight once more at that pressure", leak.Hold.File, leak.Gauge())
	default:
		c.OK, c.Found = true, fmt.Sprintf("nothing above %s at %s, limit %s", proof.Hides(), proof.Gauge(), proof.limit())
		if s.Limit != "" && r.Limit != "" && s.Limit != r.Limit {
			c.Found += fmt.Sprintf(" of this section (of the job: %s)", r.Limit)
		}
	}
	return c
}

// guessedVolume is how far off a volume is that was stated without a tolerance (common practice, no source).
const guessedVolume = 0.3

// shrunk reports a hold that was begun with a volume larger than that of the job
// by more than both tolerances.
func (e *Evidence) shrunk() bool {
	tolerance := e.Said.VolumeError
	if tolerance == 0 {
		tolerance = guessedVolume
	}
	return e.Section.Volume > 0 && float64(e.Said.Volume)*(1-tolerance) > float64(e.Section.Volume)*(1+e.Section.VolumeError)
}

// emptied reports a limit that is none: a leak below it may lose the whole charge
// within the guarantee, or within a year where there is none.
func (r *Record) emptied(e *Evidence) bool {
	span, err := units.ParseSpan(orElse(r.Guarantee, "1y"))
	rate := float64(e.State.PerPascal.Refrigerant) * e.State.LimitRate
	return err == nil && e.State.PerPascal.HasRefrigerant && r.Charge > 0 && rate*span.Seconds() >= float64(r.Charge)
}

// leakBeside finds a hold of the section or of a part of it that leaked, with
// nothing touched since, and that the proof does not outdo: it came later, or was
// at a higher pressure. A leak can open with the pressure.
func (r *Record) leakBeside(s Section, proof *Evidence) *Evidence {
	if proof == nil {
		return nil
	}
	for i := range r.Holds {
		e := &r.Holds[i]
		if e.Pressure() && e.Word() == verdict.Leaking && len(e.Touched) == 0 && contains(r.leaves(s.ID), e.leavesIn(r)) &&
			(e.Start.After(proof.Start) || lower(proof, e)) {
			return e
		}
	}
	return nil
}

// lower reports a hold at a pressure that is lower than another's by more than what counts as alike.
func lower(a, b *Evidence) bool { return a.gauge() < b.gauge()*(1-2*alike) }

// limit is the limit in words.
func (e *Evidence) limit() string { return e.State.Verdict.Limit.Text }

// blankShare is how much of the limit hose and valve may lose (common practice, no source).
const blankShare = 1.0 / 5

// checkBlank wants hose and valve held alone on the day of the proof.
func (r *Record) checkBlank(proof *Evidence) Check {
	c := Check{Name: "blank hold of the same day"}
	if proof == nil {
		c.Found = "missing: no hold to compare its day with"
		return c
	}
	e := r.blankFor(proof.Start, func(e *Evidence) bool {
		return len(e.Hold.Fittings) == 0 || len(proof.Hold.Fittings) == 0 || haveCommon(e.Hold.Fittings, proof.Hold.Fittings)
	})
	switch {
	case e == nil:
		c.Found = "missing: no hold of hose and valve alone on " + proof.Start.Format(time.DateOnly)
		if f := proof.Hold.Fittings; len(f) > 0 {
			c.Found += ", with " + strings.Join(f, ", ")
		}
	case !e.Tight():
		c.Found = fmt.Sprintf("missing: %s is %s, up to %s could hide", e.Hold.File, e.Word(), e.Hides())
	case lower(e, proof):
		c.Found = fmt.Sprintf("missing: %s was at %s only, the section at %s", e.Hold.File, e.Gauge(), proof.Gauge())
	default:
		c.OK, c.Found = blankRule(e, proof)
	}
	return c
}

// blankRule weighs a blank hold by the rule of the trade.
func blankRule(e, proof *Evidence) (ok bool, found string) {
	found = fmt.Sprintf("%s: nothing above %s", e.Hold.File, e.Hides())
	all, ok := spans(e, proof)
	if !ok {
		return true, found
	}
	blank := all[0]
	_, most := factors(proof.State.PerPascal, blank.Mass)
	fifth := blankShare * proof.State.LimitRate * most
	rule := fmt.Sprintf("a fifth of the limit, %s (common practice, no source)", blank.text(fifth))
	switch {
	case blank.Lo > fifth:
		return false, fmt.Sprintf("missing: %s loses %s, more than %s: change hose or valve", e.Hold.File, blank, rule)
	case blank.Hi > fifth:
		return true, found + "; not shown to be below " + rule
	}
	return true, found + "; below " + rule
}

func checkName(name string) Check {
	c := Check{Name: "a name that answers for it", OK: name != "", Found: name}
	if !c.OK {
		c.Found = "missing: give --name"
	}
	return c
}

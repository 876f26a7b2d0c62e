package job

import (
	"fmt"
	"slices"
	"strings"
	"time"

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

// soapWait is how long soap stands before a joint is looked at: "about 10
// minutes after applying the solution", ASHRAE Journal, January 2021, p. 40.
const soapWait = 10 * time.Minute

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
	exact := r.exact(section)
	proof := last(exact)
	if g.Closed != nil {
		name = g.Closed.Name
		proof = lastBefore(exact, g.Closed.Time)
	}
	g.Checks = append(g.Checks, r.checkExact(s, proof), checkBound(proof), r.checkBlank(proof), r.checkSoap(s), r.checkAgain(s, exact, proof), checkName(name))
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

func last(all []*Evidence) *Evidence { return lastBefore(all, farFuture) }

func lastBefore(all []*Evidence, t time.Time) *Evidence {
	for i := len(all) - 1; i >= 0; i-- {
		if all[i].Start.Before(t) {
			return all[i]
		}
	}
	return nil
}

func (r *Record) checkExact(s Section, proof *Evidence) Check {
	joints := r.jointsOf(s.ID, farFuture)
	c := Check{Name: "hold of exactly these joints"}
	what := "joints " + strings.Join(joints, ", ")
	if len(joints) == 0 {
		what = "no joint in it"
	}
	if proof == nil {
		c.Found = fmt.Sprintf("missing: no hold of this section alone (%s) since it was last touched", what)
		if p := r.ProofOfSection(s); p.Standing == Stale {
			c.Found = fmt.Sprintf("missing: %s was before %s on %s", p.By.Hold.File, p.Since.Words(), stamp(p.Since.Time))
		}
		return c
	}
	c.OK, c.Found = true, fmt.Sprintf("%s, %s, %s", proof.Hold.File, stamp(proof.Start), what)
	return c
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

func checkBound(proof *Evidence) Check {
	c := Check{Name: "upper bound below the limit"}
	switch {
	case proof == nil:
		c.Found = "missing: no such hold"
	case proof.State.LimitRate <= 0:
		c.Found = "missing: no limit; give limit, or charge, guarantee and volume"
	case !proof.Tight():
		c.Found = fmt.Sprintf("missing: %s is %s, up to %s could hide, limit %s", proof.Hold.File, proof.Word(), proof.Hides(), proof.limit())
	default:
		c.OK, c.Found = true, fmt.Sprintf("nothing above %s at %s, limit %s", proof.Hides(), proof.Gauge(), proof.limit())
	}
	return c
}

// limit is the limit in words.
func (e *Evidence) limit() string { return e.State.Verdict.Limit.Text }

// checkBlank wants hose and valve held alone on the day of the proof.
func (r *Record) checkBlank(proof *Evidence) Check {
	c := Check{Name: "blank hold of the same day"}
	if proof == nil {
		c.Found = "missing: no hold to compare its day with"
		return c
	}
	c.Found = "missing: no hold of hose and valve alone on " + proof.Start.Format(time.DateOnly)
	for i := range r.Holds {
		e := &r.Holds[i]
		if !e.Section.Blank || !e.usable() || e.Start.Format(time.DateOnly) != proof.Start.Format(time.DateOnly) {
			continue
		}
		c.OK = e.Tight()
		c.Found = fmt.Sprintf("%s: nothing above %s", e.Hold.File, e.Hides())
		if !c.OK {
			c.Found = fmt.Sprintf("missing: %s is %s, up to %s could hide", e.Hold.File, e.Word(), e.Hides())
		}
	}
	return c
}

// checkSoap wants every joint soaped, and found clean ten minutes later, since it was last touched.
func (r *Record) checkSoap(s Section) Check {
	c := Check{Name: "soaped, looked at after ten minutes"}
	var missing, foams []string
	for _, id := range r.jointsOf(s.ID, farFuture) {
		x, _ := r.Joint(id)
		switch clean, foam := r.soaped(x); {
		case foam:
			foams = append(foams, id)
		case !clean:
			missing = append(missing, id)
		}
	}
	switch {
	case len(foams) > 0:
		c.Found = "foam at " + list(foams)
	case len(missing) > 0:
		c.Found = "missing: no marks soaped and, ten minutes later, clean for " + list(missing)
	default:
		c.OK, c.Found = true, "every joint soaped, clean after ten minutes or more"
	}
	return c
}

// soaped follows the soap marks of one joint.
func (r *Record) soaped(x Joint) (clean, foams bool) {
	since := r.lastTouch(x.Section)
	var on time.Time
	for _, m := range r.Marks {
		if m.Time.Before(since) || !r.about(m, x) {
			continue
		}
		switch m.What {
		case Soaped:
			on = m.Time
		case Foams:
			clean, foams = false, true
		case Clean:
			if !on.IsZero() && m.Time.Sub(on) >= soapWait {
				clean, foams = true, false
			}
		}
	}
	return clean, foams
}

// about reports a mark of the joint, or of all of a section that it is in.
func (r *Record) about(m Mark, x Joint) bool {
	if m.Joint != "" {
		return m.Joint == x.ID
	}
	return slices.Contains(r.leaves(m.Section), x.Section)
}

// checkAgain wants heat and tapping, and after them a second hold that agrees with one before.
func (r *Record) checkAgain(s Section, exact []*Evidence, proof *Evidence) Check {
	c := Check{Name: "after heat and tapping a second hold that agrees"}
	heated, tapped := r.lastMark(s.ID, Heated, proof), r.lastMark(s.ID, Tapped, proof)
	var first *Evidence
	if !heated.IsZero() && !tapped.IsZero() {
		first = lastBefore(exact, earlier(heated, tapped))
	}
	switch {
	case proof == nil:
		c.Found = "missing: no hold yet"
	case heated.IsZero() && tapped.IsZero():
		c.Found = "missing: no marks heated and tapped before the last hold"
	case heated.IsZero():
		c.Found = "missing: no mark heated before the last hold"
	case tapped.IsZero():
		c.Found = "missing: no mark tapped before the last hold"
	case first == nil:
		c.Found = "missing: no hold of exactly these joints from before the heat and the tapping"
	default:
		c.OK, c.Found = agree(first, proof)
	}
	return c
}

func earlier(a, b time.Time) time.Time {
	if a.Before(b) {
		return a
	}
	return b
}

// lastMark is when a section was last marked so, since it was touched and before a hold began.
func (r *Record) lastMark(section string, k Kind, before *Evidence) (at time.Time) {
	if before == nil {
		return at
	}
	since := r.lastTouch(section)
	for _, m := range r.Marks {
		if m.What == k && slices.Contains(r.covering(section), m.Section) && !m.Time.Before(since) && m.Time.Before(before.Start) {
			at = m.Time
		}
	}
	return at
}

// covering are the sections that hold all of one.
func (r *Record) covering(section string) (out []string) {
	for _, s := range r.Sections {
		if contains(r.leaves(s.ID), r.leaves(section)) {
			out = append(out, s.ID)
		}
	}
	return out
}

// agree compares a hold with the one before.
func agree(a, b *Evidence) (bool, string) {
	d, ok := differ(a, b)
	switch {
	case !ok:
		return false, fmt.Sprintf("missing: %s and %s cannot be compared without volume and refrigerant", a.Hold.File, b.Hold.File)
	case a.Word() == verdict.Leaking || d.Lo > 0:
		return false, fmt.Sprintf("missing: %s loses more than %s by %s to %s", b.Hold.File, a.Hold.File, d.text(d.Lo), d.text(d.Hi))
	}
	return true, fmt.Sprintf("%s and %s agree: they differ by %s to %s", a.Hold.File, b.Hold.File, d.text(d.Lo), d.text(d.Hi))
}

func checkName(name string) Check {
	c := Check{Name: "a name that answers for it", OK: name != "", Found: name}
	if !c.OK {
		c.Found = "missing: give --name"
	}
	return c
}

// checkCured wants a last hold when the foam is hard and cold. Before the
// close-up, and before the foam has cured, there is nothing to want.
func (r *Record) checkCured(closed *Closeup, exact []*Evidence, proof *Evidence) Check {
	c := Check{Name: "after the foam has cured a last hold", Later: true, Found: "comes after the close-up: mark cured, then hold again"}
	if closed == nil {
		return c
	}
	var cured time.Time
	for _, m := range r.Marks {
		if m.What == Cured && slices.Contains(r.covering(closed.Section), m.Section) && m.Time.After(closed.Time) {
			cured = m.Time
		}
	}
	if cured.IsZero() {
		c.Found = "missing: the foam is not marked as cured"
		return c
	}
	c.Later = false
	after := last(exact)
	if proof == nil || after == nil || !after.Start.After(cured) {
		c.Found = "missing: no hold since the foam cured on " + stamp(cured)
		return c
	}
	if c.OK, c.Found = agree(proof, after); c.OK && !after.Tight() {
		c.OK, c.Found = false, fmt.Sprintf("missing: %s is %s, up to %s could hide", after.Hold.File, after.Word(), after.Hides())
	}
	return c
}

// checkLater lists what is closed only after charging.
func (r *Record) checkLater(s Section) (out []Check) {
	leaves := r.leaves(s.ID)
	for _, x := range r.Joints {
		if !x.AfterCharging || !slices.Contains(leaves, x.Section) {
			continue
		}
		c := Check{Name: x.Title(), Later: true, Found: "closed after charging: it can only be soaped or sniffed, and that is not marked yet"}
		clean, foams := r.soaped(x)
		sniffed := slices.ContainsFunc(r.Marks, func(m Mark) bool { return m.What == Sniffed && r.about(m, x) })
		switch {
		case foams:
			c.Found = "closed after charging: foam was seen"
		case clean || sniffed:
			c.OK, c.Found = true, "closed after charging: soaped or sniffed, nothing found; no hold can prove it"
		}
		out = append(out, c)
	}
	return out
}

// Buries reports a section without parts that has a joint to be buried.
func (r *Record) Buries(section string) bool {
	return slices.ContainsFunc(r.Joints, func(x Joint) bool { return x.Buried && x.Section == section })
}

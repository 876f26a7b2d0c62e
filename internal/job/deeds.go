package job

import (
	"fmt"
	"slices"
	"time"

	"example.org/holdfast/internal/verdict"
)

// soapWait is how long soap stands before a joint is looked at: "about 10
// minutes after applying the solution", ASHRAE Journal, January 2021, p. 40.
const soapWait = 10 * time.Minute

// checkSoap wants every joint soaped under pressure, and found clean ten minutes
// later, since it was last touched and before it was closed up.
func (r *Record) checkSoap(s Section, until time.Time) Check {
	c := Check{Name: "soaped, looked at after ten minutes"}
	var missing, foams []string
	for _, x := range r.targets(s.ID) {
		switch clean, foam := r.soaped(x, r.filled(x), until); {
		case foam:
			foams = append(foams, x.ID)
		case !clean:
			missing = append(missing, x.ID)
		}
	}
	switch {
	case len(foams) > 0:
		c.Found = "foam at " + list(foams)
	case len(missing) > 0:
		c.Found = "missing: no marks soaped, under pressure, and ten minutes later clean for " + list(missing)
	default:
		c.OK, c.Found = true, "every joint soaped, clean after ten minutes or more"
	}
	return c
}

// targets are the joints of a section that a hold can reach; of a section
// without any, itself.
func (r *Record) targets(section string) (out []Joint) {
	for _, id := range r.jointsOf(section, farFuture) {
		x, _ := r.Joint(id)
		out = append(out, x)
	}
	if len(out) == 0 {
		for _, leaf := range r.leaves(section) {
			out = append(out, Joint{ID: leaf, Section: leaf})
		}
	}
	return out
}

// filled is when a joint, since it was last touched, first stood under pressure; farFuture = never.
func (r *Record) filled(x Joint) time.Time {
	for i := range r.Holds { // in order
		e := &r.Holds[i]
		if _, stale := r.touched(e, x.Section); !stale && e.Pressure() && slices.Contains(e.leavesIn(r), x.Section) {
			return e.Start
		}
	}
	return farFuture
}

// soaped follows the soap marks of one joint. Clean counts only of what was soaped
// since a moment; foam counts since the joint was last touched.
func (r *Record) soaped(x Joint, since, until time.Time) (clean, foams bool) {
	touched := r.lastTouch(x.Section)
	var on time.Time
	for _, m := range r.Marks {
		if m.Time.Before(touched) || m.Time.After(until) || !r.about(m, x) {
			continue
		}
		switch m.What {
		case Soaped:
			on = m.Time
		case Foams:
			clean, foams = false, true
		case Clean:
			if !on.Before(since) && !on.IsZero() && m.Time.Sub(on) >= soapWait {
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

// marked is when every joint of a section was marked so within a time: of the
// last mark of each the earliest; zero = not every one was.
func (r *Record) marked(section string, k Kind, from, to time.Time) time.Time {
	at := farFuture
	for _, x := range r.targets(section) {
		var one time.Time
		for _, m := range r.Marks {
			if m.What == k && r.about(m, x) && !m.Time.Before(from) && m.Time.Before(to) {
				one = m.Time
			}
		}
		at = earlier(at, one)
	}
	return at
}

func earlier(a, b time.Time) time.Time {
	if a.Before(b) {
		return a
	}
	return b
}

// checkAgain wants heat and tapping, and after them a second hold that agrees with one before.
func (r *Record) checkAgain(s Section, exact []*Evidence, proof *Evidence) Check {
	c := Check{Name: "after heat and tapping a second hold that agrees"}
	if proof == nil {
		c.Found = "missing: no hold yet"
		return c
	}
	since := r.lastTouch(s.ID)
	heated, tapped := r.marked(s.ID, Heated, since, proof.Start), r.marked(s.ID, Tapped, since, proof.Start)
	var first *Evidence
	if !heated.IsZero() && !tapped.IsZero() {
		first = lastBefore(exact, earlier(heated, tapped))
	}
	switch {
	case heated.IsZero() && tapped.IsZero():
		c.Found = "missing: no marks heated and tapped before the last hold"
	case heated.IsZero():
		c.Found = "missing: no mark heated before the last hold"
	case tapped.IsZero():
		c.Found = "missing: no mark tapped before the last hold"
	case first == nil:
		c.Found = "missing: no hold of exactly these joints from before the heat and the tapping"
	case !first.Tight():
		c.Found = fmt.Sprintf("missing: %s, before the heat and the tapping, is %s: there is nothing to agree with", first.Hold.File, first.Word())
	case lower(proof, first):
		c.Found = fmt.Sprintf("missing: %s was at %s, %s at %s: hold at the same pressure", proof.Hold.File, proof.Gauge(), first.Hold.File, first.Gauge())
	default:
		c.OK, c.Found = agree(first, proof)
	}
	return c
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

// checkCapillary lists what is known of a capillary. Not every section has one, so
// nothing known does not hold up; one that is not clear does.
func (r *Record) checkCapillary(s Section, until time.Time) Check {
	c := Check{Name: "capillary clear", Later: true, Found: "not marked: where one is buried, measure it or blow it through"}
	since := r.lastTouch(s.ID)
	leaves := r.leaves(s.ID)
	for _, m := range r.Marks {
		if m.What != Blown && m.What != Blocked || m.Time.Before(since) || m.Time.After(until) || !contains(leaves, r.leaves(m.Section)) {
			continue
		}
		c.OK, c.Later = m.What == Blown, false
		c.Found = stamp(m.Time) + ", " + orElse(m.Text, m.What.Phrase())
		if !c.OK {
			c.Found = "missing: " + c.Found
		}
	}
	return c
}

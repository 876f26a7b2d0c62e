package job

import (
	"fmt"
	"slices"
	"time"

	"example.org/holdfast/internal/verdict"
)

// checkCured wants a last hold when the foam is hard and cold. Before the
// close-up, and before the foam has cured, there is nothing to want.
func (r *Record) checkCured(closed *Closeup, exact []*Evidence, proof *Evidence) Check {
	c := Check{Name: "after the foam has cured a last hold", Later: true, Found: "comes after the close-up: mark cured, then hold again"}
	if closed == nil {
		return c
	}
	after := last(exact)
	if after != nil && after.Start.After(closed.Time) && after.Word() == verdict.Leaking {
		c.Later, c.Found = false, fmt.Sprintf("missing: %s leaks since the close-up", after.Hold.File)
		return c
	}
	cured := r.marked(closed.Section, Cured, closed.Time, farFuture)
	if cured.IsZero() {
		c.Found = "missing: the foam is not marked as cured"
		return c
	}
	c.Later = false
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
		charged := r.lastHeld(x.Section) // it is closed after every hold
		clean, foams := r.soaped(x, charged, farFuture)
		sniffed := slices.ContainsFunc(r.Marks, func(m Mark) bool { return m.What == Sniffed && r.about(m, x) && m.Time.After(charged) })
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

// lastHeld is when the last hold of a section, or of a whole that it is in, ended; zero = never.
func (r *Record) lastHeld(leaf string) (at time.Time) {
	for i := range r.Holds {
		if e := &r.Holds[i]; e.usable() && slices.Contains(e.leavesIn(r), leaf) && e.End.After(at) {
			at = e.End
		}
	}
	return at
}

// Buries reports a section without parts that has a joint to be buried.
func (r *Record) Buries(section string) bool {
	return slices.ContainsFunc(r.Joints, func(x Joint) bool { return x.Buried && x.Section == section })
}

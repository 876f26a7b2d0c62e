package job

import (
	"slices"

	"example.org/holdfast/internal/verdict"
)

// Standing says how far a joint or a section is proven.
type Standing string

// The standings, from the best to the worst.
const (
	Proven    Standing = "proven"
	OpenEnded Standing = "unproven" // held, but not proven
	Stale     Standing = "stale"    // proven or held once, and touched since
	Never     Standing = "never"    // no hold covers it
	Suspect   Standing = "suspect"  // part of what leaks
	Leaks     Standing = "leaks"
	Later     Standing = "later" // closed after charging
)

// Proof is how far one joint or section is proven, and by what.
type Proof struct {
	Standing Standing
	By       *Evidence // the hold that says so; nil = none
	Since    Mark      // what made it stale
	Undated  []string  // new joints that may be younger than the hold: they keep a tight one from being a proof
}

// ProofOfJoint looks for the hold that proves a joint.
func (r *Record) ProofOfJoint(x Joint) Proof {
	if x.AfterCharging {
		return Proof{Standing: Later}
	}
	p := r.proof(x.Section, func(e *Evidence) bool { return slices.Contains(e.Joints, x.ID) })
	if r.Undated(x) {
		p.doubt([]string{x.ID})
	}
	_, foams := r.soaped(x, farFuture, farFuture)
	switch {
	case p.Standing == Leaks && !foams && len(p.By.Joints) > 1:
		p.Standing = Suspect
	case p.Standing == Suspect && foams:
		p.Standing = Leaks
	}
	return p
}

// ProofOfSection looks for the hold that proves a section: of it, or of one that it is part of.
func (r *Record) ProofOfSection(s Section) Proof {
	if s.Blank {
		return r.proofOfBlank(s)
	}
	leaves := r.leaves(s.ID)
	covers := func(e *Evidence) bool { return r.ofAll(e) && contains(e.leavesIn(r), leaves) }
	worst := Proof{Standing: Proven}
	for _, leaf := range leaves { // what was touched in one part is stale in the whole
		if p := r.proof(leaf, covers); rank(p.Standing) >= rank(worst.Standing) {
			worst = p
		}
	}
	if worst.Standing == Suspect && len(worst.By.Touched) == 0 && contains(leaves, worst.By.leavesIn(r)) {
		worst.Standing = Leaks // it is all of what leaks
	}
	worst.doubt(r.undated(s.ID))
	return worst
}

// doubt takes the proof away where there are joints that may be younger than it.
func (p *Proof) doubt(undated []string) {
	if p.Standing == Proven && len(undated) > 0 {
		p.Standing, p.Undated = OpenEnded, undated
	}
}

// contains reports that all holds every one of some.
func contains(all, some []string) bool {
	return !slices.ContainsFunc(some, func(s string) bool { return !slices.Contains(all, s) })
}

// rank orders what counts of several parts. A whole that leaked and was touched
// since is stale, whatever the leak makes of its other parts.
func rank(s Standing) int {
	return slices.Index([]Standing{Proven, OpenEnded, Suspect, Leaks, Stale, Never}, s)
}

// proof weighs the holds that cover something in a section without parts. A
// leak outweighs an earlier proof only where the leaking hold covered no more
// than the tight one: else the leak is likely elsewhere in it.
func (r *Record) proof(leaf string, covers func(*Evidence) bool) Proof {
	p := Proof{Standing: Never}
	for i := range r.Holds {
		e := &r.Holds[i]
		if !e.Pressure() || !covers(e) {
			continue
		}
		if m, stale := r.touched(e, leaf); stale {
			p = Proof{Standing: Stale, By: e, Since: m}
			continue
		}
		switch {
		case e.Tight() && p.Standing == Proven && closer(p.By, e):
		case e.Tight() && (p.Standing != Leaks && p.Standing != Suspect || contains(e.leavesIn(r), p.By.leavesIn(r)) || contains(p.By.leavesIn(r), e.leavesIn(r))):
			p = Proof{Standing: Proven, By: e}
		case e.Word() == verdict.Leaking && (p.Standing != Proven || contains(p.By.leavesIn(r), e.leavesIn(r))):
			p = Proof{Standing: Leaks, By: e}
			if len(e.leavesIn(r)) > 1 {
				p.Standing = Suspect
			}
		case p.Standing == Never || p.Standing == Stale:
			p = Proof{Standing: OpenEnded, By: e}
		}
	}
	return p
}

// closer reports that the bound of an earlier proof is the smaller one.
func closer(earlier, later *Evidence) bool {
	s, ok := spans(earlier, later)
	return ok && s[0].Hi < s[1].Hi
}

// LastRise is the last hold under vacuum; nil = none.
func (r *Record) LastRise() *Evidence {
	for i := len(r.Holds) - 1; i >= 0; i-- {
		if e := &r.Holds[i]; e.usable() && e.State.Rise != nil {
			return e
		}
	}
	return nil
}

// Dry reports that the last vacuum hold met its acceptance, and that nothing was touched since.
func (r *Record) Dry() bool {
	e := r.LastRise()
	return e != nil && e.Tight() && len(e.Touched) == 0
}

func (e *Evidence) leavesIn(r *Record) []string { return r.leaves(e.Hold.Section) }

// proofOfBlank is the last hold of hose and valve.
func (r *Record) proofOfBlank(s Section) Proof {
	p := Proof{Standing: Never}
	for i := range r.Holds {
		e := &r.Holds[i]
		if e.Hold.Section != s.ID || !e.usable() {
			continue
		}
		p = Proof{Standing: OpenEnded, By: e}
		if e.Tight() {
			p.Standing = Proven
		} else if e.Word() == verdict.Leaking {
			p.Standing = Leaks
		}
	}
	return p
}

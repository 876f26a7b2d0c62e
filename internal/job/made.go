package job

import (
	"slices"
	"time"
)

// jointsOf are the joints of a section that a hold can reach and that stood at a moment.
func (r *Record) jointsOf(section string, at time.Time) []string {
	leaves := r.leaves(section)
	var out []string
	for _, x := range r.Joints {
		if slices.Contains(leaves, x.Section) && !x.AfterCharging && !r.madeLater(x, at) {
			out = append(out, x.ID)
		}
	}
	return out
}

// madeLater reports a joint that was added, or of which first is heard, only after a moment.
func (r *Record) madeLater(x Joint, at time.Time) bool {
	added := slices.ContainsFunc(r.Marks, func(m Mark) bool { return m.What == Added && m.Joint == x.ID && m.Time.After(at) })
	return added || !x.Old && r.remade(x.ID).IsZero() && r.named(x.ID).After(at)
}

// remade is when a joint was last made or remade; zero = not said.
func (r *Record) remade(joint string) (at time.Time) {
	for _, m := range r.Marks {
		if m.Joint == joint && (m.What == Remade || m.What == Added) {
			at = m.Time
		}
	}
	return at
}

// named is when the first hold began of which it is said that a joint was in it; zero = none.
func (r *Record) named(joint string) (at time.Time) {
	for i := range r.Holds {
		if e := &r.Holds[i]; e.Err == nil && slices.Contains(e.Hold.Joints, joint) && (at.IsZero() || e.Start.Before(at)) {
			at = e.Start
		}
	}
	return at
}

// ofAll reports a hold of a whole section, not of some of its joints.
func (r *Record) ofAll(e *Evidence) bool {
	return len(e.Hold.Joints) == 0 || contains(e.Hold.Joints, r.jointsOf(e.Hold.Section, e.Start))
}

// Undated reports a new joint of which nobody said when it was made: it may be
// younger than any hold, so none proves it. One that was there before
// the repair, that no hold is to prove or that a hold names needs no time.
func (r *Record) Undated(x Joint) bool {
	return !x.Old && !x.AfterCharging && r.remade(x.ID).IsZero() && r.named(x.ID).IsZero()
}

// undated are those of a section.
func (r *Record) undated(section string) (ids []string) {
	for _, id := range r.jointsOf(section, farFuture) {
		if x, _ := r.Joint(id); r.Undated(x) {
			ids = append(ids, id)
		}
	}
	return ids
}

// allUndated are those of the job.
func (r *Record) allUndated() (ids []string) {
	for _, x := range r.Joints {
		if r.Undated(x) {
			ids = append(ids, x.ID)
		}
	}
	return ids
}

// checkMade wants the time of every new joint: of one without, nobody can say
// that it is older than the hold that is to prove it.
func (r *Record) checkMade(s Section) Check {
	c := Check{Name: "made before the hold", OK: true, Found: "every new joint has its time, or its hold names it"}
	if ids := r.undated(s.ID); len(ids) > 0 {
		c.OK, c.Found = false, "missing: not said when "+list(ids)+" was made. "+UndatedAdvice
	}
	return c
}

// UndatedAdvice is what to do about a joint without a time.
const UndatedAdvice = "Say it: `holdfast job joint FILE --id ID --at TIME`, or --old if it was there before the repair"

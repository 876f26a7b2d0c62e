package job

import (
	"slices"
	"time"
)

// Pumped says from how many sides the section of a vacuum hold was evacuated,
// [OneSide] or [TwoSide]: the last mark of it that is younger than every hold before; "" = not marked.
// Through a capillary the far side takes hours, and its gas looks like a rise afterwards.
func (r *Record) Pumped(e *Evidence) (sides Kind) {
	shared := func(section string) bool {
		return slices.ContainsFunc(r.leaves(section), func(s string) bool { return slices.Contains(e.leavesIn(r), s) })
	}
	var since time.Time
	for i := range r.Holds { // in order
		if h := &r.Holds[i]; h.Err == nil && h.Start.Before(e.Start) && shared(h.Hold.Section) {
			since = h.End
		}
	}
	for _, m := range r.Marks {
		if (m.What == OneSide || m.What == TwoSide) && shared(m.Section) && m.Time.After(since) && m.Time.Before(e.End) {
			sides = m.What
		}
	}
	return sides
}

package job

import (
	"slices"
	"time"

	"example.org/holdfast/internal/hold"
	"example.org/holdfast/internal/holdlog"
)

// takeBlank gives a hold that carries no blank hold the one of its day with a
// fitting in common, so that what the hose loses is taken off.
func (r *Record) takeBlank(h Hold, head *holdlog.Header, wall int64) {
	set := &head.Settings
	s, _ := r.Section(h.Section)
	if s.Blank || set.Kind == vacuum || set.Volume <= 0 || set.Blank != (holdlog.Blank{}) {
		return
	}
	at := h.Start
	if at.IsZero() {
		at = time.UnixMilli(wall).In(zoneOf(*head))
	}
	e := r.blankFor(at, func(e *Evidence) bool { return haveCommon(e.Hold.Fittings, h.Fittings) })
	if e == nil {
		return
	}
	b, err := hold.BlankOf(e.State)
	if err != nil || b.Volume <= 0 {
		return
	}
	b.File = e.Hold.File
	set.Blank = b
}

// blankFor finds the blank hold that goes with a hold that began at a moment:
// of the same day there, the last one before it, else the first one after.
func (r *Record) blankFor(at time.Time, fits func(*Evidence) bool) (best *Evidence) {
	for i := range r.Holds {
		e := &r.Holds[i]
		if !e.Section.Blank || !e.usable() || !sameDay(e.Start, at) || !fits(e) {
			continue
		}
		if best == nil || best.Start.After(at) && e.Start.Before(best.Start) || e.Start.After(best.Start) && !e.Start.After(at) {
			best = e
		}
	}
	return best
}

// sameDay compares days where the second moment was.
func sameDay(a, b time.Time) bool {
	return a.In(b.Location()).Format(time.DateOnly) == b.Format(time.DateOnly)
}

func haveCommon(a, b []string) bool {
	return slices.ContainsFunc(a, func(s string) bool { return slices.Contains(b, s) })
}

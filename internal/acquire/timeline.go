package acquire

import "math"

// stamp is a moment: Unix ms for people, seconds since the start for the fit.
type stamp struct {
	wall    int64
	elapsed float64
}

// timeline turns the clock into stamps that never run backwards. Once a device
// has brought its own time (the simulator, at any speed), that time is the
// record's: events and marks are stamped with the latest of it.
type timeline struct {
	clock   Clock
	offset  float64
	started bool
	zero    clockReading
	own     bool
	last    float64
}

func newTimeline(c Clock, offset float64) timeline {
	return timeline{clock: c, offset: offset, zero: look(c), last: offset}
}

func (t *timeline) start() {
	if !t.started {
		t.started, t.zero = true, look(t.clock)
	}
}

// now stamps this moment.
func (t *timeline) now() stamp {
	switch {
	case t.own:
		return t.atOwn(t.last)
	case !t.started:
		return stamp{wall: t.clock.Wall().UnixMilli(), elapsed: t.offset}
	}
	elapsed := t.offset + (t.clock.Elapsed() - t.zero.elapsed).Seconds()
	elapsed = math.Round(elapsed*1000) / 1000 // ms, as the wall time: more would be noise in the log
	t.last = max(t.last, elapsed)
	return stamp{wall: t.clock.Wall().UnixMilli(), elapsed: t.last}
}

// stamp stamps a reading: with the device's own time in seconds since its start, or with now if that is NaN.
func (t *timeline) stamp(own float64) stamp {
	if math.IsNaN(own) || math.IsInf(own, 0) {
		return t.now()
	}
	t.own = true
	t.last = max(t.last, t.offset+own)
	return t.atOwn(t.last)
}

// atOwn gives the time of day that belongs to a device's own time.
func (t *timeline) atOwn(elapsed float64) stamp {
	return stamp{wall: t.zero.wall.UnixMilli() + int64(math.Round((elapsed-t.offset)*1000)), elapsed: elapsed}
}

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
	even    stamp // from which wall times are counted on
}

// wallJitter is by how many ms a counted wall time may differ from the clock's. The
// two clocks are read and rounded apart; counting on gives wall times that
// the log need not write with every sample.
const wallJitter = 5

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
	t.last = max(t.last, milliseconds(elapsed))
	return t.atClock(t.last, t.clock.Wall().UnixMilli())
}

// atClock gives the stamp of a moment at which the wall clock says wall.
func (t *timeline) atClock(elapsed float64, wall int64) stamp {
	counted := t.even.wall + int64(math.Round((elapsed-t.even.elapsed)*1000))
	if d := counted - wall; d < -wallJitter || d > wallJitter {
		t.even = stamp{wall, elapsed}
		return t.even
	}
	return stamp{counted, elapsed}
}

// milliseconds rounds a time in s, as the wall time is: more would be noise in the log.
func milliseconds(elapsed float64) float64 { return math.Round(elapsed*1000) / 1000 }

// stamp stamps a reading: with the device's own time in seconds since its start, or with now if that is NaN.
func (t *timeline) stamp(own float64) stamp {
	if math.IsNaN(own) || math.IsInf(own, 0) {
		return t.now()
	}
	t.own = true
	t.last = max(t.last, milliseconds(t.offset+own))
	return t.atOwn(t.last)
}

// atOwn gives the time of day that belongs to a device's own time.
func (t *timeline) atOwn(elapsed float64) stamp {
	return stamp{wall: t.zero.wall.UnixMilli() + int64(math.Round((elapsed-t.offset)*1000)), elapsed: elapsed}
}

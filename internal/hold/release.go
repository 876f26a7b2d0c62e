package hold

import (
	"example.org/holdfast/internal/decay"
	"example.org/holdfast/internal/holdlog"
)

// When the set time is over people come back and let the pressure out, often
// before they end the recording. That must not turn a proven hold into a leak,
// and a joint that bursts at that moment must not pass in silence: so the bell
// rings, the verdict stays that of the moment before, and a warning says why.
// Before the set time the same fall is a gross leak like any other.

const (
	releaseFall = 0.06 // of the pressure
	releaseTime = 60.0 // s within which it falls
)

const releasedText = "After the set time the pressure fell at once: let out by hand, or a joint gave way. Judged up to that moment; if nobody opened a valve, this section is not tight."

// release watches for a sudden fall.
type release struct {
	now, before place // two places on the way, at least half of releaseTime apart
}

type place struct{ t, p float64 }

// watch takes a sample and reports whether the pressure has fallen suddenly.
func (r *release) watch(s decay.Sample) bool {
	if s.T-r.now.t >= releaseTime/2 {
		r.before, r.now = r.now, place{s.T, s.P}
	}
	for _, q := range []place{r.before, r.now} {
		if q.p > 0 && s.T-q.t <= releaseTime && s.P < q.p*(1-releaseFall) {
			return true
		}
	}
	return false
}

// letOut ends the judging of this segment.
func (h *Hold) letOut(t float64) {
	if h.released {
		return
	}
	h.released = true
	h.eventAt(t, holdlog.Event{Kind: holdlog.EventReleased, Text: "the pressure fell at once after the set time"})
	h.judge(t)
	h.alarm(t, AlarmReleased, "the pressure is gone: let out, or a joint gave way")
}

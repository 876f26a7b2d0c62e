package decay

// alarm is the sequential rule that rings for a leak. Looked at every row, it
// may ring falsely in one hold of a hundred.
type alarm struct {
	run      int     // rows in a row above the threshold
	calledAt float64 // s; <0 = not
	why      string
	falling  bool // above the first threshold, but heat could explain it
}

const (
	alarmFrom = 480.0 // s, no call before on these two:
	alarmZ    = 3.6   // of the whole bank
	alarmHot  = 1.3   // of the members that assume a part just brazed
	earlyZ    = 4.0   // the same before alarmFrom: none of 1500 simulated
	earlyHot  = 2.0   // tight holds, a sixteenth of them just brazed, goes so far
	alarmRun  = 3     // rows in a row
)

func (a *alarm) reset() { *a = alarm{calledAt: -1} }

func (a *alarm) check(h *Hold, t float64) {
	z, hot := h.scores()
	a.falling = z > alarmZ && hot <= alarmHot
	if z > alarmZ && hot > alarmHot && (t >= alarmFrom || z > earlyZ && hot > earlyHot) {
		a.run++
	} else {
		a.run = 0
	}
	if a.run >= alarmRun {
		a.call(t, "steady")
	}
}

func (a *alarm) call(t float64, why string) {
	if a.calledAt < 0 {
		a.calledAt, a.why = t, why
	}
}

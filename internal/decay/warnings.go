package decay

import "fmt"

// Codes of warnings under which nothing is proven, neither tight nor leaking.
const (
	NeverMoved = "never moved"   // nothing says that the pressure sensor lives
	ManySteps  = "several steps" // the pressure sensor jumps about
)

// Voids reports a warning under which nothing is proven.
func (w Warning) Voids() bool { return w.Code == NeverMoved || w.Code == ManySteps }

// warnings are the doubts about the data.
func (h *Hold) warnings() (w []Warning) {
	add := func(code, text string, args ...any) { w = append(w, Warning{code, fmt.Sprintf(text, args...)}) }
	if h.bank != nil && !h.bank.hasRoom {
		add("no thermometer", "no thermometer: the room may have moved by a degree or two unseen, so the interval is several times wider")
	}
	switch {
	case h.bank == nil || !h.bank.hasRoom:
	case h.opinion() == h.bank:
		if h.room.stuck > 120 {
			add("thermometer stuck", "the thermometer stood still for %.0f min where it moved before; those readings were left out", h.room.stuck/60)
		}
	case h.signs.astray():
		add("thermometer astray", "the pressure does not follow the thermometer; judged as if there were none")
	default:
		add("thermometer lost", "the thermometer was silent or stuck for too long; judged as if there were none")
	}
	if h.touch.until > 0 {
		add("thermometer touched", "the thermometer rose faster than a room and came back, from %.0f to %.0f min after the filling, and the pressure did not follow: taken as touched and left out", h.touch.from/60, h.touch.until/60)
	}
	if h.neverMoved() {
		add(NeverMoved, "the pressure has not changed by a single step since the filling: a frozen sensor, or a coarse one whose step (--pressure-step) is not given")
	}
	if h.isFrozen() || h.frozenT > 120 {
		add("frozen sensor", "the pressure stood perfectly still where it showed noise before; those readings were left out")
	}
	switch s := h.jump.found; len(s) {
	case 0:
	case 1:
		add("sensor step", "the pressure reading jumped by %+.0f mbar %.0f min after the filling and went on as before: taken as a step of the sensor and left out; if gas was let out or in at that moment, start anew", s[0].By/100, s[0].At/60)
	default:
		add(ManySteps, "the pressure reading jumped %d times, the last time by %+.0f mbar %.0f min after the filling: a loose plug, a dying sensor, or gas let in or out; nothing is proven by it", len(s), s[len(s)-1].By/100, s[len(s)-1].At/60)
	}
	return w
}

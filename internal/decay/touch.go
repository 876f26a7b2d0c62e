package decay

import "math"

// touch watches the room thermometer for a hand: a reading that rises faster
// than the air of any room and comes back, while the pressure does not care.
// From the moment it races, the bins wait until it has come back (then it was a
// touch, and they are used without it) or has stayed away (then it was the
// room, and they are used as they are).
type touch struct {
	recent  [touchMemory]roomAt // ring of the last bins that were used
	n       int
	last    roomAt // the last of them
	waiting []bin
	ready   []bin // reused
	from    float64
	until   float64 // s, of the last touch; 0 = none
}

// roomAt is the thermometer in one bin, with the pressure beside it.
type roomAt struct{ t, room, p float64 }

const (
	touchMemory = 30       // bins: ten minutes, in long holds more
	touchRise   = 0.3      // K at least between two bins
	touchRate   = 0.9 / 60 // K/s; a fan heater in a small room makes two thirds of it
	touchBack   = 0.25     // of the peak: nearer to the level before than that is back
	touchCalm   = 0.1      // K within calmTime is standing still
	calmTime    = 100.0    // s
	touchMost   = 900.0    // s: what lasts longer is the room
	touchFelt   = 0.2      // of what warm air would do to the pressure of bare tube
)

// pass takes a bin and returns those that can be used now, in order.
func (w *touch) pass(b bin) []bin {
	w.ready = w.ready[:0]
	if len(w.waiting) == 0 && !w.races(b) {
		w.remember(b)
		return append(w.ready, b)
	}
	w.waiting = append(w.waiting, b)
	over, touched := w.over()
	if !over {
		return nil
	}
	if touched {
		w.from, w.until = w.last.t, b.time()
	}
	for _, q := range w.waiting {
		if touched {
			q.nRoom = 0
		}
		w.remember(q)
		w.ready = append(w.ready, q)
	}
	w.waiting = w.waiting[:0]
	return w.ready
}

func (w *touch) remember(b bin) {
	if b.nRoom == 0 {
		return
	}
	w.last = roomAt{b.time(), b.roomMean(), b.pressure()}
	w.recent[w.n%touchMemory] = w.last
	w.n++
}

// races reports a rise that is too fast for a room and leads above all it was lately.
func (w *touch) races(b bin) bool {
	if b.nRoom == 0 || w.n < 3 {
		return false
	}
	now := roomAt{b.time(), b.roomMean(), 0}
	rise, dt := now.room-w.last.room, now.t-w.last.t
	if rise < touchRise || rise < touchRate*dt {
		return false
	}
	for _, r := range w.recent[:min(w.n, touchMemory)] {
		if now.room < r.room+touchRise {
			return false
		}
	}
	return true
}

// over reports whether the waiting has an end, and whether it was a touch.
func (w *touch) over() (over, touched bool) {
	peak, felt, calm := 0.0, 0.0, true
	end := w.waiting[len(w.waiting)-1]
	for _, b := range w.waiting {
		felt = math.Max(felt, b.pressure()-w.last.p)
		if b.nRoom == 0 {
			continue
		}
		peak = math.Max(peak, b.roomMean()-w.last.room)
		if end.nRoom > 0 && end.time()-b.time() < calmTime && math.Abs(end.roomMean()-b.roomMean()) > touchCalm {
			calm = false
		}
	}
	if felt > touchFelt*peak/tRef*w.last.p {
		return true, false
	}
	age := end.time() - w.last.t
	if end.nRoom > 0 && calm && age > calmTime && end.roomMean()-w.last.room < touchBack*peak {
		return true, true
	}
	return age > touchMost, false
}

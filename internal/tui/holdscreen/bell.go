package holdscreen

import (
	"time"

	"example.org/holdfast/internal/hold"
)

// bell decides when to ring: once per new alarm, then every half minute until
// a key is pressed for a leak, a lost sensor, a pressure above the ceiling, a
// disk that takes nothing or a reading that is due.
type bell struct {
	seen    int  // alarms already rung
	nagging bool // repeat until a key is pressed
	wait    int  // ticks to the next repeat
	wasDue  bool
	refused bool // the disk did at the last look
	asked   bool // the line for the reading that is due was opened
}

// nagTicks is the number of looks between two rings.
const nagTicks = int(30 * time.Second / poll)

// fresh is how old (s) an alarm may be to ring when the screen opens.
const fresh = 5.0

// start skips the alarms of an earlier run of a log that goes on.
func (b *bell) start(st *hold.State, now float64) {
	if st == nil {
		return
	}
	for _, a := range st.Alarms {
		if now-a.Elapsed > fresh {
			b.seen++
		}
	}
}

// heard is called for every key.
func (b *bell) heard() { b.nagging = false }

// rings tells whether to ring now, and what is new, in words; it is asked once per look.
func (b *bell) rings(st *hold.State, due, refused bool) (ring bool, news string) {
	if st != nil {
		b.seen = min(b.seen, len(st.Alarms))
		for _, a := range st.Alarms[b.seen:] {
			ring, news = true, a.Text
			b.nagging = b.nagging || a.Kind == hold.AlarmLeak || a.Kind == hold.AlarmLost || a.Kind == hold.AlarmCeiling
		}
		b.seen = len(st.Alarms)
	}
	if refused && !b.refused {
		ring, news, b.nagging = true, "the record cannot be saved", true
	}
	b.refused = refused
	if due && !b.wasDue {
		ring, news, b.nagging = true, "a reading is due", true
	}
	if !due {
		b.asked = false
	}
	b.wasDue = due
	if ring {
		b.wait = nagTicks
		return true, news
	}
	if !b.nagging {
		return false, ""
	}
	b.wait--
	if b.wait > 0 {
		return false, ""
	}
	b.wait = nagTicks
	return true, ""
}

// due tells whether a reading by hand is due: the set time since the last one is over.
func (m *Model) due() bool {
	every := m.askEvery()
	if every <= 0 || m.act.Enter == nil || m.act.Player != nil {
		return false
	}
	if m.st == nil || m.st.Samples == 0 {
		return true
	}
	return !m.st.Ended && m.now-m.st.LastSampleAt >= every
}

func (m *Model) askEvery() float64 {
	if m.opts.AskEvery > 0 {
		return m.opts.AskEvery
	}
	if m.st != nil {
		return m.st.Header.Settings.AskEvery
	}
	return 0
}

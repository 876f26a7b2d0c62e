package hold

import (
	"math"
	"time"

	"example.org/holdfast/internal/holdlog"
	"example.org/holdfast/internal/units"
)

// unread is the time of a segment in which nothing was read and of which only a
// clock on the wall says how long it was: the times of a file, or of a hold that
// another run of the program goes on with. Such a clock may have been set. If it
// was, the pressure stood still for an hour that never was, and looks tight. A
// hold's own clock counts on through sleep and silence, and its gaps do prove something.
type unread struct {
	total     float64 // s
	ended     float64 // s since the first record, when the last of it was over
	last      float64 // s since the first record, of the last reading
	any       bool    // there was one
	continued bool    // since the last reading another run took over
}

// A gap is unread time from here on.
const (
	unreadLeast   = 120.0 // s
	unreadPeriods = 4.0   // of the usual distance of readings
)

// take sees a reading at t; usual is the distance of readings, both in s.
func (u *unread) take(t, usual float64, trusted bool) {
	gap := t - u.last
	if u.any && (u.continued || !trusted) && gap > math.Max(unreadLeast, unreadPeriods*usual) {
		u.total, u.ended = u.total+gap, t
	}
	u.last, u.any, u.continued = t, true, false
}

// trusted reports that the times of this hold are of a clock that nobody sets.
func (h *Hold) trusted() bool {
	c := h.s.Header.Clock
	return c != "" && c != holdlog.ClockOfFile
}

// doubt says what the unread time is worth; "" = there is none.
func (u unread) doubt() string {
	if u.total == 0 {
		return ""
	}
	gap := units.FormatDuration((time.Duration(u.total) * time.Second).Round(time.Minute))
	return "Nothing was read for " + gap + ", and only a clock that may have been set says so: that time does not count towards tight."
}

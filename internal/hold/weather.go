package hold

import (
	"fmt"
	"math"
	"time"

	"example.org/holdfast/internal/decay"
	"example.org/holdfast/internal/units"
)

// A vented gauge measures against the air around it: when the barometer falls,
// it rises by as much, and the other way round. A logged barometer takes that
// out; without one the doubt is said as soon as the hold is good enough for the
// weather to matter.

// weatherRate is how fast the barometer moves on an ordinary day, Pa/h; a front
// does three times as much (common practice, no source).
const weatherRate = 100.0

// weatherFrom is how long a hold must be before the weather is spoken of, s.
const weatherFrom = 3600.0

// What a barometer can do in a room at all: a gust moves it by tens of Pa, a
// thunderstorm by some hundreds in minutes (common practice, no source). What is
// faster is the instrument, or its first word.
const (
	airJump = 300.0                         // Pa at once
	airRate = 1000.0 / units.SecondsPerHour // Pa/s beside it
	airOld  = 900.0                         // s after which the last reading says little of the air now
)

// weather is what the readings say of the air around.
type weather struct {
	vented   bool               // some pressure was a gauge pressure
	air      units.Absolute     // as logged last; 0 = never
	airAt    float64            // s since the first record, of that
	offset   units.PressureDiff // between the bridge of this segment and the barometer
	since    float64            // s since the first record: where the time looked after begins
	unlogged float64            // s since then without a barometer, up to the last reading of one
}

// begin starts the account of the air anew, for a segment that begins at t.
func (w *weather) begin(t float64) { w.since, w.unlogged = t, 0 }

// follow takes a reading of the barometer and gives the air pressure to reckon
// with. Inside a segment the air has no steps: where a barometer speaks for the
// first time, or jumps, only how it moves from there on is taken over. Before, a
// step is put right in what is kept: jumped is by how much.
func (w *weather) follow(b, bridge units.Absolute, t float64, inside bool) (air units.Absolute, jumped units.PressureDiff) {
	jump := w.air == 0 || math.Abs(float64(b-w.air)) > airJump+airRate*(t-w.airAt)
	w.unlogged += w.without(t)
	w.air, w.airAt = b, t
	switch {
	case inside && jump:
		w.offset = units.PressureDiff(bridge - b)
		return bridge, 0
	case inside:
		return b + units.Absolute(w.offset), 0
	case jump || w.offset != 0:
		jumped = units.PressureDiff(b - bridge)
	}
	w.offset = 0
	return b, jumped
}

// without is how long before t no barometer was logged, in s; 0 = there was one a moment ago.
func (w *weather) without(t float64) float64 {
	from := w.since
	if w.air > 0 {
		from = math.Max(from, w.airAt)
	}
	if t-from < airOld {
		return 0
	}
	return t - from
}

// doubt says that the weather may pass for a leak at t, in s since the first
// record; "" = it cannot, or does not matter here.
func (w *weather) doubt(e decay.Estimate, limit, t float64) string {
	if !w.vented || !e.Valid || e.At < weatherFrom {
		return ""
	}
	unlogged := w.unlogged + w.without(t)
	matters := math.Max(e.Rate.Half()/3, limit/10) * units.SecondsPerHour
	if weatherRate*math.Min(unlogged/e.At, 1) < matters {
		return ""
	}
	when := ""
	if w.air > 0 {
		when = " for " + units.FormatDuration((time.Duration(unlogged) * time.Second).Round(time.Minute)) + " of it"
	}
	return fmt.Sprintf("The gauge is vented and no barometer was logged%s: the weather moves it by some %.0f Pa/h either way, with a front by three times that, like a leak or over one. "+
		"Log a barometer along, or use an absolute sensor.", when, weatherRate)
}

package hold

import (
	"fmt"
	"math"

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

// weather is what the readings say of the air around.
type weather struct {
	vented bool // some pressure was a gauge pressure
	logged bool // some reading had a barometer
}

// doubt says that the weather may pass for a leak; "" = it cannot, or does not matter here.
func (w weather) doubt(e decay.Estimate, limit float64) string {
	if !w.vented || w.logged || !e.Valid || e.At < weatherFrom {
		return ""
	}
	matters := math.Max(e.Rate.Half()/3, limit/10) * units.SecondsPerHour
	if weatherRate < matters {
		return ""
	}
	return fmt.Sprintf("The gauge is vented and no barometer was logged: the weather moves it by some %.0f Pa/h either way, with a front by three times that, like a leak or over one. "+
		"Log a barometer along, or use an absolute sensor.", weatherRate)
}

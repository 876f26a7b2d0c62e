package acquire

import "time"

// Clock tells the time in the three ways a recording needs. The origins of
// Elapsed and Awake are arbitrary; only differences count.
type Clock interface {
	Wall() time.Time        // the time of day, which people and NTP may set
	Elapsed() time.Duration // goes on while the machine sleeps, as the leak does
	Awake() time.Duration   // stands still while the machine sleeps, where the system has such a clock
}

// SystemClock is the machine's Clock.
func SystemClock() Clock { return systemClock{origin: time.Now()} }

// ClockName names the clock behind SystemClock's Elapsed, for the header of a log.
func ClockName() string { return clockName }

type systemClock struct {
	origin time.Time // of the fallback, where the system clock cannot be asked
}

func (systemClock) Wall() time.Time { return time.Now() }

// Thresholds of the clock watch. Slewing (NTP changes the rate by 500 ppm at
// most) stays far below clockStep in one tick; suspends shorter than
// suspendMin cannot be told from a busy machine.
const (
	watchEvery = time.Second
	clockStep  = 500 * time.Millisecond
	suspendMin = 2 * time.Second
	stoppedMin = 5 * time.Second
)

// clockReading is one look at all three clocks.
type clockReading struct {
	wall           time.Time
	elapsed, awake time.Duration
}

func look(c Clock) clockReading {
	// Round(0) drops the monotonic part: Sub must compare times of day.
	return clockReading{wall: c.Wall().Round(0), elapsed: c.Elapsed(), awake: c.Awake()}
}

// since gives how much each clock moved from one look to the next, as the two
// disagreements that matter: the time slept and the step of the wall clock.
func (now clockReading) since(before clockReading) (slept, stepped, passed time.Duration) {
	passed = now.elapsed - before.elapsed
	return passed - (now.awake - before.awake), now.wall.Sub(before.wall) - passed, passed
}

package acquire

import (
	"time"

	"golang.org/x/sys/unix"
)

// On this system the monotonic clock goes on during sleep and the uptime clock
// does not (from memory).
const clockName = "CLOCK_MONOTONIC"

func (c systemClock) Elapsed() time.Duration { return c.ask(unix.CLOCK_MONOTONIC) }

func (c systemClock) Awake() time.Duration { return c.ask(unix.CLOCK_UPTIME_RAW) }

func (c systemClock) ask(id int32) time.Duration {
	var ts unix.Timespec
	if err := unix.ClockGettime(id, &ts); err != nil {
		return time.Since(c.origin)
	}
	return time.Duration(ts.Nano())
}

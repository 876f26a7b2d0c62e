package acquire

import (
	"time"

	"golang.org/x/sys/unix"
)

const clockName = "CLOCK_BOOTTIME"

func (c systemClock) Elapsed() time.Duration { return c.ask(unix.CLOCK_BOOTTIME) }

func (c systemClock) Awake() time.Duration { return c.ask(unix.CLOCK_MONOTONIC) }

func (c systemClock) ask(id int32) time.Duration {
	var ts unix.Timespec
	if err := unix.ClockGettime(id, &ts); err != nil {
		return time.Since(c.origin) // a kernel without this clock: better one that misses sleep than none
	}
	return time.Duration(ts.Nano())
}

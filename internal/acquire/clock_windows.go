package acquire

import (
	"time"

	"golang.org/x/sys/windows"
)

const clockName = "GetTickCount64"

func (systemClock) Elapsed() time.Duration { return windows.DurationSinceBoot() }

// Awake has no clock of its own here: Go's monotonic clock counts sleep too.
// A suspend is seen as a tick of the watch that comes far too late.
func (c systemClock) Awake() time.Duration { return c.Elapsed() }

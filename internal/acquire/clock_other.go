//go:build !linux && !darwin && !windows

package acquire

import "time"

const clockName = "monotonic"

func (c systemClock) Elapsed() time.Duration { return time.Since(c.origin) }

func (c systemClock) Awake() time.Duration { return c.Elapsed() }

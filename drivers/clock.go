package drivers

import (
	"context"
	"time"
)

// Clock is the time of the drivers that ask at intervals and wait for answers;
// those that only listen need none. It is handed in, as ports are.
type Clock struct {
	Now   func() time.Duration                             // since some moment; never runs backwards
	Sleep func(ctx context.Context, d time.Duration) error // its error is the context's
}

// Pace keeps one device to its interval. The zero value begins at once.
type Pace struct {
	next time.Duration
	on   bool
}

// Wait waits until the next reading is due. A device slower than its interval
// is asked again at once, and what was missed is not caught up with.
func (p *Pace) Wait(ctx context.Context, clock Clock, interval time.Duration) error {
	now := clock.Now()
	if !p.on || p.next < now {
		p.next, p.on = now, true
	}
	wait := p.next - now
	p.next += interval
	if wait > 0 {
		return clock.Sleep(ctx, wait)
	}
	return ctx.Err()
}

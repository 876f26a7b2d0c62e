package acquire

import (
	"context"
	"errors"
	"math"
	"sync"
	"time"

	"example.org/holdfast/drivers"
	"example.org/holdfast/internal/holdlog"
)

// Acquirer reads the devices of one hold. Make it with New, and use it once.
type Acquirer struct {
	cfg     Config
	devices []*device
	pairs   pairing // only Run touches it
	rejects limiter // only Run touches it

	mu    sync.Mutex // guards the fields below and the state of every device
	time  timeline
	queue []item
	held  int // readings in queue
	over  int // readings that found the queue full since the last one that did not
	ended bool

	ready chan struct{} // has one element when queue has some
}

// item is one thing that happened, stamped: a reading of dev, or a Record as it stands.
type item struct {
	dev     *device
	reading drivers.Reading
	record  holdlog.Record // Kind 0: the item is a reading; its stamp is here all the same
}

// New checks the configuration. It opens nothing.
func New(cfg Config) (*Acquirer, error) {
	if err := cfg.check(); err != nil {
		return nil, err
	}
	cfg = cfg.withDefaults()
	a := &Acquirer{cfg: cfg, ready: make(chan struct{}, 1), time: newTimeline(cfg.Clock, cfg.Offset)}
	for i, d := range cfg.Devices {
		a.devices = append(a.devices, newDevice(a, d, uint8(i)))
	}
	a.pairs = newPairing(cfg)
	return a, nil
}

// Open opens every device for the first time and reports the first that
// refuses, with the others closed again. Run does it if nobody else did; a
// command calls it before it begins a log.
func (a *Acquirer) Open(ctx context.Context) error {
	for _, d := range a.devices {
		if d.first != nil {
			continue
		}
		src, err := d.open(ctx)
		if err != nil {
			a.Close()
			return &OpenError{Device: d.Name, Err: err}
		}
		d.first = src
	}
	return nil
}

// Close closes what Open opened, for a caller that does not get as far as Run.
func (a *Acquirer) Close() {
	for _, d := range a.devices {
		if d.first != nil {
			d.first.Close() // nothing was read from it; there is nobody to tell
			d.first = nil
		}
	}
}

// Start sets the zero of elapsed time to now and gives the stamp of the first
// record: the header. Run does it if nobody else did.
func (a *Acquirer) Start() (wall int64, elapsed float64) {
	a.mu.Lock()
	defer a.mu.Unlock()
	a.time.start()
	at := a.time.now()
	return at.wall, at.elapsed
}

// Now gives the present moment as a record would be stamped: Unix ms, and
// seconds since the start.
func (a *Acquirer) Now() (wall int64, elapsed float64) {
	a.mu.Lock()
	defer a.mu.Unlock()
	at := a.time.now()
	return at.wall, at.elapsed
}

// NotBefore says that a record of this elapsed time, in seconds, was written beside the
// Acquirer's own: none of those comes before it.
func (a *Acquirer) NotBefore(elapsed float64) {
	a.mu.Lock()
	defer a.mu.Unlock()
	a.time.last = max(a.time.last, elapsed)
}

// Inject puts a record of the screen's (a mark, a refill, a stop) in line,
// stamped with this moment. It never blocks. After a stop event nothing more
// is emitted and Run returns.
func (a *Acquirer) Inject(r holdlog.Record) {
	a.mu.Lock()
	defer a.mu.Unlock()
	a.post(r, a.time.now())
}

// Run reads until the context ends, a stop event was injected, or finite
// devices have all ended (ErrEnded). It emits what has arrived by then, closes
// the devices and returns; an *OpenError means that it never began.
func (a *Acquirer) Run(ctx context.Context) error {
	if err := a.Open(ctx); err != nil {
		return err
	}
	a.Start()
	work, stop := context.WithCancel(ctx)
	defer stop()
	devicesDone := a.launch(work)
	err := a.emitUntil(work, devicesDone)
	stop()
	select {
	case <-devicesDone:
	case <-time.After(leaveGrace): // one hangs in its driver; the record must not wait for it
	}
	if err == nil {
		a.drain()
	}
	a.mu.Lock()
	a.ended = true
	a.mu.Unlock()
	if errors.Is(err, errStopped) {
		return nil
	}
	return err
}

// errStopped ends the emitting after a stop event.
var errStopped = errors.New("stopped")

// launch starts the goroutines and gives a channel that closes when no device is left.
func (a *Acquirer) launch(ctx context.Context) <-chan struct{} {
	var wg sync.WaitGroup
	for _, d := range a.devices {
		wg.Go(func() { d.run(ctx) })
		if !d.Unhurried {
			go d.watchFirst(ctx)
		}
	}
	go a.watchClocks(ctx)
	done := make(chan struct{})
	go func() {
		wg.Wait()
		close(done)
	}()
	return done
}

// emitUntil passes on what arrives. It returns nil when the context ended,
// errStopped after a stop event and ErrEnded when no device is left.
func (a *Acquirer) emitUntil(ctx context.Context, devicesDone <-chan struct{}) error {
	tick := time.NewTicker(watchEvery)
	defer tick.Stop()
	for {
		select {
		case <-ctx.Done():
			if !a.drain() {
				return errStopped
			}
			a.flushRejects(true)
			return nil
		case <-devicesDone:
			if !a.drain() {
				return errStopped
			}
			if ctx.Err() == nil {
				a.flushRejects(true)
				return ErrEnded
			}
			devicesDone = nil
		case <-a.ready:
		case <-tick.C:
		}
		if !a.drain() {
			return errStopped
		}
		a.flushRejects(false)
	}
}

// drain emits everything in the queue; false = a stop event was among it.
func (a *Acquirer) drain() bool {
	for {
		a.mu.Lock()
		batch := a.queue
		a.queue, a.held = nil, 0
		a.mu.Unlock()
		if len(batch) == 0 {
			return true
		}
		for _, it := range batch {
			if !a.emit(it) {
				return false
			}
		}
	}
}

// watchClocks reports suspends of the machine and steps of the wall clock.
func (a *Acquirer) watchClocks(ctx context.Context) {
	tick := time.NewTicker(watchEvery)
	defer tick.Stop()
	before := look(a.cfg.Clock)
	for {
		select {
		case <-ctx.Done():
			return
		case <-tick.C:
		}
		now := look(a.cfg.Clock)
		slept, stepped, passed := now.since(before)
		before = now
		switch {
		case slept > suspendMin:
			a.event(holdlog.Event{Kind: holdlog.EventSuspend, Seconds: slept.Seconds(), Text: "the machine slept"})
		case passed > stoppedMin:
			a.event(holdlog.Event{Kind: holdlog.EventSuspend, Seconds: passed.Seconds(), Text: "the program did not run"})
		}
		if math.Abs(stepped.Seconds()) > clockStep.Seconds() {
			a.event(holdlog.Event{Kind: holdlog.EventClockStep, Seconds: stepped.Seconds(), Text: "the wall clock was set"})
		}
	}
}

func (a *Acquirer) event(e holdlog.Event) {
	a.mu.Lock()
	defer a.mu.Unlock()
	a.post(holdlog.Record{Kind: holdlog.KindEvent, Event: e}, a.time.now())
}

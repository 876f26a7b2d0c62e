package acquire

import (
	"context"
	"errors"
	"fmt"
	"io"
	"math"
	"sync"
	"time"

	"example.org/holdfast/drivers"
	"example.org/holdfast/internal/holdlog"
)

// device is one instrument at work. run and pump belong to its goroutine; the
// fields below the line are guarded by Acquirer.mu.
type device struct {
	Device
	a     *Acquirer
	index uint8
	first drivers.Source // opened by Open, taken by run

	// ---
	lost         bool
	why          string   // why it is lost
	readings     int      // good ones
	doubts       int      // others
	raw          string   // its latest words
	period       float64  // s between good readings, learnt; 0 = not yet
	guess        float64  // s of patience while no period is known; grows in vain, for slow devices nobody described
	lastGood     float64  // s, record time; NaN = none yet
	lastPressure float64  // s, record time; NaN = none yet
	unheard      expected // what it is meant to give and has not given yet
	saidMissing  bool     // that is said
	heard        bool     // said anything since the watchdog last looked
}

func newDevice(a *Acquirer, d Device, index uint8) *device {
	return &device{Device: d, a: a, index: index, guess: unknownPatience.Seconds(), unheard: expect(d.Gives), lastGood: math.NaN(), lastPressure: math.NaN()}
}

// errSilent is the cause of a reading that the watchdog ended.
var errSilent = errors.New("no reading")

// run reads the device, and opens it again whenever it is gone, until the context ends.
func (d *device) run(ctx context.Context) {
	src := d.first
	d.first = nil
	for backoff := backoffMin; ; backoff = min(2*backoff, backoffMax) {
		before := d.goodReadings()
		err := d.pump(ctx, src)
		if ctx.Err() != nil {
			return
		}
		if d.Finite && errors.Is(err, io.EOF) {
			return
		}
		d.lose(err.Error())
		if d.Finite {
			return
		}
		if d.goodReadings() > before {
			backoff = backoffMin
		}
		if src, err = d.reopen(ctx, backoff); err != nil {
			return
		}
	}
}

// reopen tries until the device is open again; its error is the context's.
// The first try comes after wait, the next ones ever later.
func (d *device) reopen(ctx context.Context, wait time.Duration) (drivers.Source, error) {
	for {
		select {
		case <-ctx.Done():
			return nil, ctx.Err()
		case <-time.After(wait):
		}
		src, err := d.open(ctx)
		if err == nil {
			return src, nil
		}
		d.lose(err.Error()) // of interest to the status; the event is long out
		wait = min(2*wait, backoffMax)
	}
}

// open opens the device; a panic in there is an error like any other.
func (d *device) open(ctx context.Context) (src drivers.Source, err error) {
	defer recovered(&err)
	src, err = d.Open(ctx)
	if err == nil && src == nil {
		err = errors.New("the driver gave neither a source nor an error")
	}
	return src, err
}

// pump reads src until it fails, falls silent or the context ends, and closes
// it. The reading goroutine itself closes, so that no descriptor goes away
// under a read; only a Source deaf to its context is closed from outside.
func (d *device) pump(ctx context.Context, src drivers.Source) (err error) {
	ctx, cancel := context.WithCancelCause(ctx)
	closeOnce := sync.OnceFunc(func() {
		var ignored error // it is gone either way
		defer recovered(&ignored)
		src.Close()
	})
	left := make(chan struct{})
	defer recovered(&err)
	defer closeOnce()
	defer close(left)
	defer cancel(nil)
	go func() {
		<-ctx.Done()
		select {
		case <-left:
		case <-time.After(closeGrace):
			closeOnce()
		}
	}()
	dog := d.watch(cancel)
	defer dog.Stop()
	for {
		r, err := src.Read(ctx)
		if ctx.Err() != nil {
			return context.Cause(ctx)
		}
		if err != nil {
			return err
		}
		if !math.IsNaN(r.Elapsed) {
			d.a.awaitRoom(ctx)
		}
		if d.a.receive(d, r) && !d.Unhurried {
			dog.Reset(d.patience())
		}
	}
}

// recovered makes a panic an error: one driver's mistake must not end the record of the others.
func recovered(err *error) {
	if p := recover(); p != nil {
		*err = fmt.Errorf("driver panicked: %v", p)
	}
}

// watch starts the watchdog of one opening of the device. Silence ends the
// reading, so that the device is opened anew. One that talks, but nothing of
// use, is lost too, yet stays open: opening restarts many boards and cures no
// wrong baud rate.
func (d *device) watch(cancel context.CancelCauseFunc) *time.Timer {
	if d.Unhurried {
		t := time.NewTimer(time.Hour)
		t.Stop()
		return t
	}
	var dog *time.Timer
	armed := make(chan struct{})
	dog = time.AfterFunc(max(d.patience(), firstReading), func() {
		<-armed // dog is set
		d.a.mu.Lock()
		talks := d.heard
		d.heard = false
		d.a.mu.Unlock()
		if !talks {
			d.doubleGuess()
			cancel(errSilent)
			return
		}
		d.lose("nothing of use in what it says")
		dog.Reset(d.patience())
	})
	close(armed)
	return dog
}

// patience is how long the device may be silent before it counts as lost.
func (d *device) patience() time.Duration {
	d.a.mu.Lock()
	defer d.a.mu.Unlock()
	return time.Duration(d.patienceSeconds() * float64(time.Second))
}

// patienceSeconds needs the lock.
func (d *device) patienceSeconds() float64 {
	period := d.Spec.Interval
	if period <= 0 {
		period = d.period
	}
	if period <= 0 {
		return max(d.a.cfg.SilenceAfter.Seconds(), d.guess)
	}
	return max(d.a.cfg.SilenceAfter.Seconds(), periodsSilent*period)
}

func (d *device) doubleGuess() {
	d.a.mu.Lock()
	defer d.a.mu.Unlock()
	d.guess = min(2*d.guess, unknownPatienceMax.Seconds())
}

func (d *device) goodReadings() int {
	d.a.mu.Lock()
	defer d.a.mu.Unlock()
	return d.readings
}

// lose notes that the device is gone, once until it is back.
func (d *device) lose(why string) {
	d.a.mu.Lock()
	defer d.a.mu.Unlock()
	d.why = why
	if d.lost {
		return
	}
	d.lost = true
	d.a.post(holdlog.Record{Kind: holdlog.KindEvent, Event: holdlog.Event{
		Kind: holdlog.EventLost, Device: d.Name, Text: why,
	}}, d.a.time.now())
}

// receive stamps a reading and puts it in line, after the events it gives
// rise to. It reports whether the reading was good.
func (a *Acquirer) receive(d *device, r drivers.Reading) bool {
	a.mu.Lock()
	defer a.mu.Unlock()
	at := a.time.stamp(r.Elapsed)
	d.heard, d.raw = true, r.Raw
	good := r.Doubt == ""
	if good {
		d.heard = false // the watchdog asks for what came after the last good one
		d.readings++
		d.unheard.take(r)
		a.returns(d, r, at)
		d.complete(at)
	} else {
		d.doubts++
	}
	a.postReading(d, r, at)
	return good
}

// returns posts the events that go before a good reading, and learns the device's period.
func (a *Acquirer) returns(d *device, r drivers.Reading, at stamp) {
	away := at.elapsed - d.lastGood // NaN for the first
	if d.lost {
		d.lost, d.why = false, ""
		e := holdlog.Event{Kind: holdlog.EventBack, Device: d.Name}
		if !math.IsNaN(away) {
			e.Seconds = away
		}
		a.post(holdlog.Record{Kind: holdlog.KindEvent, Event: e}, at)
	}
	if r.HasPressure() {
		gap := at.elapsed - d.lastPressure
		if !d.Unhurried && gap > d.patienceSeconds() {
			a.post(holdlog.Record{Kind: holdlog.KindEvent, Event: holdlog.Event{
				Kind: holdlog.EventGap, Device: d.Name, Seconds: gap,
			}}, at)
		}
		d.lastPressure = at.elapsed
	}
	switch {
	case math.IsNaN(away) || away > d.patienceSeconds():
	case d.period == 0:
		d.period = away
	default:
		d.period += (away - d.period) / 8
	}
	d.lastGood = at.elapsed
}

// Status is how one device does, for a screen.
type Status struct {
	Name     string
	Lost     bool
	Why      string  // why it is lost
	LastGood float64 // s since the start, of the last good reading; NaN = none yet
	Readings int     // good ones so far
	Doubts   int     // others so far
	Raw      string  // its latest words
}

// Status gives the state of every device, in the order of the configuration.
func (a *Acquirer) Status() []Status {
	a.mu.Lock()
	defer a.mu.Unlock()
	s := make([]Status, 0, len(a.devices))
	for _, d := range a.devices {
		s = append(s, Status{d.Name, d.lost, d.why, d.lastGood, d.readings, d.doubts, d.raw})
	}
	return s
}

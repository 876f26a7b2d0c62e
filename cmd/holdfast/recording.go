package main

import (
	"errors"
	"os"
	"path/filepath"
	"sync"
	"sync/atomic"
	"time"

	"example.org/holdfast/internal/acquire"
	"example.org/holdfast/internal/hold"
	"example.org/holdfast/internal/holdlog"
	"example.org/holdfast/internal/units"
)

// recording is the spine of a live hold: what acquire emits is written to the
// log, then applied, and the State that comes of it is published. Screens look
// at the State; nothing here ever waits for one.
type recording struct {
	log       *holdlog.Writer
	acq       *acquire.Acquirer
	hold      *hold.Hold // only emit touches it, and before and after it the starting and ending
	state     atomic.Pointer[hold.State]
	endAtTime bool // the set time ends the recording
	stopping  atomic.Bool
	refusal   atomic.Pointer[string] // what the disk says that refuses at present; nil = it takes all
	refusedAt time.Time              // since when it refuses, or when going on elsewhere was last tried
	elsewhere []string               // where the log may go on when its disk refuses for long, in this order
	closing   sync.Once
	closed    error // of the log
}

// State is the newest picture of the hold.
func (r *recording) State() *hold.State { return r.state.Load() }

// Now is the time on the hold's clock, s since its first record.
func (r *recording) Now() float64 {
	_, elapsed := r.acq.Now()
	return elapsed
}

// emit takes a record from acquire.
func (r *recording) emit(rec holdlog.Record) {
	r.take(rec)
	if r.endAtTime && r.State().Phase == hold.Done {
		r.stop()
	}
}

// take writes a record and applies it. A disk that refuses is said in the log
// and on the screen and never stops the hold: the log keeps what it could not
// write and tries again.
func (r *recording) take(rec holdlog.Record) {
	_ = r.log.Append(rec) // Err says it too, and a failed sync besides
	r.hold.Apply(rec)
	before := r.log.Path()
	if r.refusal.Load() != nil && time.Since(r.refusedAt) > moveAfter {
		r.move()
	}
	if err := r.log.Err(); (err != nil) != (r.refusal.Load() != nil) {
		text := r.diskSays(err, before)
		said := event(holdlog.EventWriteError, text)
		said.Wall, said.Elapsed = rec.Wall, rec.Elapsed
		_ = r.log.Append(said)
		r.hold.Apply(said)
	}
	r.state.Store(r.hold.State())
}

// diskSays keeps why the disk refuses, or that it takes all again, and puts it into
// words; before is where the log was a moment ago.
func (r *recording) diskSays(err error, before string) string {
	if err != nil {
		text := err.Error()
		r.refusal.Store(&text)
		r.refusedAt = time.Now()
		return text
	}
	r.refusal.Store(nil)
	text := "the log is written again"
	if at := r.log.Path(); at != before {
		text = "the log goes on in " + at
	}
	if n := r.log.Lost(); n > 0 {
		text += "; " + units.FormatCount(n, "record") + " lost"
	}
	return text
}

// unsaved is why the log cannot be written at present, "" = it is.
func (r *recording) unsaved() string {
	if s := r.refusal.Load(); s != nil {
		return *s
	}
	return ""
}

// moveAfter is how long the disk may refuse before the log goes on elsewhere.
const moveAfter = 5 * time.Second

// move goes on with the log where it can be written, if there is such a place.
func (r *recording) move() {
	for _, path := range r.elsewhere {
		if os.MkdirAll(filepath.Dir(path), 0o755) == nil && r.log.MoveTo(path) == nil {
			return
		}
	}
	r.refusedAt = time.Now() // and try again later
}

// event makes a record of an event, to be stamped by who takes it.
func event(kind holdlog.EventKind, text string) holdlog.Record {
	return holdlog.Record{Kind: holdlog.KindEvent, Event: holdlog.Event{Kind: kind, Text: text}}
}

// stop ends the recording on purpose.
func (r *recording) stop() {
	if !r.stopping.Swap(true) {
		r.acq.Inject(event(holdlog.EventStop, ""))
	}
}

func (r *recording) mark(text string) {
	r.acq.Inject(holdlog.Record{Kind: holdlog.KindMark, Text: oneLine(text)})
}

func (r *recording) refill() { r.acq.Inject(event(holdlog.EventRefill, "filled again")) }

// closedOff says that the valve to the pump is closed.
func (r *recording) closedOff() { r.acq.Inject(event(holdlog.EventClosed, "")) }

// close writes the last records and closes the log whole. It is called when
// nothing is emitted any more, or never will be again.
func (r *recording) close(last ...holdlog.Record) error {
	r.closing.Do(func() {
		var errs []error
		wall, elapsed := r.acq.Now()
		for _, rec := range last {
			rec.Wall, rec.Elapsed = wall, elapsed
			if err := r.log.Append(rec); !errors.Is(err, holdlog.ErrPending) && !errors.Is(err, holdlog.ErrLost) { // Close says those
				errs = append(errs, err)
			}
		}
		if r.log.Pending() > 0 {
			r.move()
		}
		r.closed = errors.Join(append(errs, r.log.Close())...)
	})
	return r.closed
}

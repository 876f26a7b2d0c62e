package main

import (
	"errors"
	"sync"
	"sync/atomic"

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
	if err := r.log.Err(); (err != nil) != (r.refusal.Load() != nil) {
		text := r.diskSays(err)
		said := event(holdlog.EventWriteError, text)
		said.Wall, said.Elapsed = rec.Wall, rec.Elapsed
		_ = r.log.Append(said)
		r.hold.Apply(said)
	}
	r.state.Store(r.hold.State())
}

// diskSays keeps why the disk refuses, or that it takes all again, and puts it into words.
func (r *recording) diskSays(err error) string {
	if err != nil {
		text := err.Error()
		r.refusal.Store(&text)
		return text
	}
	r.refusal.Store(nil)
	if n := r.log.Lost(); n > 0 {
		return "the log is written again; " + units.FormatCount(n, "record") + " lost"
	}
	return "the log is written again"
}

// unsaved is why the log cannot be written at present, "" = it is.
func (r *recording) unsaved() string {
	if s := r.refusal.Load(); s != nil {
		return *s
	}
	return ""
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
		r.closed = errors.Join(append(errs, r.log.Close())...)
	})
	return r.closed
}

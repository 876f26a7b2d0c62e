package holdlog

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"time"
)

// syncLoop brings the log to the disk, apart from the recording: a slow disk
// must not hold up a sample.
func (w *Writer) syncLoop() {
	defer close(w.stopped)
	tick := time.NewTicker(syncEvery)
	defer tick.Stop()
	for {
		select {
		case <-w.stop:
			return
		case <-w.wake:
		case <-tick.C:
		}
		_ = w.syncNow() // kept for Err
	}
}

// nudge asks for a sync without waiting for it.
func (w *Writer) nudge() {
	select {
	case w.wake <- struct{}{}:
	default: // asked already
	}
}

// Sync returns when everything appended so far is on the disk.
func (w *Writer) Sync() error {
	w.mu.Lock()
	if w.closed {
		w.mu.Unlock()
		return errClosed
	}
	err := w.flush()
	w.mu.Unlock()
	w.unsynced.Store(true) // a sync under way may have begun before the last line
	return errors.Join(err, w.syncNow())
}

func (w *Writer) syncNow() error {
	if !w.unsynced.Swap(false) {
		return nil
	}
	err := w.f.Sync()
	if err != nil && !errors.Is(err, errors.ErrUnsupported) { // some network shares cannot
		w.unsynced.Store(true)
		err = fmt.Errorf("sync: %w", err)
		w.syncError.Store(&err)
		return err
	}
	if err := w.gone(); err != nil {
		w.syncError.Store(&err)
		return err
	}
	w.syncError.Store(nil)
	return nil
}

// gone tells of a log that was deleted, moved or replaced while it is written:
// the system goes on taking its lines, and nobody would ever find them.
func (w *Writer) gone() error {
	f, ok := w.f.(interface{ Stat() (fs.FileInfo, error) })
	if !ok {
		return nil
	}
	open, err := f.Stat()
	if err != nil {
		return nil // not every system knows; the writes themselves went well
	}
	named, err := os.Stat(w.path)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return ErrGone
	case err == nil && !os.SameFile(open, named):
		return fmt.Errorf("%w; another file has its name", ErrGone)
	}
	return nil
}

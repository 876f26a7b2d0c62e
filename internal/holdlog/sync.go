package holdlog

import (
	"errors"
	"fmt"
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
	if err == nil || errors.Is(err, errors.ErrUnsupported) { // some network shares cannot
		w.syncError.Store(nil)
		return nil
	}
	w.unsynced.Store(true)
	err = fmt.Errorf("sync: %w", err)
	w.syncError.Store(&err)
	return err
}

package holdlog

import (
	"errors"
	"fmt"
	"io"
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
	w.syncing.Lock()
	defer w.syncing.Unlock()
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
		if errors.Is(err, errPutBack) {
			return nil // it is told with the next record, and is over with the sync after that
		}
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
		return w.putBack()
	case err == nil && !os.SameFile(open, named):
		return fmt.Errorf("%w; another file has its name", ErrGone)
	}
	return nil
}

// errPutBack tells, until more is synced, of a log that was gone and is back.
var errPutBack = errors.New("the log was deleted or moved while recording; it was written anew at its place")

// putBack writes a log that is gone anew under its name, from the file that is
// still open, and goes on there.
func (w *Writer) putBack() error {
	w.mu.Lock()
	defer w.mu.Unlock()
	if err := w.copyTo(w.path); err != nil {
		return fmt.Errorf("%w: %w", ErrGone, err)
	}
	return errPutBack
}

// copyTo writes the whole lines of the log into a new file and goes on there, if
// that has room for what waits, too. It needs both locks.
func (w *Writer) copyTo(path string) error {
	old, ok := w.f.(io.ReaderAt)
	if !ok {
		return errors.ErrUnsupported
	}
	f, err := os.OpenFile(path, os.O_RDWR|os.O_APPEND|os.O_CREATE|os.O_EXCL, 0o644)
	if err != nil {
		return err
	}
	if _, err = io.Copy(f, io.NewSectionReader(old, 0, w.good)); err == nil {
		err = errors.Join(w.tryRoom(f), f.Sync())
	}
	if err != nil {
		return errors.Join(err, f.Close(), os.Remove(path))
	}
	_ = w.f.Close() // nothing is in it that the new one lacks
	w.f, w.dirty = f, false
	return nil
}

// tryRoom writes what waits to f and takes it back.
func (w *Writer) tryRoom(f *os.File) error {
	for _, p := range w.queue {
		if _, err := f.Write(p.line); err != nil {
			return err
		}
	}
	return f.Truncate(w.good)
}

// MoveTo goes on in a new file at path, for a disk that takes no more lines: all
// that is written is copied and all that waits in memory is written there. The file
// that was stays as it is. After an error nothing has changed.
func (w *Writer) MoveTo(path string) error {
	w.syncing.Lock()
	defer w.syncing.Unlock()
	w.mu.Lock()
	defer w.mu.Unlock()
	if w.closed {
		return errClosed
	}
	lock, err := lockFor(path)
	if err != nil {
		return err
	}
	if err := w.copyTo(path); err != nil {
		lock.release()
		return fmt.Errorf("log %q: %w", path, err)
	}
	w.lock.release()
	w.path, w.lock = path, lock
	w.syncError.Store(nil)
	w.unsynced.Store(true)
	w.nudge()
	syncFolder(path)
	return w.flush()
}

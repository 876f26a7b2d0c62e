package holdlog

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"time"
)

// Resumed is what Continue found in a log.
type Resumed struct {
	Header    Header    // in force at the end
	Wall      int64     // of the last record, Unix ms
	Elapsed   float64   // of the last record, s
	Samples   int       // in the file
	Gap       float64   // s from the last record to now by the wall clock; 0 where the clock went back
	TornBytes int64     // set aside in FILE.torn
	Stopped   bool      // the recording had been ended on purpose
	Integrity Integrity // before going on
	Events    []Record  // written by Continue: recovered and continued; in the file too
}

// ElapsedAt gives the elapsed time of the hold at a wall time, Unix ms: the
// gas goes on leaking while no program runs.
func (r Resumed) ElapsedAt(wall int64) float64 { return r.Elapsed + r.gap(wall) }

func (r Resumed) gap(wall int64) float64 {
	if r.Wall == 0 { // unknown
		return 0
	}
	return max(0, float64(wall-r.Wall)/1000)
}

// Continue opens the log at path to go on with it. It sets a torn tail aside and
// writes the events that say so, at wall time now.
func Continue(path string, now time.Time) (*Writer, Resumed, error) {
	lock, err := lockFor(path)
	if err != nil {
		return nil, Resumed{}, err
	}
	w, res, err := resume(path, lock, now)
	if err != nil {
		lock.release()
		return nil, Resumed{}, fmt.Errorf("log %q: %w", path, err)
	}
	w.start()
	return w, res, nil
}

func resume(path string, lock *fileLock, now time.Time) (*Writer, Resumed, error) {
	f, err := os.OpenFile(path, os.O_RDWR|os.O_APPEND, 0)
	if err != nil {
		return nil, Resumed{}, err
	}
	w := newWriter(path, f, lock)
	res, err := w.takeOver(f)
	if err == nil {
		res.TornBytes, err = setAside(f, w.good, path+".torn")
	}
	if err == nil {
		err = w.sayContinued(&res, now.UnixMilli())
	}
	if err == nil {
		err = f.Sync()
	}
	if err != nil {
		f.Close()
		return nil, Resumed{}, err
	}
	return w, res, nil
}

// takeOver reads the log and brings w to the state at the end of its last whole line.
func (w *Writer) takeOver(f *os.File) (Resumed, error) {
	var res Resumed
	r := NewReader(f).Verify()
	for {
		rec, err := r.Next()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			return res, err
		}
		res.see(&rec)
		if rec.Kind == KindCheck {
			w.checked = checked{Check: rec.Check, at: rec.Elapsed, good: r.lines.whole}
			w.checked.Samples = res.Samples // counted, not believed
		}
	}
	res.Integrity = r.Integrity()
	w.good, w.samples, w.last = r.lines.whole, res.Samples, times{res.Wall, res.Elapsed}
	w.tail = w.last
	_, err := io.Copy(w.sum, io.NewSectionReader(f, 0, w.good))
	return res, err
}

func (r *Resumed) see(rec *Record) {
	r.Wall, r.Elapsed = rec.Wall, max(r.Elapsed, rec.Elapsed)
	switch rec.Kind {
	case KindSample:
		r.Samples++
	case KindEvent:
		r.Stopped = rec.Event.Kind == EventStop || r.Stopped && rec.Event.Kind != EventContinued
	}
	if rec.Header != nil {
		r.Header = *rec.Header
	}
}

// setAside appends what stands after the last whole line to the file torn,
// NUL bytes left out, and cuts it off the log. It says how many bytes that were.
func setAside(f *os.File, good int64, torn string) (int64, error) {
	size, err := f.Seek(0, io.SeekEnd)
	if err != nil || size == good {
		return 0, err
	}
	out, err := os.OpenFile(torn, os.O_WRONLY|os.O_APPEND|os.O_CREATE, 0o644)
	if err != nil {
		return 0, err
	}
	defer out.Close()
	tail := io.NewSectionReader(f, good, size-good)
	buf := make([]byte, 64<<10)
	for {
		n, err := tail.Read(buf)
		if _, err := out.Write(bytes.ReplaceAll(buf[:n], []byte{0}, nil)); err != nil {
			return 0, err
		}
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			return 0, err
		}
	}
	if _, err := out.WriteString("\n"); err != nil {
		return 0, err
	}
	if err := out.Sync(); err != nil && !errors.Is(err, errors.ErrUnsupported) {
		return 0, err // the tail must be safe before it is cut off
	}
	return size - good, f.Truncate(good)
}

// sayContinued writes the events of going on.
func (w *Writer) sayContinued(res *Resumed, wall int64) error {
	res.Gap = res.gap(wall)
	at := Record{Kind: KindEvent, Wall: wall, Elapsed: res.ElapsedAt(wall)}
	if res.TornBytes > 0 {
		rec := at
		rec.Event = Event{Kind: EventRecovered, Text: fmt.Sprintf("%d bytes without an end after line %d set aside in %s",
			res.TornBytes, res.Integrity.Torn-1, filepath.Base(w.path)+".torn")}
		res.Events = append(res.Events, rec)
	}
	at.Event = Event{Kind: EventContinued, Seconds: res.Gap}
	if wall < res.Wall {
		at.Event.Text = "the wall clock stands before the last record; the length of the gap is unknown"
	}
	res.Events = append(res.Events, at)
	for _, rec := range res.Events {
		if err := w.Append(rec); err != nil {
			return err
		}
	}
	return nil
}

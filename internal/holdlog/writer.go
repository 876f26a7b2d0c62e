package holdlog

import (
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"hash"
	"io"
	"io/fs"
	"math"
	"os"
	"path/filepath"
	"sync"
	"sync/atomic"
	"time"

	"example.org/holdfast/internal/units"
)

const (
	checkEvery   = 600     // samples between fingerprints
	checkSeconds = 60.0    // s between fingerprints
	maxPending   = 8 << 20 // bytes kept in memory while the disk refuses: some 80 000 samples
	syncEvery    = time.Second
)

var (
	// ErrExists: the file is there already; a log is never overwritten.
	ErrExists = errors.New("file exists; choose another name, or go on with it with --continue")
	// ErrPending: the record is kept in memory because the disk refuses; it is written with a later one.
	ErrPending = errors.New("kept in memory")
	// ErrLost: the record was given up because too much was kept in memory already.
	ErrLost = errors.New("record lost")
	// ErrGone: the name under which the log was begun does not lead to it any more.
	ErrGone = errors.New("the file is no longer at its place: deleted or moved while recording")

	errClosed = errors.New("log is closed")
)

// file is what a Writer needs of an *os.File opened to append; the tests put faults here.
type file interface {
	io.WriteCloser
	Truncate(size int64) error
	Sync() error
}

// Writer appends records to a log, one write per line. It is safe for use by
// several goroutines. A write that fails never damages what is there: the file
// is cut back to its last whole line, the record waits in memory, and the next
// Append tries again.
type Writer struct {
	path string // changes, as lock does, only under both mutexes
	lock *fileLock
	f    file

	mu      sync.Mutex
	good    int64     // bytes of whole lines in the file
	dirty   bool      // part of a line may stand after good
	sum     hash.Hash // of those bytes
	samples int       // in those bytes
	last    times     // of the last record in those bytes
	tail    times     // of the last record taken, in the file or in queue
	checked checked
	queue   []pending
	queued  int // bytes in queue
	lost    int
	err     error
	closed  bool

	syncing   sync.Mutex // one sync at a time; taken before mu. f changes only under both
	unsynced  atomic.Bool
	syncError atomic.Pointer[error]
	wake      chan struct{} // sync now
	stop      chan struct{}
	stopped   chan struct{}
}

// times are the two times of a record.
type times struct {
	wall    int64 // Unix ms; 0 = unknown
	elapsed float64
}

// impliedWall stands for the wall time of a sample that has none of its own.
const impliedWall = math.MinInt64

// wallAt gives the wall time at another elapsed time, to the millisecond; false = there is none to go by.
func (t times) wallAt(elapsed float64) (wall int64, known bool) {
	const most = 1 << 53 // ms, exact in a float64
	ms := math.Round((elapsed - t.elapsed) * 1000)
	if t.wall == 0 || !(math.Abs(ms) < most) {
		return 0, false
	}
	return t.wall + int64(ms), true
}

// checked is where the last fingerprint stands.
type checked struct {
	Check
	at   float64 // elapsed, s
	good int64   // bytes up to its end
}

type pending struct {
	line   []byte
	time   times
	sample bool
}

// HeaderRecord makes the first record of a log from h: version set, elapsed 0.
func HeaderRecord(h Header, wall int64) Record {
	h.Version = Version
	return Record{Kind: KindHeader, Wall: wall, Header: &h}
}

// Create starts a log at path, which must not exist, with a header record, and
// returns when the header is on the disk.
func Create(path string, header Record) (*Writer, error) {
	if header.Kind != KindHeader || header.Header == nil || header.Header.Version != Version {
		return nil, fmt.Errorf("log %q: first record is no header of version %d", path, Version)
	}
	lock, err := lockFor(path)
	if err != nil {
		return nil, err
	}
	f, err := os.OpenFile(path, os.O_RDWR|os.O_APPEND|os.O_CREATE|os.O_EXCL, 0o644)
	if err != nil {
		lock.release()
		if errors.Is(err, fs.ErrExist) {
			err = ErrExists
		}
		return nil, fmt.Errorf("log %q: %w", path, err)
	}
	w := newWriter(path, f, lock)
	err = w.Append(header)
	if err == nil {
		err = f.Sync()
	}
	if err != nil { // nothing is recorded yet: leave nothing behind
		w.abandon()
		return nil, errors.Join(fmt.Errorf("log %q cannot be started: %w", path, err), os.Remove(path))
	}
	syncFolder(path)
	w.start()
	return w, nil
}

func newWriter(path string, f file, lock *fileLock) *Writer {
	return &Writer{
		path: path, f: f, lock: lock, sum: sha256.New(),
		wake: make(chan struct{}, 1), stop: make(chan struct{}), stopped: make(chan struct{}),
	}
}

func (w *Writer) start() { go w.syncLoop() }

// abandon closes a Writer that was never started.
func (w *Writer) abandon() {
	w.closed = true
	w.f.Close()
	w.lock.release()
}

// syncFolder makes a new name durable, where the system can do that.
func syncFolder(path string) {
	if d, err := os.Open(filepath.Dir(path)); err == nil {
		_ = d.Sync() // not on Windows, not on every file system: the file itself is synced
		d.Close()
	}
}

// Append writes r. After an error that is ErrPending the record is kept and
// written later; after ErrLost, or one of the record itself, it is not.
// Fingerprints are written by the Writer alone; a KindCheck is refused.
func (w *Writer) Append(r Record) error {
	w.mu.Lock()
	defer w.mu.Unlock()
	if w.closed {
		return errClosed
	}
	if r.Kind == KindCheck {
		return errors.New("a fingerprint is written by the log itself")
	}
	line, err := appendAfter(make([]byte, 0, 160), r, w.tail)
	if err != nil {
		return err
	}
	if len(w.queue) > 0 && w.queued+len(line) > maxPending {
		w.lost++
		return fmt.Errorf("%w, %d so far: %w", ErrLost, w.lost, w.err)
	}
	w.queue = append(w.queue, pending{line, times{r.Wall, r.Elapsed}, r.Kind == KindSample})
	w.queued += len(line)
	w.tail = times{r.Wall, r.Elapsed}
	if err := w.flush(); err != nil {
		return fmt.Errorf("%w, %s: %w", ErrPending, units.FormatCount(len(w.queue), "record"), err)
	}
	if r.Kind != KindSample {
		w.nudge()
	}
	return nil
}

// flush writes what waits, oldest first, and fingerprints where they are due.
func (w *Writer) flush() error {
	for len(w.queue) > 0 {
		p := w.queue[0]
		if w.err = w.put(p.line); w.err != nil {
			return w.err
		}
		w.queue, w.queued = w.queue[1:], w.queued-len(p.line)
		w.last = p.time
		if p.sample {
			w.samples++
		}
		if w.samples-w.checked.Samples >= checkEvery || w.last.elapsed-w.checked.at >= checkSeconds {
			if w.err = w.check(); w.err != nil {
				return w.err
			}
		}
	}
	w.queue = nil // lets go of what the slices of a long queue held
	return nil
}

// put writes one whole line or nothing.
func (w *Writer) put(line []byte) error {
	if w.dirty {
		if err := w.f.Truncate(w.good); err != nil {
			return fmt.Errorf("cut back to the last whole line: %w", err)
		}
		w.dirty = false
	}
	n, err := w.f.Write(line)
	if err == nil && n == len(line) {
		w.good += int64(n)
		w.sum.Write(line)
		w.unsynced.Store(true)
		return nil
	}
	if err == nil {
		err = io.ErrShortWrite
	}
	w.dirty = w.f.Truncate(w.good) != nil
	return err
}

// check writes a fingerprint of all lines so far.
func (w *Writer) check() error {
	c := Check{SHA256: hex.EncodeToString(w.sum.Sum(nil)), Samples: w.samples}
	line, err := AppendLine(nil, Record{Kind: KindCheck, Wall: w.last.wall, Elapsed: w.last.elapsed, Check: c})
	if err != nil {
		return err
	}
	if err := w.put(line); err != nil {
		return err
	}
	w.checked = checked{Check: c, at: w.last.elapsed, good: w.good}
	return nil
}

// LastCheck gives the last fingerprint written; its SHA256 is "" before the first.
func (w *Writer) LastCheck() Check {
	w.mu.Lock()
	defer w.mu.Unlock()
	return w.checked.Check
}

// Pending says how many records wait in memory because the disk refuses.
func (w *Writer) Pending() int {
	w.mu.Lock()
	defer w.mu.Unlock()
	return len(w.queue)
}

// Lost says how many records were given up.
func (w *Writer) Lost() int {
	w.mu.Lock()
	defer w.mu.Unlock()
	return w.lost
}

// Err says what is wrong with the disk now; nil when the last write and the last sync went well.
func (w *Writer) Err() error {
	w.mu.Lock()
	defer w.mu.Unlock()
	if w.err != nil {
		return w.err
	}
	if p := w.syncError.Load(); p != nil {
		return *p
	}
	return nil
}

// Path is where the log is: the path given to Create or Continue, or to MoveTo since.
func (w *Writer) Path() string {
	w.mu.Lock()
	defer w.mu.Unlock()
	return w.path
}

// Close writes what waits and a last fingerprint, syncs and unlocks. The error
// says how many records could not be written.
func (w *Writer) Close() error {
	w.mu.Lock()
	if w.closed {
		w.mu.Unlock()
		return nil
	}
	w.closed = true
	err := w.flush()
	if err == nil && w.good > w.checked.good {
		err = w.check()
	}
	if n := len(w.queue) + w.lost; n > 0 && err != nil {
		err = fmt.Errorf("lacks %s: %w", units.FormatCount(n, "record"), err)
	}
	w.mu.Unlock()

	close(w.stop)
	<-w.stopped
	w.unsynced.Store(true)
	err = errors.Join(err, w.syncNow()) // which may put another file in place
	err = errors.Join(err, w.f.Close())
	w.lock.release()
	if err != nil {
		return fmt.Errorf("log %q: %w", w.path, err)
	}
	return nil
}

package holdlog

import (
	"bytes"
	"errors"
	"io"
	"strings"
	"sync"
	"syscall"
	"testing"
	"testing/synctest"
	"time"
)

// disk is a file in memory that refuses as it is told.
type disk struct {
	data     []byte
	room     int // bytes that still fit; -1 = no limit
	short    int // bytes the next write takes and then says nothing
	refuse   error
	truncate error

	mu    sync.Mutex // of what the syncing goroutine touches
	sync  error
	syncs int
}

func (d *disk) Write(b []byte) (int, error) {
	switch {
	case d.refuse != nil:
		return 0, d.refuse
	case d.short > 0:
		n := min(d.short, len(b))
		d.short = 0
		d.data = append(d.data, b[:n]...)
		return n, nil
	case d.room >= 0 && len(b) > d.room:
		n := d.room
		d.data, d.room = append(d.data, b[:n]...), 0
		return n, syscall.ENOSPC
	}
	if d.room >= 0 {
		d.room -= len(b)
	}
	d.data = append(d.data, b...)
	return len(b), nil
}

func (d *disk) Truncate(n int64) error {
	if d.truncate == nil {
		d.data = d.data[:n]
	}
	return d.truncate
}

func (d *disk) Close() error { return nil }

func (d *disk) Sync() error {
	d.mu.Lock()
	defer d.mu.Unlock()
	d.syncs++
	return d.sync
}

func (d *disk) failSync(err error) {
	d.mu.Lock()
	defer d.mu.Unlock()
	d.sync = err
}

func (d *disk) synced() int {
	d.mu.Lock()
	defer d.mu.Unlock()
	return d.syncs
}

// faulty is a Writer on a disk with the header written.
func faulty(t *testing.T) (*Writer, *disk) {
	t.Helper()
	d := &disk{room: -1}
	w := newWriter("hold.jsonl", d, nil)
	appendAll(t, w, []Record{HeaderRecord(testHeader(), 1)})
	w.start()
	return w, d
}

func TestFullDiskLosesNothing(t *testing.T) {
	for room := range 300 { // the disk fills up at every byte of two or three lines
		w, d := faulty(t)
		d.room = room
		for _, s := range samples(0, 10) {
			if err := w.Append(s); err != nil && (!errors.Is(err, ErrPending) || !errors.Is(err, syscall.ENOSPC)) {
				t.Fatal(err)
			}
			if len(d.data) > 0 && d.data[len(d.data)-1] != '\n' {
				t.Fatalf("room %d: part of a line was left", room)
			}
		}
		if w.Pending() == 0 || !errors.Is(w.Err(), syscall.ENOSPC) {
			t.Fatalf("room %d: %d pending, %v", room, w.Pending(), w.Err())
		}
		d.room = -1
		appendAll(t, w, samples(10, 11))
		if w.Pending() != 0 || w.Err() != nil {
			t.Fatalf("room %d: %d pending, %v", room, w.Pending(), w.Err())
		}
		closeLog(t, w)
		checkDisk(t, d, 11)
	}
}

func checkDisk(t *testing.T, d *disk, n int) {
	t.Helper()
	r := NewReader(bytes.NewReader(d.data)).Verify()
	onlySamples(t, readAll(t, r.Next), n)
	if r.Integrity().State() != Whole {
		t.Fatalf("%+v", r.Integrity())
	}
}

func TestShortWriteIsTakenBack(t *testing.T) {
	for short := 1; short < 60; short++ {
		w, d := faulty(t)
		d.short = short
		if err := w.Append(testSample(0)); !errors.Is(err, io.ErrShortWrite) {
			t.Fatal(err)
		}
		appendAll(t, w, samples(1, 3))
		closeLog(t, w)
		checkDisk(t, d, 3)
	}
}

// Where the disk does not even cut back, nothing more is written after the torn line.
func TestNothingIsGluedToATornLine(t *testing.T) {
	w, d := faulty(t)
	d.short, d.truncate = 20, syscall.EIO
	for _, s := range samples(0, 5) {
		if err := w.Append(s); !errors.Is(err, ErrPending) {
			t.Fatal(err)
		}
	}
	r := NewReader(bytes.NewReader(d.data))
	onlySamples(t, readAll(t, r.Next), 0)
	if r.Integrity().State() != Torn {
		t.Errorf("%s", r.Integrity())
	}
	d.truncate = nil
	closeLog(t, w)
	checkDisk(t, d, 5)
}

func TestDiskThatStaysFullIsSaidAtTheEnd(t *testing.T) {
	w, d := faulty(t)
	d.refuse = syscall.ENOSPC
	long := testSample(0)
	long.Sample.Raw = strings.Repeat("x", maxRaw)
	var err error
	for n := 0; !errors.Is(err, ErrLost); n++ {
		if err = w.Append(long); err == nil || n > 1000 {
			t.Fatalf("after %d: %v", n, err)
		}
	}
	if w.queued > maxPending || w.Lost() != 1 {
		t.Errorf("%d bytes kept, %d lost", w.queued, w.Lost())
	}
	if err := w.Close(); !errors.Is(err, syscall.ENOSPC) || !strings.Contains(err.Error(), "lacks") {
		t.Error(err)
	}
}

func TestSyncComesEverySecondAndAtOnceOnAnEvent(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		w, d := faulty(t)
		time.Sleep(1500 * time.Millisecond) // the header is synced
		before := d.synced()
		appendAll(t, w, samples(0, 5))
		synctest.Wait()
		if d.synced() != before {
			t.Error("synced for every sample")
		}
		time.Sleep(time.Second)
		if d.synced() != before+1 {
			t.Errorf("%d syncs after a second", d.synced()-before)
		}
		time.Sleep(time.Minute)
		if d.synced() != before+1 {
			t.Error("synced with nothing new")
		}
		appendAll(t, w, []Record{{Kind: KindEvent, Elapsed: 5, Event: Event{Kind: EventClosed}}})
		synctest.Wait()
		if d.synced() != before+2 {
			t.Error("not synced at once")
		}
		d.failSync(syscall.EIO)
		appendAll(t, w, samples(6, 7))
		if err := w.Sync(); !errors.Is(err, syscall.EIO) || !errors.Is(w.Err(), syscall.EIO) {
			t.Errorf("%v, %v", err, w.Err())
		}
		d.failSync(syscall.ENOTSUP) // a network share: not an error
		if err := w.Sync(); err != nil || w.Err() != nil {
			t.Errorf("%v, %v", err, w.Err())
		}
		closeLog(t, w)
	})
}

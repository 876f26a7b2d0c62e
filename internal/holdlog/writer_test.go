package holdlog

import (
	"bufio"
	"bytes"
	"errors"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"sync"
	"syscall"
	"testing"
	"testing/synctest"
	"time"
)

var someTime = time.UnixMilli(1772610600000)

// newLog creates a log in a folder of its own with n samples and leaves it open.
func newLog(t *testing.T, n int) (*Writer, string) {
	t.Helper()
	path := filepath.Join(t.TempDir(), "hold.jsonl")
	w, err := Create(path, HeaderRecord(testHeader(), 1772610000000))
	if err != nil {
		t.Fatal(err)
	}
	appendAll(t, w, samples(0, n))
	return w, path
}

func appendAll(t *testing.T, w *Writer, records []Record) {
	t.Helper()
	for _, r := range records {
		if err := w.Append(r); err != nil {
			t.Fatal(err)
		}
	}
}

func closeLog(t *testing.T, w *Writer) {
	t.Helper()
	if err := w.Close(); err != nil {
		t.Fatal(err)
	}
}

func readFile(t *testing.T, path string) []byte {
	t.Helper()
	b, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	return b
}

func readLog(t *testing.T, path string) ([]Record, Integrity) {
	t.Helper()
	s, err := Open(path, Options{Verify: true})
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	return readAll(t, s.Next), s.Integrity()
}

// onlySamples checks that the samples among records are exactly those from 0 to n.
func onlySamples(t *testing.T, records []Record, n int) {
	t.Helper()
	i := 0
	for _, r := range records {
		if r.Kind == KindSample {
			if !equal(r, testSample(i)) {
				t.Fatalf("sample %d is %+v", i, r)
			}
			i++
		}
	}
	if i != n {
		t.Fatalf("%d samples, want %d", i, n)
	}
}

func TestClosedLogIsWholeAndLeavesNoLock(t *testing.T) {
	w, path := newLog(t, 1500)
	closeLog(t, w)
	records, integrity := readLog(t, path)
	onlySamples(t, records, 1500)
	if integrity.State() != Whole || integrity.Checked != integrity.Lines || integrity.SHA256 != w.LastCheck().SHA256 {
		t.Errorf("%+v", integrity)
	}
	entries, _ := os.ReadDir(filepath.Dir(path))
	if len(entries) != 1 {
		t.Errorf("left behind: %v", entries)
	}
	if w.Append(testSample(0)) == nil || w.Sync() == nil || w.Close() != nil {
		t.Error("a closed log was written, or closing it twice is an error")
	}
}

func TestFingerprintsComeBySamplesAndByTime(t *testing.T) {
	w, path := newLog(t, 0)
	for i := range 1300 { // 10 a second: 600 samples take 60 s, whichever is first
		r := testSample(i)
		r.Elapsed = float64(i) / 100
		appendAll(t, w, []Record{r})
	}
	late := testSample(1300)
	late.Elapsed = 200
	appendAll(t, w, []Record{late})
	var at []int
	records, _ := readLog(t, path)
	for _, r := range records {
		if r.Kind == KindCheck {
			at = append(at, r.Check.Samples)
		}
	}
	if fmt.Sprint(at) != "[600 1200 1301]" {
		t.Errorf("fingerprints after %v samples", at)
	}
	closeLog(t, w)
}

func TestCreateNeverOverwrites(t *testing.T) {
	w, path := newLog(t, 3)
	closeLog(t, w)
	before := readFile(t, path)
	if _, err := Create(path, HeaderRecord(testHeader(), 0)); !errors.Is(err, ErrExists) {
		t.Error(err)
	}
	if !bytes.Equal(before, readFile(t, path)) {
		t.Error("the file was changed")
	}
	if _, err := Create(filepath.Join(path, "no", "folder.jsonl"), HeaderRecord(testHeader(), 0)); err == nil {
		t.Error("created in a folder that does not exist")
	}
}

func TestSecondWriterIsRefusedAndReadersAreNot(t *testing.T) {
	w, path := newLog(t, 3)
	if _, _, err := Continue(path, someTime); !errors.Is(err, ErrInUse) {
		t.Error(err)
	}
	if _, err := Create(path, HeaderRecord(testHeader(), 0)); !errors.Is(err, ErrInUse) {
		t.Error(err)
	}
	records, _ := readLog(t, path)
	onlySamples(t, records, 3)
	closeLog(t, w)
	w, _, err := Continue(path, someTime)
	if err != nil {
		t.Fatal(err)
	}
	closeLog(t, w)
}

func TestOnlyOneOfManyGetsTheLock(t *testing.T) {
	w, path := newLog(t, 1)
	closeLog(t, w)
	for range 20 {
		var group sync.WaitGroup
		open := make(chan *Writer, 8)
		for range 8 {
			group.Go(func() {
				if w, _, err := Continue(path, someTime); err == nil {
					open <- w
				} else if !errors.Is(err, ErrInUse) {
					t.Error(err)
				}
			})
		}
		group.Wait()
		if len(open) != 1 {
			t.Fatalf("%d writers at once", len(open))
		}
		closeLog(t, <-open)
	}
}

// Whatever byte the crash left as the last one, the log can be gone on with, no
// whole record is lost and no torn one becomes data.
func TestLogTornAtAnyByteCanBeContinued(t *testing.T) {
	log := withCheck(t, logOf(t, samples(0, 4)...), 4)
	header := bytes.IndexByte(log, '\n') + 1
	dir := t.TempDir()
	for cut := header; cut <= len(log); cut++ {
		path := filepath.Join(dir, fmt.Sprintf("%d.jsonl", cut))
		nul := strings.Repeat("\x00", cut%3)
		if err := os.WriteFile(path, []byte(string(log[:cut])+nul), 0o644); err != nil {
			t.Fatal(err)
		}
		whole := bytes.LastIndexByte(log[:cut], '\n') + 1
		w, res, err := Continue(path, someTime)
		if err != nil {
			t.Fatalf("cut at %d: %v", cut, err)
		}
		n := min(bytes.Count(log[:cut], []byte("\n"))-1, 4)
		if res.Samples != n || res.TornBytes != int64(cut-whole+len(nul)) || res.Header.Settings != testHeader().Settings {
			t.Fatalf("cut at %d: %+v", cut, res)
		}
		appendAll(t, w, samples(n, 6))
		closeLog(t, w)
		records, integrity := readLog(t, path)
		onlySamples(t, records, 6)
		if integrity.State() != Continued || integrity.Damaged != 0 {
			t.Fatalf("cut at %d: %s", cut, integrity)
		}
		if !bytes.HasPrefix(readFile(t, path), log[:whole]) {
			t.Fatalf("cut at %d: whole lines were changed", cut)
		}
		if whole < cut && string(readFile(t, path+".torn")) != string(log[whole:cut])+"\n" {
			t.Fatalf("cut at %d: the tail was not kept", cut)
		}
	}
}

func TestContinueTellsTheGap(t *testing.T) {
	w, path := newLog(t, 10)
	closeLog(t, w)
	last := testSample(9)
	w, res, err := Continue(path, time.UnixMilli(last.Wall+30_500))
	if err != nil {
		t.Fatal(err)
	}
	defer w.Close()
	if res.Gap != 30.5 || res.Elapsed != 9 || res.ElapsedAt(last.Wall+31_500) != 40.5 || res.Stopped || res.Integrity.State() != Whole {
		t.Errorf("%+v", res)
	}
	records, _ := readLog(t, path)
	if got := records[len(records)-1]; !equal(got, res.Events[0]) || got.Event.Kind != EventContinued || got.Event.Seconds != 30.5 || got.Elapsed != 39.5 {
		t.Errorf("%+v", got)
	}
}

func TestContinueAfterStopAndWithAClockSetBack(t *testing.T) {
	w, path := newLog(t, 10)
	changed := testHeader()
	changed.Settings.Limit = "500Pa/h"
	appendAll(t, w, []Record{
		{Kind: KindEvent, Wall: testSample(9).Wall, Elapsed: 9, Event: Event{Kind: EventSettings}, Header: &changed},
		{Kind: KindEvent, Wall: testSample(9).Wall, Elapsed: 9, Event: Event{Kind: EventStop}},
	})
	closeLog(t, w)
	w, res, err := Continue(path, time.UnixMilli(testSample(0).Wall-1e9))
	if err != nil {
		t.Fatal(err)
	}
	defer w.Close()
	if !res.Stopped || res.Gap != 0 || res.Events[0].Elapsed != 9 || !strings.Contains(res.Events[0].Event.Text, "clock") {
		t.Errorf("%+v", res)
	}
	if res.Header.Settings.Limit != "500Pa/h" {
		t.Error("the settings in force are not the changed ones")
	}
}

func TestContinueRefusesWhatIsNoLog(t *testing.T) {
	dir := t.TempDir()
	for name, want := range map[string]error{"": ErrEmpty, "elapsed_s,pressure_bar\n0,1\n": ErrNotLog, `{"k":"hdr","t_ms":17`: ErrEmpty} {
		path := filepath.Join(dir, "x.jsonl")
		if err := os.WriteFile(path, []byte(name), 0o644); err != nil {
			t.Fatal(err)
		}
		if _, _, err := Continue(path, someTime); !errors.Is(err, want) {
			t.Errorf("%q: %v", name, err)
		}
		if string(readFile(t, path)) != name {
			t.Errorf("%q was changed", name)
		}
	}
	if _, _, err := Continue(filepath.Join(dir, "none.jsonl"), someTime); !errors.Is(err, os.ErrNotExist) {
		t.Error(err)
	}
}

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
	if err := w.Close(); !errors.Is(err, syscall.ENOSPC) || !strings.Contains(err.Error(), "not in the log") {
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

const childEnv = "HOLDLOG_TEST_CHILD"

func TestMain(m *testing.M) {
	if path := os.Getenv(childEnv); path != "" {
		err := writeForEver(path)
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
	os.Exit(m.Run())
}

// writeForEver goes on with a log until it is killed, saying each sample that Append took.
func writeForEver(path string) error {
	w, res, err := Continue(path, time.Now())
	if err != nil {
		return err
	}
	for i := res.Samples; ; i++ {
		r := testSample(i)
		r.Sample.Raw = strings.Repeat("x", i%300)
		if err := w.Append(r); err != nil {
			return err
		}
		fmt.Println(i)
	}
}

// The same log is killed ten times while it is written: every sample that was
// taken is there, once and in order.
func TestKillNineLosesNothingThatWasTaken(t *testing.T) {
	w, path := newLog(t, 0)
	closeLog(t, w)
	taken := -1
	for round := range 10 {
		var kill *time.Timer
		cmd := exec.Command(os.Args[0])
		cmd.Env = append(os.Environ(), childEnv+"="+path)
		out, err := cmd.StdoutPipe()
		if err != nil {
			t.Fatal(err)
		}
		if err := cmd.Start(); err != nil {
			t.Fatal(err)
		}
		child := bufio.NewScanner(out)
		for child.Scan() { // until it is killed
			if taken, err = strconv.Atoi(child.Text()); err != nil {
				t.Fatal(err)
			}
			if kill == nil {
				kill = time.AfterFunc(time.Duration(10+round*7)*time.Millisecond, func() { _ = cmd.Process.Kill() })
			}
		}
		if kill == nil {
			t.Fatal("the child wrote nothing")
		}
		_ = cmd.Wait()
	}
	w, res, err := Continue(path, time.Now())
	if err != nil {
		t.Fatal(err)
	}
	closeLog(t, w)
	if taken < 100 || res.Samples <= taken {
		t.Fatalf("sample %d was taken, the log has %d", taken, res.Samples)
	}
	records, integrity := readLog(t, path)
	for i := range records {
		records[i].Sample.Raw = ""
	}
	onlySamples(t, records, res.Samples)
	if integrity.State() != Continued || integrity.Damaged != 0 {
		t.Error(integrity)
	}
	t.Logf("%d samples in 10 runs", res.Samples)
}

package holdlog

import (
	"bytes"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"syscall"
	"testing"
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

// A log that is deleted in mid-hold takes lines without complaint; that must not pass for a record.
func TestALogThatIsGoneIsWrittenAnew(t *testing.T) {
	for name, remove := range map[string]func(string) error{
		"deleted": os.Remove,
		"moved":   func(p string) error { return os.Rename(p, p+".moved") },
	} {
		w, path := newLog(t, 3)
		if err := remove(path); err != nil {
			t.Skip("this system does not take open files away:", err)
		}
		if err := w.Sync(); err != nil {
			t.Errorf("%s: Sync %v", name, err)
		}
		if records, _ := readLog(t, path); len(records) != 4 {
			t.Errorf("%s: %d records are back", name, len(records))
		}
		appendAll(t, w, samples(3, 6))
		if err := w.Sync(); err != nil || w.Err() != nil {
			t.Errorf("%s: then Sync %v, Err %v", name, err, w.Err())
		}
		if err := remove(path); err != nil {
			t.Fatal(err)
		}
		closeLog(t, w)
		records, integrity := readLog(t, path)
		onlySamples(t, records, 6)
		if integrity.State() != Whole {
			t.Errorf("%s: %s", name, integrity)
		}
	}
}

func TestALogReplacedInMidHoldIsAnError(t *testing.T) {
	w, path := newLog(t, 3)
	if err := w.Sync(); err != nil {
		t.Fatalf("a log in its place: %v", err)
	}
	if err := os.Rename(path, path+".moved"); err != nil {
		t.Skip("this system does not move open files:", err)
	}
	if err := os.WriteFile(path, []byte("another"), 0o600); err != nil {
		t.Fatal(err)
	}
	if err := w.Sync(); !errors.Is(err, ErrGone) || !errors.Is(w.Err(), ErrGone) {
		t.Errorf("replaced by another file: Sync %v, Err %v", err, w.Err())
	}
	if err := os.Rename(path+".moved", path); err != nil {
		t.Fatal(err)
	}
	if err := w.Sync(); err != nil || w.Err() != nil {
		t.Errorf("moved back: Sync %v, Err %v", err, w.Err())
	}
	closeLog(t, w)
}

// A day at ten a second would be a third longer with the wall time in every line.
func TestWallTimeIsWrittenOnlyWhereItIsNotImplied(t *testing.T) {
	w, path := newLog(t, 0)
	want := samples(1, 41)
	want[0].Wall += 7
	for i := range want[1:] {
		want[1+i].Wall = want[i].Wall + 1000
	}
	for i := 20; i < len(want); i++ {
		want[i].Wall += 24 * 3600 * 1000 // the clock was set
	}
	mark := Record{Kind: KindMark, Wall: want[29].Wall + 1, Elapsed: want[29].Elapsed, Text: "a millisecond off"}
	appendAll(t, w, append(append(want[:30:30], mark), want[30:]...))
	closeLog(t, w)
	got, integrity := readLog(t, path)
	if integrity.State() != Whole {
		t.Error(integrity)
	}
	i := 0
	for _, r := range got {
		if r.Kind == KindSample {
			if !equal(r, want[i]) {
				t.Errorf("sample %d: %+v, want %+v", i, r, want[i])
			}
			i++
		}
	}
	if n := bytes.Count(readFile(t, path), []byte(`{"k":"s","t_ms"`)); n != 3 || i != len(want) {
		t.Errorf("%d of %d samples have a wall time of their own", n, i)
	}
}

// A disk that takes no more lines for good: what is written and what waits is in the new place, whole.
func TestALogGoesOnElsewhereWithAllThatWasRecorded(t *testing.T) {
	path := filepath.Join(t.TempDir(), "hold.jsonl")
	w, err := Create(path, HeaderRecord(testHeader(), 1))
	if err != nil {
		t.Fatal(err)
	}
	appendAll(t, w, samples(0, 5))
	w.syncing.Lock()
	w.mu.Lock()
	open := w.f
	w.f = refusing{open.(*os.File)}
	w.mu.Unlock()
	w.syncing.Unlock()
	for _, s := range samples(5, 9) {
		if err := w.Append(s); !errors.Is(err, ErrPending) {
			t.Fatal(err)
		}
	}
	taken := filepath.Join(t.TempDir(), "taken.jsonl")
	if err := os.WriteFile(taken, []byte("another's"), 0o644); err != nil {
		t.Fatal(err)
	}
	if err := w.MoveTo(taken); err == nil || w.Path() != path || w.Pending() != 4 {
		t.Errorf("moved onto another file: %v, now %s", err, w.Path())
	}
	moved := filepath.Join(t.TempDir(), "moved.jsonl")
	if err := w.MoveTo(moved); err != nil || w.Path() != moved || w.Pending() != 0 || w.Err() != nil {
		t.Fatalf("moved to %s: %v, %v", w.Path(), err, w.Err())
	}
	if _, err := os.Stat(path + ".lock"); err == nil {
		t.Error("the old place is still locked")
	}
	appendAll(t, w, samples(9, 12))
	closeLog(t, w)
	f, err := os.Open(moved)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	r := NewReader(f).Verify()
	onlySamples(t, readAll(t, r.Next), 12)
	if r.Integrity().State() != Whole {
		t.Errorf("%+v", r.Integrity())
	}
}

// refusing is a file of a disk that has turned read-only.
type refusing struct{ *os.File }

func (refusing) Write([]byte) (int, error) { return 0, syscall.EROFS }
func (refusing) Truncate(int64) error      { return syscall.EROFS }

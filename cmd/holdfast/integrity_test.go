package main

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"testing"

	"example.org/holdfast/internal/holdlog"
)

// say runs a command of this program and gives what it wrote.
func say(t *testing.T, args ...string) string {
	t.Helper()
	var out bytes.Buffer
	run(args, func(string) string { return "" }, strings.NewReader(""), &out, &out)
	return out.String()
}

// Long: a change at every part of a log, and what judge and report say to it.
func TestAChangedByteIsFoundAndItsPlaceIsSaid(t *testing.T) {
	t.Parallel()
	path, _ := record(t, simFlags{SimLeak: "0", SimSeed: 2}, nil)
	whole, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	last := bytes.LastIndex(whole[:len(whole)-1], []byte("\n")) + 1 // the closing fingerprint
	altered := filepath.Join(t.TempDir(), "altered.jsonl")
	write := func(log []byte) {
		t.Helper()
		if err := os.WriteFile(altered, log, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	for k := range 16 {
		at := 200 + (last-400)/16*k // behind the header's beginning: without one it is no log
		for at < last && (whole[at] < '0' || whole[at] > '9') {
			at++
		}
		log := bytes.Clone(whole)
		log[at] = '0' + (log[at]-'0'+1)%10 // a digit: the line still reads well
		line := 1 + bytes.Count(log[:at], []byte("\n"))
		write(log)
		i := reduce(t, altered).integrity
		if i.State() != holdlog.Altered || i.Altered > line || i.AlteredBefore != 0 && i.AlteredBefore < line || i.AlteredBefore-i.Altered > 100 {
			t.Errorf("a digit of line %d changed: %s", line, i)
		}
		if k%5 == 0 {
			for _, command := range []string{"judge", "report"} {
				if said := strings.Join(strings.Fields(say(t, command, altered)), " "); !strings.Contains(said, fmt.Sprintf("altered in line %d or after it", i.Altered)) {
					t.Errorf("%s says of it\n%s", command, said)
				}
			}
		}
	}

	// After the last fingerprint nothing can be promised, and that is said.
	open := whole[:last]
	log := bytes.Clone(open)
	at := bytes.LastIndex(log, []byte(`"p_pa":1`)) + len(`"p_pa":1`)
	log[at] = '0' + (log[at]-'0'+1)%10
	write(log)
	i := reduce(t, altered).integrity
	if i.State() != holdlog.Whole || i.Unchecked() == 0 {
		t.Errorf("the end without a fingerprint: %s", i)
	}
	for _, command := range []string{"judge", "report"} {
		if said := strings.Join(strings.Fields(say(t, command, altered)), " "); !strings.Contains(said, fmt.Sprintf("a change after line %d would not be seen", i.Checked)) {
			t.Errorf("%s says of an open end\n%s", command, said)
		}
	}
}

// A gigabyte without a line end, as a file system may leave it, must not take a gigabyte of memory.
func TestALineOfAGigabyteTakesLittleMemory(t *testing.T) {
	path, _ := record(t, simFlags{SimLeak: "0", SimSeed: 2}, nil)
	f, err := os.OpenFile(path, os.O_WRONLY|os.O_APPEND, 0)
	if err != nil {
		t.Fatal(err)
	}
	end, err := f.Seek(0, io.SeekEnd)
	if err == nil {
		err = f.Truncate(end + 1<<30) // a hole: it takes no room on the disk
	}
	if err == nil {
		_, err = f.Write([]byte("\n"))
	}
	if err := errors.Join(err, f.Close()); err != nil {
		t.Skipf("no file with a hole here: %v", err)
	}
	var before, after runtime.MemStats
	runtime.ReadMemStats(&before)
	i := reduce(t, path).integrity
	runtime.ReadMemStats(&after)
	if i.State() != holdlog.Altered || i.Damaged != 1 {
		t.Errorf("the log is %s", i)
	}
	if grown := after.Sys - before.Sys; grown > 64<<20 {
		t.Errorf("%d MB more memory", grown>>20)
	}
}

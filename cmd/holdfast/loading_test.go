//go:build linux

package main

import (
	"bytes"
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"syscall"
	"testing"
	"time"
)

// A saved hold whose file comes slowly: the screen is there with what has come,
// answers keys, says that more comes, and goes on to the end. Nothing here is
// timed: the second half of the file is written after the keys were answered.
func TestAReplayIsUsableWhileItsFileIsRead(t *testing.T) {
	t.Parallel()
	file, err := os.ReadFile(simulated(t, "slow.jsonl", "--leak", "0.8%/h", "--for", "1h", "--limit", "0.4%/h"))
	if err != nil {
		t.Fatal(err)
	}
	half := len(file)/2 + bytes.IndexByte(file[len(file)/2:], '\n') + 1
	pipe := filepath.Join(t.TempDir(), "slow")
	if err := syscall.Mkfifo(pipe, 0o600); err != nil {
		t.Fatal(err)
	}
	w, err := os.OpenFile(pipe, os.O_RDWR, 0) // not to wait for the reader
	if err != nil {
		t.Fatal(err)
	}
	defer w.Close()
	send := func(part []byte) {
		_ = w.SetWriteDeadline(time.Now().Add(time.Minute))
		if _, err := w.Write(part); err != nil {
			t.Error(err)
		}
	}
	go send(file[:half])

	p := &typist{process: screen(t, true, "replay", pipe)}
	first := bytes.Count(file[:half], []byte("\n"))
	p.answer("and more: "+strconv.Itoa(first)+" records read", " ") // pause, so that it does not run to its end meanwhile
	p.answer("paused", "?")
	p.answer("HELP", "x")
	p.answer("and more: "+strconv.Itoa(first), "")
	send(file[half:])
	w.Close()
	whole := regexp.MustCompile(`paused[^\x1b]* of [^\x1b ]*\x1b`) // the line ends there
	p.until("nothing more comes", func() bool { return whole.MatchString(p.text()[p.seen:]) })
	p.answer("paused", "q")
	if code := p.exit(10 * time.Second); code != 0 {
		t.Errorf("exit code %d", code)
	}
}

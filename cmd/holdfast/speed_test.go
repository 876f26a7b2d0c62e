//go:build linux

package main

import (
	"bytes"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/creack/pty"
)

// terminal is a program of its own on a pseudo-terminal of 120 by 40 that is measured.
type terminal struct {
	b    *testing.B
	cmd  *exec.Cmd
	tty  *os.File
	said bytes.Buffer
}

// onTerminal starts a program, as a user gets it, not the test binary.
func onTerminal(b *testing.B, program string, args ...string) *terminal {
	b.Helper()
	t := &terminal{b: b, cmd: exec.Command(program, args...)}
	t.cmd.Env = append(os.Environ(), "HOLDFAST_HOME="+b.TempDir(), "TERM=xterm-256color", "LANG=C.UTF-8")
	tty, err := pty.StartWithSize(t.cmd, &pty.Winsize{Rows: 40, Cols: 120})
	if err != nil {
		b.Fatal(err)
	}
	t.tty = tty
	return t
}

// await reads until the terminal got some text, which may take a minute.
func (t *terminal) await(text string) {
	t.b.Helper()
	buf := make([]byte, 1<<16)
	for !bytes.Contains(t.said.Bytes(), []byte(text)) {
		n, err := t.tty.Read(buf)
		if err != nil {
			t.b.Fatalf("%v before it said %q; it said %q", err, text, t.said.String())
		}
		t.said.Write(buf[:n])
	}
}

// press types a key; what was said before does not count any more.
func (t *terminal) press(key string) {
	t.b.Helper()
	t.said.Reset()
	if _, err := t.tty.WriteString(key); err != nil {
		t.b.Fatal(err)
	}
}

// cpu is the processor time that the program took so far.
func (t *terminal) cpu() time.Duration {
	t.b.Helper()
	var all time.Duration
	tasks, err := filepath.Glob(filepath.Join("/proc", strconv.Itoa(t.cmd.Process.Pid), "task", "*", "schedstat"))
	if err != nil {
		t.b.Fatal(err)
	}
	for _, task := range tasks { // threads of a Go program do not end
		text, err := os.ReadFile(task)
		if err != nil {
			t.b.Fatal(err)
		}
		ran, _, _ := strings.Cut(string(text), " ")
		ns, err := strconv.ParseInt(ran, 10, 64)
		if err != nil {
			t.b.Fatal(err)
		}
		all += time.Duration(ns)
	}
	return all
}

// end kills the program, if it has not ended by itself.
func (t *terminal) end() {
	_ = t.cmd.Process.Kill()
	_ = t.cmd.Wait()
	t.tty.Close()
}

// BenchmarkFirstFrame is the time from the start of the process until the last
// line of its first frame is on the terminal; cpu-ms is what the processor spent
// on it. The version is there for what a process costs at all, that day on that machine.
func BenchmarkFirstFrame(b *testing.B) {
	program := buildProgram(b)
	log := filepath.Join(b.TempDir(), "demo.jsonl")
	for name, c := range map[string]struct {
		args []string
		last string // words of the last line
	}{
		"version": {[]string{"--version"}, "holdfast "},
		"start":   {nil, "Enter; or the letter"},
		"demo":    {[]string{"demo", "--log", log}, " help"},
	} {
		b.Run(name, func(b *testing.B) {
			var cpu time.Duration
			for b.Loop() {
				t := onTerminal(b, program, c.args...)
				t.await(c.last)
				b.StopTimer()
				t.end()
				cpu += t.cmd.ProcessState.UserTime() + t.cmd.ProcessState.SystemTime()
				_ = os.Remove(log) // the start screen leaves none
				b.StartTimer()
			}
			b.ReportMetric(float64(cpu.Microseconds())/1e3/float64(b.N), "cpu-ms/op")
		})
	}
}

// BenchmarkReplayMillion opens a log of a million samples: first-ms is the time
// from the start of the process to its first frame; then keys are pressed one
// after the other as long as it reads the file, each when the one before it is answered,
// for the help and back. key-ms is the mean time to an answer, worst-ms the longest.
func BenchmarkReplayMillion(b *testing.B) {
	program := buildProgram(b)
	log := filepath.Join(b.TempDir(), "million.jsonl")
	if out, err := exec.Command(program, "simulate", "--interval", "100ms", "--for", "27h46m40s", "--limit", "1%/h", "--out", log).CombinedOutput(); err != nil {
		b.Fatalf("%v: %s", err, out)
	}
	var first, sum, worst time.Duration
	keys := 0
	for b.Loop() {
		start := time.Now()
		t := onTerminal(b, program, "replay", log)
		t.await(" help")
		first += time.Since(start)
		for reading := true; reading; {
			for _, k := range [][2]string{{"?", "HELP"}, {"x", "replay 100x"}} {
				pressed := time.Now()
				t.press(k[0])
				t.await(k[1])
				took := time.Since(pressed)
				sum, worst = sum+took, max(worst, took)
				keys++
			}
			reading = bytes.Contains(t.said.Bytes(), []byte("records read"))
		}
		t.end()
	}
	if keys <= 2*b.N {
		b.Error("all was read before the second key: this says nothing")
	}
	ms := func(d time.Duration, n int) float64 { return float64(d.Microseconds()) / 1e3 / float64(n) }
	b.ReportMetric(ms(first, b.N), "first-ms")
	b.ReportMetric(ms(sum, keys), "key-ms")
	b.ReportMetric(ms(worst, 1), "worst-ms")
	b.ReportMetric(float64(keys)/float64(b.N), "keys/op")
}

// BenchmarkIdleHold is a hold at one reading a second on the full screen, left
// alone: the share of a core that it takes in half a minute, after ten seconds.
// Use -benchtime 1x.
func BenchmarkIdleHold(b *testing.B) {
	program := buildProgram(b)
	for b.Loop() {
		t := onTerminal(b, program, "hold", "--device", "sim", "--quiet", "--log", filepath.Join(b.TempDir(), "hold.jsonl"))
		go func() { _, _ = io.Copy(io.Discard, t.tty) }() // until its end
		time.Sleep(10 * time.Second)
		before, since := t.cpu(), time.Now()
		time.Sleep(30 * time.Second)
		b.ReportMetric(100*float64(t.cpu()-before)/float64(time.Since(since)), "%core")
		t.end()
	}
}

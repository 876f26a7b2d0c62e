//go:build linux

package main

import (
	"bytes"
	"errors"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"syscall"
	"testing"
	"time"

	"github.com/creack/pty"

	"example.org/holdfast/internal/holdlog"
)

// process is a holdfast of its own and what it says.
type process struct {
	t    *testing.T
	cmd  *exec.Cmd
	tty  *os.File // nil = pipes
	mu   sync.Mutex
	said bytes.Buffer
	read chan struct{} // closed when it says no more

	once  sync.Once
	ended error // of wait
}

// wait waits for its end; it may be called by several.
func (p *process) wait() error {
	p.once.Do(func() { p.ended = p.cmd.Wait() })
	return p.ended
}

// newProcess makes one that is not started yet. The test binary itself is the program: see TestMain.
func newProcess(t *testing.T, args ...string) *process {
	t.Helper()
	p := &process{t: t, cmd: exec.Command("holdfast", args...), read: make(chan struct{})}
	p.cmd.Env = append(os.Environ(), "HOLDFAST_HOME="+t.TempDir(), "TERM=xterm-256color", "LANG=C.UTF-8")
	t.Cleanup(func() {
		if p.cmd.Process != nil {
			_ = p.cmd.Process.Kill() // it may have ended by itself
			_ = p.wait()
		}
	})
	return p
}

// plain starts a holdfast that writes into pipes.
func plain(t *testing.T, args ...string) *process {
	t.Helper()
	p := newProcess(t, args...)
	p.begin()
	return p
}

// begin starts it with pipes.
func (p *process) begin() {
	p.t.Helper()
	out, w, err := os.Pipe()
	if err != nil {
		p.t.Fatal(err)
	}
	p.cmd.Stdout, p.cmd.Stderr = w, w
	if err := p.cmd.Start(); err != nil {
		p.t.Fatal(err)
	}
	w.Close()
	go p.listen(out)
}

// screen starts a holdfast in a pseudo-terminal. heard = somebody reads what it draws.
func screen(t *testing.T, heard bool, args ...string) *process {
	t.Helper()
	p := newProcess(t, args...)
	p.onScreen(heard)
	return p
}

// onScreen starts it in a pseudo-terminal.
func (p *process) onScreen(heard bool) {
	p.t.Helper()
	var err error
	if p.tty, err = pty.StartWithSize(p.cmd, &pty.Winsize{Rows: 24, Cols: 80}); err != nil {
		p.t.Fatal(err)
	}
	p.t.Cleanup(func() { p.tty.Close() })
	if heard {
		go p.listen(p.tty)
	}
}

func (p *process) listen(r io.Reader) {
	defer close(p.read)
	b := make([]byte, 4096)
	for {
		n, err := r.Read(b)
		p.mu.Lock()
		p.said.Write(b[:n])
		p.mu.Unlock()
		if err != nil {
			return
		}
	}
}

// text is all that it said so far.
func (p *process) text() string {
	p.mu.Lock()
	defer p.mu.Unlock()
	return p.said.String()
}

// await waits until it said something.
func (p *process) await(what string) {
	p.t.Helper()
	p.until("it says "+what, func() bool { return strings.Contains(p.text(), what) })
}

func (p *process) until(what string, is func() bool) {
	p.t.Helper()
	for end := time.Now().Add(time.Minute); !is(); time.Sleep(20 * time.Millisecond) {
		if time.Now().After(end) {
			p.t.Fatalf("waited a minute until %s; it said\n%s", what, p.text())
		}
	}
}

// exit waits for its end and gives the code; a process that a signal killed has -1.
func (p *process) exit(most time.Duration) int {
	p.t.Helper()
	done := make(chan error, 1)
	go func() { done <- p.wait() }()
	select {
	case err := <-done:
		var ended *exec.ExitError
		if err != nil && !errors.As(err, &ended) {
			p.t.Fatal(err)
		}
	case <-time.After(most):
		p.t.Fatalf("it does not end within %v; it said\n%s", most, p.text())
	}
	return p.cmd.ProcessState.ExitCode()
}

func (p *process) signal(s syscall.Signal) {
	p.t.Helper()
	if err := p.cmd.Process.Signal(s); err != nil {
		p.t.Fatal(err)
	}
}

// samples reads the samples in a log that is being written.
func samples(path string) (out []holdlog.Record) {
	f, err := os.Open(path)
	if err != nil {
		return nil
	}
	defer f.Close()
	r := holdlog.NewReader(f)
	for {
		rec, err := r.Next()
		if err != nil {
			return out
		}
		if rec.Kind == holdlog.KindSample {
			out = append(out, rec)
		}
	}
}

// happened gives the kinds of the events in a log, in order.
func happened(t *testing.T, path string) (kinds []string) {
	t.Helper()
	for _, e := range reduce(t, path).state.Events {
		kinds = append(kinds, string(e.Event.Kind))
	}
	return kinds
}

func lineHold(link, log string, more ...string) []string {
	return append([]string{"hold", "--plain", "--every", "1s", "--device", "line", "--port", link,
		"--fields", "pressure_bar_abs,ambient_c", "--limit", "1%/h", "--log", log}, more...)
}

// Long: one story, killed, torn, continued, and all that must be true of its log.
func TestAKilledHoldLosesAtMostASecondAndGoesOn(t *testing.T) {
	t.Parallel()
	link, _ := feeder(t)
	log := filepath.Join(t.TempDir(), "hold.jsonl")
	p := plain(t, lineHold(link, log, "--for", "12s")...)
	p.until("there are 40 samples", func() bool { return len(samples(log)) >= 40 })
	killed := time.Now()
	p.signal(syscall.SIGKILL)
	p.exit(10 * time.Second)
	kept := samples(log)
	if age := killed.Sub(time.UnixMilli(kept[len(kept)-1].Wall)); age > time.Second {
		t.Errorf("the last sample kept is %v old", age)
	}
	before, err := os.ReadFile(log)
	if err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(log, append(before, `{"k":"s","t_ms":17956`...), 0o644); err != nil { // as a crash of the machine may leave it
		t.Fatal(err)
	}
	time.Sleep(time.Second)

	q := plain(t, "hold", "--plain", "--every", "1s", "--continue", log)
	if code := q.exit(time.Minute); code != 3 {
		t.Errorf("exit code %d; it said\n%s", code, q.text())
	}
	after, err := os.ReadFile(log)
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.HasPrefix(after, before) {
		t.Error("what was recorded before has changed")
	}
	j := reduce(t, log)
	if got := strings.Join(happened(t, log), " "); got != "recovered continued stop" {
		t.Errorf("events %s", got)
	}
	if j.integrity.State() != holdlog.Continued || j.integrity.Backwards != 0 {
		t.Errorf("the log is %s, %d records run backwards", j.integrity, j.integrity.Backwards)
	}
	all := samples(log)
	gap := all[len(kept)].Elapsed - all[len(kept)-1].Elapsed
	wall := float64(all[len(kept)].Wall-all[len(kept)-1].Wall) / 1000
	if gap < 0.9 || gap < wall-0.2 || gap > wall+0.2 {
		t.Errorf("the gap is %g s on the hold's clock and %g s on the wall", gap, wall)
	}
	for _, want := range []string{"the log goes on after a gap", "a torn last line was set aside", "UNPROVEN: "} {
		if !strings.Contains(q.text(), want) {
			t.Errorf("it does not say %q:\n%s", want, q.text())
		}
	}
}

func TestAnUnpluggedSensorIsMarkedAndASignalLeavesAWholeLog(t *testing.T) {
	t.Parallel()
	link, command := feeder(t)
	log := filepath.Join(t.TempDir(), "hold.jsonl")
	p := plain(t, lineHold(link, log)...)
	p.until("there are 20 samples", func() bool { return len(samples(log)) >= 20 })
	command("pull")
	p.await("lost line")
	command("plug")
	p.await("line is back")
	n := len(samples(log))
	p.until("it goes on", func() bool { return len(samples(log)) >= n+20 })
	p.signal(syscall.SIGTERM)
	if code := p.exit(3 * time.Second); code != 128+15 {
		t.Errorf("exit code %d", code)
	}
	if got := strings.Join(happened(t, log), " "); !strings.HasPrefix(got, "lost back") || !strings.HasSuffix(got, "signal") {
		t.Errorf("events %s", got)
	}
	j := reduce(t, log)
	if j.integrity.State() != holdlog.Whole || j.integrity.Checked != j.integrity.Lines {
		t.Errorf("the log is %s", j.integrity)
	}
	if last := j.state.Events[len(j.state.Events)-1]; last.Event.Text != "terminated" {
		t.Errorf("the log says that it ended by %q", last.Event.Text)
	}
}

func TestEverySignalToEndHasItsCode(t *testing.T) {
	t.Parallel()
	for sig, want := range map[syscall.Signal]int{syscall.SIGHUP: 129, syscall.SIGINT: 130, syscall.SIGTERM: 143} {
		log := filepath.Join(t.TempDir(), "hold.jsonl")
		p := plain(t, "hold", "--plain", "--device", "sim", "--log", log)
		p.until("there is a sample", func() bool { return len(samples(log)) > 0 })
		p.signal(sig)
		if code := p.exit(3 * time.Second); code != want {
			t.Errorf("%v: exit code %d, want %d", sig, code, want)
		}
		if got := reduce(t, log).integrity.State(); got != holdlog.Whole {
			t.Errorf("%v leaves a log that is %s", sig, got)
		}
	}
}

func TestAReaderThatGoesAwayDoesNotEndTheHold(t *testing.T) {
	t.Parallel()
	log := filepath.Join(t.TempDir(), "hold.jsonl")
	p := newProcess(t, "hold", "--plain", "--every", "1s", "--device", "sim", "--sim-speed", "100", "--for", "5m", "--log", log)
	out, w, err := os.Pipe()
	if err != nil {
		t.Fatal(err)
	}
	p.cmd.Stdout = w
	if err := p.cmd.Start(); err != nil {
		t.Fatal(err)
	}
	w.Close()
	out.Close()
	if code := p.exit(time.Minute); code != 3 && code != 1 {
		t.Errorf("exit code %d", code)
	}
	if got := happened(t, log); len(got) == 0 || got[len(got)-1] != "stop" {
		t.Errorf("events %v", got)
	}
}

func TestTheDemoRunsToItsVerdictInATerminal(t *testing.T) {
	t.Parallel()
	log := filepath.Join(t.TempDir(), "demo.jsonl")
	p := screen(t, true, "demo", "--speed", "300", "--for", "30m", "--log", log)
	p.await("\x1b[?1049h") // the other screen of the terminal
	p.await("loses ")
	p.await("DONE")
	n := len(samples(log))
	p.until("it records past the set time", func() bool { return len(samples(log)) > n+100 })
	if !strings.Contains(p.text(), "\a") {
		t.Error("no bell")
	}
	for _, key := range []string{"m", "1", "q", "y"} {
		if _, err := p.tty.WriteString(key); err != nil {
			t.Fatal(err)
		}
		time.Sleep(300 * time.Millisecond)
	}
	if code := p.exit(10 * time.Second); code != 1 {
		t.Errorf("exit code %d", code)
	}
	<-p.read
	_, after, ok := strings.Cut(p.text(), "\x1b[?1049l")
	if !ok || !strings.Contains(after, "LEAKING: loses ") || !strings.Contains(after, log) {
		t.Errorf("after the screen it says\n%q", after)
	}
	j := reduce(t, log)
	if len(j.state.Marks) != 1 || j.state.Marks[0].Text != "door opened" || !j.state.Ended || j.state.Verdict.Word != "leaking" {
		t.Errorf("the log holds marks %+v, ended %v, %s", j.state.Marks, j.state.Ended, j.state.Verdict.Word)
	}
}

func TestAStalledTerminalKeepsNeitherTheRecordingNorTheEnd(t *testing.T) {
	t.Parallel()
	log := filepath.Join(t.TempDir(), "demo.jsonl")
	p := screen(t, false, "demo", "--speed", "100", "--log", log) // nobody reads: the terminal is full soon
	p.until("it records", func() bool { return len(samples(log)) > 600 })
	p.signal(syscall.SIGTERM)
	if code := p.exit(4 * time.Second); code != 143 {
		t.Errorf("exit code %d", code)
	}
	if got := reduce(t, log).integrity.State(); got != holdlog.Whole {
		t.Errorf("the log is %s", got)
	}
}

func TestVersionAsksTheTerminalNothing(t *testing.T) {
	p := screen(t, true, "--version")
	if code := p.exit(5 * time.Second); code != 0 {
		t.Errorf("exit code %d", code)
	}
	<-p.read
	if got, want := p.text(), versionLine()+"\r\n"; got != want {
		t.Errorf("wrote %q, want %q", got, want)
	}
}

// BenchmarkVersion starts the whole program for as little as it can do.
func BenchmarkVersion(b *testing.B) {
	program := buildProgram(b) // the test binary may have the race detector in it
	for b.Loop() {
		if err := exec.Command(program, "--version").Run(); err != nil {
			b.Fatal(err)
		}
	}
}

// TestAFullDiskIsSaidAndLosesNothing records onto a disk that is full for a while.
func TestAFullDiskIsSaidAndLosesNothing(t *testing.T) {
	t.Parallel()
	disk := t.TempDir()
	if err := syscall.Mount("none", disk, "tmpfs", 0, "size=64k"); err != nil {
		t.Skipf("a small disk needs the right to mount one: %v", err)
	}
	t.Cleanup(func() { syscall.Unmount(disk, syscall.MNT_DETACH) })
	ballast, log := filepath.Join(disk, "ballast"), filepath.Join(disk, "hold.jsonl")
	if err := os.WriteFile(ballast, make([]byte, 48<<10), 0o644); err != nil {
		t.Fatal(err)
	}
	p := plain(t, "hold", "--plain", "--every", "1m", "--device", "sim", "--sim-speed", "100", "--log", log)
	p.await("no space left")
	n := len(samples(log))
	time.Sleep(500 * time.Millisecond)
	if err := os.Truncate(ballast, 0); err != nil {
		t.Fatal(err)
	}
	p.await("the log is written again")
	p.until("it records again", func() bool { return len(samples(log)) > n+20 })
	p.signal(syscall.SIGTERM)
	if code := p.exit(3 * time.Second); code != 143 {
		t.Errorf("exit code %d", code)
	}
	all := samples(log)
	for i := 1; i < len(all); i++ {
		if d := all[i].Elapsed - all[i-1].Elapsed; d > 1.01 {
			t.Errorf("a hole of %g s at %g s", d, all[i].Elapsed)
		}
	}
}

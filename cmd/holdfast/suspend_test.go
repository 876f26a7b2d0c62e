//go:build linux

package main

import (
	"os/exec"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"syscall"
	"testing"
)

// inShell starts a holdfast by typing it into an interactive shell on a pseudo-terminal, as people do.
func inShell(t *testing.T, command string) *typist {
	t.Helper()
	shell, err := exec.LookPath("bash")
	if err != nil {
		t.Skip("no bash")
	}
	p := &typist{process: newProcess(t)}
	env := p.cmd.Env
	p.cmd = exec.Command(shell, "--norc", "--noprofile", "-i")
	p.cmd.Env = append(env, "PS1=shell> ")
	p.onScreen(true)
	p.answer("shell> ", command+"\n")
	return p
}

// running is the process that the shell started.
func (p *typist) running() int {
	p.t.Helper()
	id := 0
	p.until("the shell has a child", func() bool {
		out, _ := exec.Command("ps", "-o", "pid=", "--ppid", strconv.Itoa(p.cmd.Process.Pid)).Output() // it fails where there is none
		id, _ = strconv.Atoi(strings.TrimSpace(string(out)))
		return id > 0
	})
	return id
}

// Ctrl-z by mistake, with the lines of --plain: the recording must not stand still.
func TestCtrlZDoesNotStopTheRecordingOfLines(t *testing.T) {
	t.Parallel()
	log := filepath.Join(t.TempDir(), "hold.jsonl")
	p := inShell(t, "holdfast hold --plain --every 1s --device sim --quiet --log "+log)
	p.answer("unproven", "\x1a")
	before := len(samples(log))
	p.until("it records on", func() bool { return len(samples(log)) >= before+3 })
	p.answer("unproven", "\x03")
	p.answer("shell> ", "")
	if !strings.Contains(p.text(), "UNPROVEN: ") {
		t.Error("ended that way it does not say how it stood")
	}
	if kinds := happened(t, log); slices.Contains(kinds, "suspend") || kinds[len(kinds)-1] != "signal" {
		t.Errorf("events %q", kinds)
	}
}

// A screen that was stopped from outside is whole again after fg: keys go to it, not into the terminal's line.
func TestAScreenIsWholeAfterAStopAndFg(t *testing.T) {
	t.Parallel()
	log := filepath.Join(t.TempDir(), "hold.jsonl")
	p := inShell(t, "holdfast hold --device sim --quiet --log "+log)
	p.answer("FILLING", "\x1a") // swallowed
	p.until("it records on", func() bool { return len(samples(log)) >= 3 })
	id := p.running()
	if err := syscall.Kill(id, syscall.SIGSTOP); err != nil {
		t.Fatal(err)
	}
	p.answer("shell> ", "stty sane; echo in be\"tw\"een\n")
	p.answer("in between", "fg\n")
	p.answer("FILLING", "?")
	p.answer("silence bell", "x")
	p.answer("last reading", "q")
	p.answer("stop recording?", "y")
	p.answer("shell> ", "stty -a\n")
	p.until("the terminal is as a shell wants it", func() bool { return strings.Contains(p.text()[p.seen:], " icanon") })
	if said := p.text()[p.seen:]; strings.Contains(said, "-icanon") {
		t.Errorf("left without lines: %s", said)
	}
	if kinds := happened(t, log); !slices.Contains(kinds, "stop") || slices.Contains(kinds, "signal") {
		t.Errorf("events %q", kinds)
	}
}

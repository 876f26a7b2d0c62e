//go:build linux

package main

import (
	"os"
	"path/filepath"
	"slices"
	"strings"
	"syscall"
	"testing"
	"time"

	"example.org/holdfast/internal/job"
)

// bare starts holdfast without a command, in a folder and with it as its home.
func bare(t *testing.T, folder string) *typist {
	t.Helper()
	p := &typist{process: newProcess(t)}
	p.cmd.Dir = folder
	p.cmd.Env = append(p.cmd.Env, "HOLDFAST_HOME="+folder)
	p.onScreen(true)
	return p
}

// A section and a joint come into a job file by keys alone, and the file is one that the commands read.
func TestASectionAndAJointAreEnteredByKeys(t *testing.T) {
	t.Parallel()
	folder := t.TempDir()
	p := bare(t, folder)
	for _, step := range [...][2]string{
		{"s  section", "s"},
		{"+ a new section", "\r"},
		{"A new name begins a new one", "\r"},
		{"One word", "evaporator\r"},
		{"In your own words", "evaporator and suction tube\r"},
		{"Its gas volume", "0,12 l\r"},
		{"when it runs", "\x13"}, // ctrl-s
		{"add its joints", "\x1b[B"},
		{"› + a new section", "\x1b[B"},
		{"› + a new joint", "\r"},
		{"that it stands in", "\r"},
		{"as in marks", "e1\r"},
		{"In your own words", "\x13"},
		{"e1 is a joint of evaporator", "\x1b"},
	} {
		p.answer(step[0], step[1])
	}
	j, err := job.Load(filepath.Join(folder, "job.toml"))
	if err != nil {
		t.Fatal(err)
	}
	s, found := j.Section("evaporator")
	if !found || s.Volume != 0.12e-3 || s.Name != "evaporator and suction tube" {
		t.Errorf("section %+v", s)
	}
	if x, found := j.Joint("e1"); !found || x.Section != "evaporator" {
		t.Errorf("joint %+v", x)
	}
}

// A hold that was cut off is gone on with from the start screen; a port that is gone brings the screen back.
func TestAHoldThatWasCutOffIsGoneOnWithByKeys(t *testing.T) {
	t.Parallel()
	link, command := feeder(t)
	folder := t.TempDir()
	log := filepath.Join(folder, "holds", "cellar.jsonl")
	if err := os.MkdirAll(filepath.Dir(log), 0o755); err != nil {
		t.Fatal(err)
	}
	first := plain(t, lineHold(link, log)...)
	first.records(log, 20)
	first.signal(syscall.SIGKILL)
	first.exit(time.Minute)
	before := len(samples(log))
	command("pull")
	p := bare(t, folder)
	for _, step := range [...][2]string{
		{"o  open a log", "o"},
		{"cut off", "\r"},
		{"› g  go on", "g"},
		{"! device \"line\"", ""},
	} {
		p.answer(step[0], step[1])
	}
	command("plug")
	p.answer("", "g")
	p.until("it records on", func() bool { return len(samples(log)) > before+5 })
	p.answer("last reading", "q")
	p.answer("stop recording?", "y")
	p.exit(time.Minute)
	if kinds := happened(t, log); !slices.Contains(kinds, "continued") || kinds[len(kinds)-1] != "stop" {
		t.Errorf("events %q", kinds)
	}
	if strings.Contains(p.text(), "\x1b[?1000h") || strings.Contains(p.text(), "\x1b[?1002h") || strings.Contains(p.text(), "\x1b[?1003h") {
		t.Error("it takes the mouse, which people need to copy text")
	}
}

//go:build linux

package main

import (
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"
)

// The login manager is a script here: it notes what it was asked, and when its command has ended.
func TestTheMachineIsKeptAwakeForAsLongAsTheProgramLives(t *testing.T) {
	t.Parallel()
	link, _ := feeder(t)
	bin := t.TempDir()
	script := "#!/bin/sh\nwhile [ \"${1#--}\" != \"$1\" ]; do echo \"$1\"; shift; done >" + bin + "/asked\n\"$@\"\ntouch " + bin + "/released\n"
	if err := os.WriteFile(filepath.Join(bin, "systemd-inhibit"), []byte(script), 0o755); err != nil {
		t.Fatal(err)
	}
	for _, end := range []syscall.Signal{syscall.SIGTERM, syscall.SIGKILL} {
		log := filepath.Join(t.TempDir(), "hold.jsonl")
		p := newProcess(t, lineHold(link, log)...)
		p.cmd.Env = append(p.cmd.Env, "PATH="+bin+":"+os.Getenv("PATH"))
		p.begin()
		p.await("does not go to sleep meanwhile (systemd-inhibit)")
		p.until("it records", func() bool { return len(samples(log)) > 1 })
		if fileThere(bin + "/released") {
			t.Error("the lock is gone while the hold is recorded")
		}
		p.signal(end)
		p.exit(5 * time.Second)
		p.until("the lock is let go of", func() bool { return fileThere(bin + "/released") })
		if got := reduce(t, log).state.Header.KeptAwake; got != "systemd-inhibit" {
			t.Errorf("the log says %q", got)
		}
		if err := os.Remove(bin + "/released"); err != nil {
			t.Fatal(err)
		}
	}
	p := newProcess(t, lineHold(link, filepath.Join(t.TempDir(), "hold.jsonl"))...)
	p.cmd.Env = append(p.cmd.Env, "PATH="+t.TempDir()) // no login manager here
	p.begin()
	p.await("nothing keeps this machine from going to sleep")
	asked, err := os.ReadFile(bin + "/asked")
	if err != nil || !strings.Contains(string(asked), "--what=idle:sleep:handle-lid-switch\n") {
		t.Errorf("asked for %q, %v", asked, err)
	}
}

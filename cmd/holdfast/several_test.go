//go:build linux

package main

import (
	"path/filepath"
	"slices"
	"testing"
	"time"
)

// Two holds on one screen: the sensor of one is unplugged and comes back, and
// nothing of that is in the log, the verdict or the bell of the other; one is
// ended and the other goes on. Long: one story.
func TestAFaultOfOneHoldTouchesNoOther(t *testing.T) {
	t.Parallel()
	bad, command := feeder(t)
	good, _ := feeder(t)
	dir := t.TempDir()
	logs := [2]string{filepath.Join(dir, "a.jsonl"), filepath.Join(dir, "b.jsonl")}
	hold := func(port, section, log string) []string {
		return []string{"--device", "line", "--port", port, "--fields", "pressure_bar_abs,ambient_c", "--section", section, "--limit", "1%/h", "--log", log}
	}
	args := append([]string{"hold"}, hold(bad, "condenser", logs[0])...)
	p := &typist{process: screen(t, true, append(append(args, "--and"), hold(good, "evaporator", logs[1])...)...)}
	p.answer("1 condenser", "\t") // the second is in full from now on
	p.records(logs[0], 20)
	command("pull")
	p.await("NO SIGNAL")
	during := len(samples(logs[1]))
	p.records(logs[1], 40)
	command("plug")
	p.records(logs[0], 20)
	p.answer("", "q")
	p.answer("stop recording?", "y")
	p.await("ENDED") // in full or in its line: the one that goes on is shown as soon as it is
	p.records(logs[0], 20)
	if n := len(samples(logs[1])); n < during+40 {
		t.Fatalf("%d samples, %d when the other was unplugged", n, during)
	}
	p.answer("", "\x03")
	p.answer("stop all 1", "y")
	if code := p.exit(time.Minute); code != 3 {
		t.Errorf("exit code %d", code)
	}
	if kinds := happened(t, logs[0]); !slices.Contains(kinds, "lost") || !slices.Contains(kinds, "back") || kinds[len(kinds)-1] != "stop" {
		t.Errorf("events of the unplugged one %q", kinds)
	}
	if kinds := happened(t, logs[1]); !slices.Equal(kinds, []string{"stop"}) {
		t.Errorf("events of the other %q", kinds)
	}
	other := reduce(t, logs[1]).state
	if len(other.Alarms) > 0 || len(other.Verdict.Warnings) > 0 {
		t.Errorf("alarms %v, warnings %q of the other", other.Alarms, other.Verdict.Warnings)
	}
}

//go:build linux

package main

import (
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"
	"unicode/utf8"
)

// Lines in a terminal: each event is said in words, what is typed is done, nothing but text is written, and no line is too wide.
func TestLinesInATerminalSayEachEventAndTakeWords(t *testing.T) {
	t.Parallel()
	link, command := feeder(t)
	log := filepath.Join(t.TempDir(), "hold.jsonl")
	p := &typist{process: screen(t, true, lineHold(link, log, "--quiet", "--section", "condenser of a bottle cooler")...)}
	p.records(log, 20)
	p.answer("type mark and what", "mark joint soaped\r")
	p.await("mark: joint soaped")
	p.answer("", "limit 3 %/h\r")
	p.await("settings: limit 3 %/h")
	p.answer("", "limit lots\r")
	p.await("not taken: rate \"lots\"")
	p.answer("", "nonsense\r")
	p.await("not understood")
	command("pull")
	p.await("lost line, trying again")
	p.await("no readings for")
	command("plug")
	p.await("line is back after")
	p.answer("", "refill\r")
	p.await("a new filling")
	p.answer("", "stop\r")
	if code := p.exit(time.Minute); code != 3 {
		t.Errorf("exit code %d", code)
	}
	noEscape(t, "the lines", strings.ReplaceAll(p.text(), "\r\n", "\n"))
	for line := range strings.SplitSeq(p.text(), "\r\n") {
		if n := utf8.RuneCountInString(line); n > 80 && !strings.Contains(line, ".jsonl") { // a path stays whole
			t.Errorf("%d wide: %q", n, line)
		}
	}
	kinds := slices.DeleteFunc(happened(t, log), func(kind string) bool { return kind == "gap" }) // on a loaded machine it is back later
	if !slices.Equal(kinds, []string{"settings", "lost", "back", "refill", "stop"}) {
		t.Errorf("events %q", kinds)
	}
}

// Who has walked away from the lines hears the bell, where there is a terminal; into a pipe go words alone.
func TestLinesRingOnATerminalAlone(t *testing.T) {
	t.Parallel()
	hold := func(more ...string) []string {
		return append([]string{"hold", "--plain", "--every", "1h", "--device", "sim", "--sim-leak", "30%/h", "--sim-speed", "600", "--for", "20m", "--limit", "1%/h",
			"--log", filepath.Join(t.TempDir(), "hold.jsonl")}, more...)
	}
	for _, c := range []struct {
		p     *process
		rings bool
	}{{screen(t, true, hold()...), true}, {screen(t, true, hold("--quiet")...), false}, {plain(t, hold()...), false}} {
		c.p.await("bell: leaking")
		c.p.await("the record is")
		if rings := strings.Contains(c.p.text(), "\a"); rings != c.rings {
			t.Errorf("it rings: %v, want %v:\n%q", rings, c.rings, c.p.text())
		}
	}
}

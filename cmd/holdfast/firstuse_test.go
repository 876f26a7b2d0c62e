//go:build linux

package main

import (
	"io"
	"math"
	"path/filepath"
	"strings"
	"testing"

	"example.org/holdfast/internal/units"
)

// typist answers what a screen says: it waits for words that came after its last key.
type typist struct {
	*process
	seen int // bytes that were there at the last key
	keys int // keystrokes and answers so far
}

// answer waits for words on the screen and then types; Enter after a text belongs to it.
func (p *typist) answer(says, text string) {
	p.t.Helper()
	p.until("the screen says "+says, func() bool { return strings.Contains(p.text()[p.seen:], says) })
	p.seen = len(p.text())
	if _, err := io.WriteString(p.tty, text); err != nil {
		p.t.Fatal(err)
	}
	p.keys++
}

// firstUse goes from holdfast to a running hold by hand, and gives its log.
func firstUse(t *testing.T) (p *typist, log string) {
	t.Helper()
	home := t.TempDir()
	p = &typist{process: newProcess(t)}
	p.cmd.Env = append(p.cmd.Env, "HOLDFAST_HOME="+home)
	p.onScreen(true)
	for _, step := range [...][2]string{
		{"n  new hold", "n"},
		{"The unit on your gauge", "\r"},
		{"What you closed off", "\r"},
		{"A needle gauge needs no sensor", "\r"},
		{"The smallest step you can read", "\r"},
		{"How often the screen asks", "\r"},
		{"Where it sits", "\r"},
		{"Highest pressure allowed", "\r"},
		{"Length of the hold", "\r"},
		{"START: press Enter", "\r"},
		{"Enter: start  ", "\r"},
		{"reading:", "9.8 bar 21.5C\r"},
	} {
		p.answer(step[0], step[1])
	}
	p.until("a reading is in the log", func() bool {
		logs, _ := filepath.Glob(filepath.Join(home, "holds", "*.jsonl"))
		if len(logs) == 1 {
			log = logs[0]
		}
		return len(samples(log)) == 1
	})
	return p, log
}

// Who never read a manual gets from the bare command to a running hold in at
// most 12 keystrokes and answers, doing what the screen says.
func TestFirstUseTakesTwelveKeysAndAnswers(t *testing.T) {
	t.Parallel()
	p, log := firstUse(t)
	if p.keys > 12 {
		t.Errorf("it took %d", p.keys)
	}
	s := samples(log)[0].Sample
	if s.Ref != units.GaugeRef || math.Abs(s.Pressure-9.8e5) > 1 || math.Abs(s.Ambient.Celsius()-21.5) > 1e-6 {
		t.Errorf("the reading is in the log as %+v", s)
	}
}

// A limit that is changed while holding is in the log, and in force in a replay of it.
func TestALimitChangedDuringAHoldIsInTheLog(t *testing.T) {
	t.Parallel()
	p, log := firstUse(t)
	p.answer("read as", "l")
	p.answer("from now on", "3%/h\r")
	p.until("the log has the limit", func() bool { return reduce(t, log).state.Header.Settings.Limit == "3%/h" })
	if kinds := happened(t, log); kinds[len(kinds)-1] != "settings" {
		t.Errorf("events %q", kinds)
	}
}

//go:build linux

package main

import (
	"bytes"
	"os"
	"strings"
	"testing"
	"time"
)

// Playing, going through it back and forth, and asking what if, by keys on a
// terminal: the other verdict stands beside the recorded one, and not a byte of the file is changed.
func TestAReplayAnswersWhatIfAndChangesNoByte(t *testing.T) {
	t.Parallel()
	file := simulated(t, "leaky.jsonl", "--leak", "0.8%/h", "--pressure", "10bar", "--for", "1h", "--seed", "3", "--limit", "0.4%/h")
	before, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	p := &typist{process: screen(t, true, "replay", "--speed", "60", file)}
	for _, step := range [...][2]string{
		{"replay 60x", " "},
		{"paused", "5"},
		{"30:", "\x1b[C"},
		{"31:", "\x1b[D"},
		{"30:", "\x1b[H"},
		{"0:00 of", "\x1b[F"},
		{"1:00:", "+"},
		{"100x", "i"},
		{"as recorded: ", "\x1b[B3 %/h\r"}, // the question below the first is the limit
		{"what if: TIGHT", "\x1b"},
		{"last reading", "i"},
		{"read as 3%/h", "\x1b"},
		{"last reading", "q"},
	} {
		p.answer(step[0], step[1])
	}
	if code := p.exit(time.Minute); code != 0 {
		t.Errorf("exit code %d", code)
	}
	if !strings.Contains(p.text(), "as recorded: LEAKING") {
		t.Error("the recorded verdict does not stand beside it")
	}
	after, err := os.ReadFile(file)
	if err != nil || !bytes.Equal(before, after) {
		t.Errorf("the file was changed (%v)", err)
	}
}

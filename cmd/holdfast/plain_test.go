package main

import (
	"bytes"
	"strings"
	"testing"

	"example.org/holdfast/internal/hold"
	"example.org/holdfast/internal/holdlog"
)

func TestGarbageIsSaidOnceAMinuteAndNoneOfItIsLeftOut(t *testing.T) {
	var out bytes.Buffer
	p := &plainLines{out: &out, every: 10}
	h := hold.New()
	const seconds = 150
	for i := range seconds {
		h.Apply(holdlog.Record{Kind: holdlog.KindReject, Elapsed: float64(i), Text: "@@", Why: "no number"})
		p.look(h.State())
	}
	h.Apply(holdlog.Record{Kind: holdlog.KindReject, Elapsed: seconds, Why: "19 more not kept one by one", Count: 19})
	h.Apply(holdlog.Record{Kind: holdlog.KindEvent, Elapsed: seconds, Event: holdlog.Event{Kind: holdlog.EventStop}})
	p.look(h.State())
	var said []string
	for line := range strings.SplitSeq(out.String(), "\n") {
		if strings.Contains(line, "could not be used") {
			said = append(said, line)
		}
	}
	want := []string{
		"0:00:00  1 reading could not be used, the last: no number",
		"0:01:00  60 readings could not be used, the last: no number",
		"0:02:00  60 readings could not be used, the last: no number",
		"0:02:30  48 readings could not be used, the last: no number",
	}
	if strings.Join(said, "\n") != strings.Join(want, "\n") {
		t.Errorf("said\n%s\nwant\n%s", strings.Join(said, "\n"), strings.Join(want, "\n"))
	}
}

package job_test

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"example.org/holdfast/internal/holdlog"
)

const (
	checkHold  = "hold of exactly these joints"
	checkBound = "upper bound below the limit"
	checkBlank = "blank hold of the same day"
	checkSoap  = "soaped, looked at after ten minutes"
	checkAgain = "after heat and tapping a second hold that agrees"
	checkMade  = "made before the hold"
)

// complete makes the logs of a section b that may be buried, and gives the pieces of its job.
func complete(t *testing.T, dir string) (pieces map[string]string) {
	t.Helper()
	held(t, dir, "hose.jsonl", 8, 0.025, 0, 3600, eight)
	held(t, dir, "first.jsonl", 9, 0.09, 0, 7200, eight.Add(90*time.Minute))
	held(t, dir, "second.jsonl", 10, 0.09, 0, 7200, eight.Add(5*time.Hour))
	return map[string]string{
		"hose": hold("hose.jsonl", "hose"), "first": hold("first.jsonl", "b"), "second": hold("second.jsonl", "b"),
		"soaped": mark("soaped", `section = "b"`, 215), "clean": mark("clean", `section = "b"`, 230),
		"heated": mark("heated", `section = "b"`, 270), "tapped": mark("tapped", `section = "b"`, 280),
	}
}

// Ways to have a section buried that is not proven. Each is refused, and for the right reason.
func TestGateIsNotTalkedRound(t *testing.T) {
	s := tell(t)
	dir := s.dir
	pieces := complete(t, dir)
	five := eight.Add(5 * time.Hour)
	for _, m := range []made{
		{name: "low.jsonl", seed: 20, litres: 0.09, seconds: 14400, bar: 5, start: five, zone: "Z"},
		{name: "lowhose.jsonl", seed: 21, litres: 0.025, seconds: 7200, bar: 4, start: eight, zone: "Z"},
		{name: "again.jsonl", seed: 9, litres: 0.09, seconds: 7200, bar: 9.5, start: five, zone: "Z"}, // the readings of first.jsonl
		{name: "short.jsonl", seed: 22, litres: 0.09, seconds: 600, bar: 9.5, start: eight.Add(90 * time.Minute), zone: "Z"},
		{name: "ofa.jsonl", seed: 23, litres: 0.09, seconds: 7200, bar: 9.5, start: five, zone: "Z", set: holdlog.Settings{Section: "A"}},
		{name: "lax.jsonl", seed: 24, litres: 0.09, leak: 8, seconds: 7200, bar: 9.5, start: five, zone: "Z", set: holdlog.Settings{Limit: "300g/yr", Tolerate: "90%/1y", Safety: 0.001}},
		{name: "higher.jsonl", seed: 25, litres: 0.09, leak: 30, seconds: 3600, bar: 12, start: eight.Add(4 * time.Hour), zone: "Z"},
		{name: "touched.jsonl", seed: 26, litres: 0.09, seconds: 7200, bar: 9.5, start: five, zone: "Z", marks: []string{"remade b1 with new filler"}},
		{name: "foaming.jsonl", seed: 27, litres: 0.09, seconds: 7200, bar: 9.5, start: five, zone: "Z", marks: []string{"foams at the lock ring"}},
		{name: "limit.jsonl", seed: 29, litres: 0.09, leak: 8, seconds: 7200, bar: 9.5, start: five, zone: "Z", settings: holdlog.Settings{Limit: "300g/yr", For: 7200}},
		{name: "large.jsonl", seed: 30, litres: 0.09, seconds: 7200, bar: 9.5, start: five, zone: "Z", set: holdlog.Settings{Volume: 0.09e-3, VolumeError: 0.05}},
		{name: "more.jsonl", seed: 31, litres: 0.09, leak: 30, seconds: 7200, bar: 9.5, start: five, zone: "Z"},
		{name: "clock.jsonl", seed: 32, litres: 0.09, seconds: 7200, bar: 9.5, start: five, zone: "Z", clock: -3 * time.Hour},
		{name: "worse.jsonl", seed: 33, litres: 0.09, leak: 2, seconds: 4 * 3600, bar: 9.5, start: five, zone: "Z"},
		{name: "long.jsonl", seed: 34, litres: 0.09, seconds: 4 * 3600, bar: 9.5, start: eight.Add(20 * time.Minute), zone: "Z"},
		{name: "west.jsonl", seed: 28, litres: 0.025, seconds: 3600, bar: 9.5, start: eight.Add(20 * time.Hour), zone: "-05:00"}, // 23:00 of the same day there, not here
	} {
		m.write(t, dir)
	}
	alter(t, filepath.Join(dir, "first.jsonl"), filepath.Join(dir, "altered.jsonl"), readingChanged)
	alter(t, filepath.Join(dir, "second.jsonl"), filepath.Join(dir, "unsealed.jsonl"), withoutSeals(0))
	alter(t, filepath.Join(dir, "second.jsonl"), filepath.Join(dir, "opened.jsonl"), withoutSeals(1))
	alter(t, filepath.Join(dir, "second.jsonl"), filepath.Join(dir, "shortened.jsonl"), func(log []byte) []byte { return log[:bytes.LastIndex(log[:len(log)*3/4], []byte("\n"))+1] })
	if err := os.Symlink("first.jsonl", filepath.Join(dir, "link.jsonl")); err != nil {
		t.Fatal(err)
	}
	second := func(file string) map[string]string { return map[string]string{"second": hold(file, "b")} }
	b1 := func(what string, minutes int) string { return mark(what, `joint = "b1"`, minutes) }
	for _, c := range []struct {
		name    string
		instead map[string]string
		edit    string // of the job file, "old=>new"
		want    string
	}{
		{name: "a hold of one joint only", instead: map[string]string{"second": hold("second.jsonl", "b") + "joints = [\"b1\"]\n"}, want: checkAgain},
		{name: "one hold copied as the second", instead: map[string]string{"second": hold("again.jsonl", "b")}, want: checkHold},
		{name: "a log dated by the job file", instead: map[string]string{"second": hold("second.jsonl", "b") + "start = 2026-03-02T20:00:00Z\n"}, want: checkHold},
		{name: "the log of another section", instead: map[string]string{"second": hold("ofa.jsonl", "b")}, want: checkHold},
		{name: "a log that is gone", instead: map[string]string{"more": hold("gone.jsonl", "b")}, want: checkHold},
		{name: "an altered log", instead: map[string]string{"more": hold("altered.jsonl", "b")}, want: checkHold},
		{name: "a limit raised in the log", instead: map[string]string{"second": hold("lax.jsonl", "b")}, want: checkBound},
		{name: "a safety lowered in the log", instead: map[string]string{"second": hold("lax.jsonl", "b")}, edit: `limit = "3g/yr"=>tolerate = "20%/2y"`, want: checkBound},
		{name: "a leak at more pressure", instead: map[string]string{"more": hold("higher.jsonl", "b")}, want: checkBound},
		{name: "a second hold at less pressure", instead: map[string]string{"second": hold("low.jsonl", "b")}, want: checkAgain},
		{name: "a first hold that proves nothing", instead: map[string]string{"first": hold("short.jsonl", "b")}, want: checkAgain},
		{name: "a blank at less pressure", instead: map[string]string{"hose": hold("lowhose.jsonl", "hose")}, want: checkBlank},
		{name: "a blank of another day, in another zone", instead: map[string]string{"hose": hold("west.jsonl", "hose")}, want: checkBlank},
		{name: "the blank of another hose", instead: map[string]string{"hose": hold("hose.jsonl", "hose") + "fittings = [\"hose B\"]\n", "second": hold("second.jsonl", "b") + "fittings = [\"hose A\"]\n"}, want: checkBlank},
		{name: "soap before the filling", instead: map[string]string{"soaped": mark("soaped", `section = "b"`, 30)}, want: checkSoap},
		{name: "one joint soaped", instead: map[string]string{"clean": b1("clean", 230)}, want: checkSoap},
		{name: "one joint heated", instead: map[string]string{"heated": b1("heated", 270)}, want: checkAgain},
		{name: "heated at the time of the second hold", instead: map[string]string{"heated": mark("heated", `section = "b"`, 330)}, want: checkAgain},
		{name: "remade, with more words, in a log", instead: map[string]string{"second": hold("touched.jsonl", "b")}, want: checkHold},
		{name: "foam, with other words, in a log", instead: map[string]string{"second": hold("foaming.jsonl", "b")}, want: checkSoap},
		{name: "a vacuum hold called one under pressure", instead: map[string]string{"second": hold("second.jsonl", "b") + "kind = \"vacuum\"\n"}, want: checkAgain},
		{name: "a limit raised on the way, in the log", instead: second("limit.jsonl"), want: checkBound},
		{name: "a limit as large as the charge", instead: second("more.jsonl"), edit: "3g/yr=>60g/yr", want: checkBound},
		{name: "the volume made small in the job file", instead: second("large.jsonl"), edit: "0.09L=>0.009L", want: checkBound},
		{name: "no ceiling", edit: "volume = \"0.09L ±5%\"\nceiling = \"16bar\"=>volume = \"0.09L ±5%\"", want: checkHold},
		{name: "less than a quarter of the ceiling", edit: "volume = \"0.09L ±5%\"\nceiling = \"16bar\"=>volume = \"0.09L ±5%\"\nceiling = \"40bar\"", want: checkHold},
		{name: "the fingerprints taken out", instead: second("unsealed.jsonl"), want: checkHold},
		{name: "all fingerprints but the first taken out", instead: second("opened.jsonl"), want: checkHold},
		{name: "a clock that was set on before the hold and back in it", instead: second("clock.jsonl"), want: checkAgain},
		{name: "the same hold, cut short, as the first", instead: map[string]string{"first": hold("shortened.jsonl", "b")}, want: checkAgain},
		{name: "a link to the first hold as the second", instead: second("link.jsonl"), want: checkHold},
		{name: "a joint split in two since", edit: "id = \"b2\"\nsection = \"b\"\nmade = 2026-03-02T07:00:00Z=>id = \"b2\"\nsection = \"b\"\n[[joint]]\nid = \"b3\"\nsection = \"b\"", want: checkMade},
		{name: "a joint remade while it was held", instead: map[string]string{"more": mark("remade", `joint = "b1"`, 330)}, want: checkHold},
		{name: "a joint made after the hold", edit: "id = \"b2\"\nsection = \"b\"\nmade = 2026-03-02T07:00:00Z=>id = \"b2\"\nsection = \"b\"\nmade = 2026-03-02T17:00:00Z", want: checkHold},
		{name: "looked at nine minutes after the soap", instead: map[string]string{"clean": mark("clean", `section = "b"`, 224)}, want: checkSoap},
		{name: "a second hold that is tight and yet loses more", instead: map[string]string{"first": hold("long.jsonl", "b"), "second": hold("worse.jsonl", "b")}, want: checkAgain},
	} {
		text := head
		if old, other, ok := strings.Cut(c.edit, "=>"); ok {
			if text = strings.Replace(head, old, other, 1); text == head {
				t.Fatalf("%s: no %q to edit", c.name, old)
			}
		}
		for _, name := range []string{"hose", "first", "second", "soaped", "clean", "heated", "tapped", "more"} {
			piece, other := c.instead[name]
			if !other {
				piece = pieces[name]
			}
			text += piece
		}
		g, err := s.record(t, text).Gate("b", "somebody")
		if err != nil {
			t.Fatal(err)
		}
		if g.Clear || !slices.Contains(g.Missing(), c.want) {
			t.Errorf("%s: clear is %v, missing is %q, want %q in it", c.name, g.Clear, g.Missing(), c.want)
		}
	}
}

func readingChanged(log []byte) []byte {
	return bytes.Replace(log, []byte(`"p_pa":10`), []byte(`"p_pa":11`), 1)
}

// withoutSeals takes out the lines with fingerprints, but for so many, and changes a reading behind them.
func withoutSeals(but int) func([]byte) []byte {
	return func(log []byte) []byte {
		var out [][]byte
		for line := range bytes.Lines(log) {
			if bytes.Contains(line, []byte(`"sha256"`)) {
				if but--; but < 0 {
					continue
				}
			}
			out = append(out, line)
		}
		tail := len(out) / 2
		return append(bytes.Join(out[:tail], nil), readingChanged(bytes.Join(out[tail:], nil))...)
	}
}

// alter copies a log with a change.
func alter(t *testing.T, from, to string, change func([]byte) []byte) {
	t.Helper()
	text, err := os.ReadFile(from)
	if err != nil {
		t.Fatal(err)
	}
	changed := change(bytes.Clone(text))
	if bytes.Equal(text, changed) {
		t.Fatal("nothing to alter")
	}
	if err := os.WriteFile(to, changed, 0o644); err != nil {
		t.Fatal(err)
	}
}

// What is dated after a close-up was not there when it was closed; what leaks since is said.
func TestGateLooksAtTheTimeOfTheCloseUp(t *testing.T) {
	s := tell(t)
	dir := s.dir
	pieces := complete(t, dir)
	held(t, dir, "since.jsonl", 30, 0.09, 30, 3600, eight.Add(24*time.Hour))
	held(t, dir, "cured.jsonl", 35, 0.09, 0, 7200, eight.Add(24*time.Hour))
	held(t, dir, "grown.jsonl", 36, 0.09, 2, 4*3600, eight.Add(24*time.Hour))
	held(t, dir, "sound.jsonl", 37, 0.09, 0, 4*3600, eight.Add(30*time.Hour))
	cured := mark("cured", `section = "b"`, 1000)
	var text strings.Builder
	text.WriteString(head)
	for _, name := range []string{"hose", "first", "second", "soaped", "clean", "heated", "tapped"} {
		text.WriteString(pieces[name])
	}
	closed := func(minutes int) string {
		return fmt.Sprintf("\n[[closeup]]\nsection = \"b\"\ntime = %s\nname = \"somebody\"\n", eight.Add(time.Duration(minutes)*time.Minute).Format(time.RFC3339))
	}
	for _, c := range []struct {
		name, extra string
		clear       bool
	}{
		{"closed after all of it", closed(430), true},
		{"closed during the second hold", closed(400), false},
		{"closed before the soap was looked at", closed(220), false},
		{"leaks since", closed(430) + hold("since.jsonl", "b"), false},
		{"cured, and not held since", closed(430) + cured, false},
		{"cured, and held as before", closed(430) + cured + hold("cured.jsonl", "b"), true},
		{"cured, tight, and yet it loses more than before", closed(430) + cured + hold("grown.jsonl", "b"), false},
		{"held before it was cured", closed(430) + mark("cured", `section = "b"`, 1500) + hold("cured.jsonl", "b"), false},
		{"leaked since, then tight with nothing done", closed(430) + cured + hold("since.jsonl", "b") + hold("sound.jsonl", "b"), false},
	} {
		g, err := s.record(t, text.String()+c.extra).Gate("b", "")
		if err != nil || g.Closed == nil || g.Clear != c.clear {
			t.Errorf("%s: %v, clear is %v, missing %q", c.name, err, g.Clear, g.Missing())
		}
	}
}

// What the hose is known to lose is taken off where the hose was in the hold, and only there.
func TestBlankOfTheJobIsTakenOff(t *testing.T) {
	s := tell(t)
	dir := s.dir
	held(t, dir, "hose.jsonl", 31, 0.025, 10, 7200, eight)
	held(t, dir, "b.jsonl", 32, 0.09, 10, 7200, eight.Add(3*time.Hour))
	hose := hold("hose.jsonl", "hose") + "fittings = [\"hose A\"]\n"
	for _, c := range []struct {
		name, holds string
		off         bool
	}{
		{"the same hose", hose + hold("b.jsonl", "b") + "fittings = [\"hose A\", \"cap 1\"]\n", true},
		{"another hose", hose + hold("b.jsonl", "b") + "fittings = [\"hose B\"]\n", false},
		{"no word of a hose", hose + hold("b.jsonl", "b"), false},
	} {
		r := s.record(t, head+c.holds)
		st := r.Holds[1].State
		grams := st.Estimate.Rate.Value * st.PerPascal.Refrigerant.GramsPerYear()
		if off := st.Blank != nil; off != c.off || off && (grams < -2 || grams > 2) || !off && (grams < 8 || grams > 12) {
			t.Errorf("%s: taken off is %v, leak %.2f g/yr", c.name, off, grams)
		}
	}
	g, err := s.record(t, strings.Replace(head, "3g/yr", "20g/yr", 1)+hose+hold("b.jsonl", "b")+"fittings = [\"hose A\"]\n").Gate("b", "somebody")
	if err != nil || !slices.Contains(g.Missing(), checkBlank) {
		t.Errorf("%v: a hose that eats half the limit is taken: %+v", err, g.Checks)
	}
}

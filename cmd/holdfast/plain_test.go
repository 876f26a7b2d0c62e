package main

import (
	"bytes"
	"strings"
	"testing"

	"example.org/holdfast/internal/decay"
	"example.org/holdfast/internal/hold"
	"example.org/holdfast/internal/holdlog"
	"example.org/holdfast/internal/verdict"
)

func TestGarbageIsSaidOnceAMinuteAndNoneOfItIsLeftOut(t *testing.T) {
	var out bytes.Buffer
	p := &plainLines{out: &out, every: 10}
	h := hold.New()
	const seconds = 150
	for i := range seconds {
		h.Apply(holdlog.Record{Kind: holdlog.KindReject, Elapsed: float64(i), Text: "@@", Why: "no number"})
		p.look(h.State(), h.State().Elapsed)
	}
	h.Apply(holdlog.Record{Kind: holdlog.KindReject, Elapsed: seconds, Why: "19 more not kept one by one", Count: 19})
	h.Apply(holdlog.Record{Kind: holdlog.KindEvent, Elapsed: seconds, Event: holdlog.Event{Kind: holdlog.EventStop}})
	p.look(h.State(), h.State().Elapsed)
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

// said plays pictures of a hold at times of it and gives the lines.
func said(p *plainLines, at ...any) []string {
	var out bytes.Buffer
	p.out = &out
	for i := 0; i < len(at); i += 2 {
		p.look(at[i].(*hold.State), at[i+1].(float64))
	}
	return strings.Split(strings.TrimSpace(out.String()), "\n")
}

func heldState() *hold.State {
	return &hold.State{Phase: hold.Holding, HasPressure: true, Pressure: 11e5, Atmosphere: 1e5, HasAmbient: true, Ambient: 293.15, Samples: 100, Interval: 1,
		Elapsed: 600, LastSampleAt: 600, HoldFor: 3600,
		Estimate: decay.Estimate{Valid: true, Start: 11e5, Corrected: 11e5, Rate: decay.Interval{Value: 1, Lo: 0.5, Hi: 1.5}},
		Verdict: verdict.Verdict{Word: verdict.Unproven, Phrase: "falling, heat could explain it", MoreHold: 1500, Limit: verdict.Limit{Set: true, Text: "0.4%/h"},
			Hides: verdict.Figures{PercentPerHour: 0.5}, Warnings: []string{"the room moved by 3.1 K"}}}
}

// What the screen shows stands in the line of an interval, the verdict first.
func TestTheLineOfAnIntervalHasWhatTheScreenHas(t *testing.T) {
	lines := said(&plainLines{every: 60}, heldState(), 600.0)
	for _, w := range []string{"0:10:00  unproven, falling, heat could explain it; 10.000 bar gauge, corrected 10.000 bar, air 20.0 C",
		"leak 36 mbar/h (18 to 54 mbar/h), could hide 0.50 %/h; 50m left; about 25m more would decide", "doubt: the room moved by 3.1 K"} {
		if !strings.Contains(strings.Join(lines, "\n"), w) {
			t.Errorf("%q is not in\n%s", w, strings.Join(lines, "\n"))
		}
	}
}

// Where the ends of the interval are written in two units, each has its own.
func TestAnIntervalInTwoUnitsNamesBoth(t *testing.T) {
	st := heldState()
	st.Estimate.Rate = decay.Interval{Value: 20, Lo: 5, Hi: 40} // Pa/s; 40 are 1.44 bar/h
	if text := rateWords(st); !strings.Contains(text, "(180 mbar/h to 1.4 bar/h)") {
		t.Errorf("%q", text)
	}
}

// A verdict that turns comes with its reasons; a doubt is said once, though its figures change.
func TestAVerdictThatTurnsIsSaidWithItsReasons(t *testing.T) {
	first, second := heldState(), heldState()
	second.Elapsed, second.LastSampleAt, second.Samples = 610, 610, 110
	second.Verdict.Word, second.Verdict.Phrase = verdict.Leaking, "loses 300 g/yr"
	second.Verdict.Reasons, second.Verdict.Advice = []string{"The fall is beyond what heat explains."}, []string{"Soap the new joints."}
	second.Verdict.Warnings = []string{"the room moved by 3.3 K"}
	all := strings.Join(said(&plainLines{every: 60}, first, 600.0, first, 605.0, second, 610.0), "\n")
	for _, w := range []string{"0:10:10  leaking, loses 300 g/yr; 10.000", "at most 0.50 %/h", "why: The fall is beyond", "next: Soap the new joints."} {
		if !strings.Contains(all, w) {
			t.Errorf("%q is not in\n%s", w, all)
		}
	}
	if strings.Count(all, "doubt:") != 1 || strings.Count(all, "why:") != 1 {
		t.Errorf("said twice:\n%s", all)
	}
}

// Silence is said at each interval; between readings that a person types there is nothing new.
func TestSilenceIsSaidAndWaitingForAPersonIsNot(t *testing.T) {
	lines := said(&plainLines{every: 60}, heldState(), 600.0, heldState(), 700.0, heldState(), 710.0, heldState(), 760.0)
	var silent []string
	for _, l := range lines {
		if strings.Contains(l, "no readings for") {
			silent = append(silent, l[:40])
		}
	}
	if strings.Join(silent, "|") != "0:11:40  no readings for 1m40s, the last|0:12:40  no readings for 2m40s, the last" {
		t.Errorf("%q", silent)
	}
	byHand := heldState()
	byHand.Header.Settings.AskEvery, byHand.Interval = 600, 600
	if lines := said(&plainLines{every: 60}, byHand, 600.0, byHand, 700.0, byHand, 1100.0); len(lines) != 3 { // phase, interval, doubt
		t.Errorf("between readings by hand it says\n%s", strings.Join(lines, "\n"))
	}
}

func TestTheLinesOfAVacuumSpeakOfVacuum(t *testing.T) {
	st := heldState()
	st.Header.Settings.Kind, st.Phase, st.Estimate = "vacuum", hold.Filling, decay.Estimate{}
	all := strings.Join(said(&plainLines{every: 60}, st, 600.0), "\n")
	for _, w := range []string{"pumping down", "Pa absolute", "caution: "} {
		if !strings.Contains(all, w) || strings.Contains(all, "gauge") {
			t.Errorf("%q is not in\n%s", w, all)
		}
	}
}

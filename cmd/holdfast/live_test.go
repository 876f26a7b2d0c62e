package main

import (
	"encoding/json"
	"io"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"example.org/holdfast/internal/hold"
	"example.org/holdfast/internal/holdlog"
	"example.org/holdfast/internal/profile"
)

// quietApp is an app that nobody looks at.
func quietApp() *app {
	return &app{getenv: func(string) string { return "" }, in: strings.NewReader(""), out: io.Discard, err: io.Discard, now: time.Now}
}

// record runs a live hold of the simulator, as fast as it goes, and gives its log and its last State.
func record(t *testing.T, sim simFlags, during func(*session)) (path string, st *hold.State) {
	t.Helper()
	a := quietApp()
	p := livePlan{path: filepath.Join(t.TempDir(), "hold.jsonl"), header: holdlog.Header{Settings: demoSettings()}}
	sim.SimSpeed = 1e9
	c := holdCmd{For: "30m", viewFlags: viewFlags{Plain: true, Every: "10s"}, simFlags: sim}
	if err := c.settle(a, &p, []profile.Profile{{Driver: "sim"}}); err != nil {
		t.Fatal(err)
	}
	s, err := a.begin(p)
	if err != nil {
		t.Fatal(err)
	}
	if during != nil {
		during(s)
	}
	select {
	case <-s.ended:
	case <-time.After(2 * time.Minute):
		t.Fatal("the hold does not end at its set time")
	}
	st = s.State()
	if err := s.close(holdlog.Record{Kind: holdlog.KindVerdict, Text: string(st.Verdict.Word)}); err != nil {
		t.Fatal(err)
	}
	return p.path, st
}

// reduce reads a log and gives the State at its end.
func reduce(t *testing.T, path string) judged {
	t.Helper()
	j, err := judgeFile(&source{options: holdlog.Options{Verify: true}}, path)
	if err != nil {
		t.Fatal(err)
	}
	return j
}

func text(t *testing.T, v any) string {
	t.Helper()
	b, err := json.MarshalIndent(v, "", " ")
	if err != nil {
		t.Fatal(err)
	}
	return string(b)
}

// Long: the table of the holds.
func TestALiveHoldAndItsReplayEndInTheSameState(t *testing.T) {
	for _, c := range []struct {
		name   string
		sim    simFlags
		during func(*session)
		check  func(*testing.T, *hold.State)
	}{
		{"leaking", simFlags{SimLeak: "2.5%/h", SimSeed: 1}, nil, func(t *testing.T, st *hold.State) {
			if st.Verdict.Word != "leaking" {
				t.Errorf("a leak of 2.5 %%/h is %s", st.Verdict.Word)
			}
		}},
		{"tight", simFlags{SimLeak: "0", SimSeed: 2}, nil, func(t *testing.T, st *hold.State) {
			if st.Verdict.Word == "leaking" {
				t.Error("a tight section is leaking")
			}
		}},
		{"marks and a refill", simFlags{SimLeak: "1%/h", SimSeed: 3}, func(s *session) {
			for s.State().Phase != hold.Settling && s.State().Phase != hold.Holding {
				time.Sleep(time.Millisecond)
			}
			s.mark("door \x1bopened")
			s.refill()
		}, func(t *testing.T, st *hold.State) {
			if len(st.Marks) != 1 || st.Marks[0].Text != "door  opened" {
				t.Errorf("marks %+v", st.Marks)
			}
			if st.Segment != 2 {
				t.Errorf("segment %d after a refill", st.Segment)
			}
		}},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			path, live := record(t, c.sim, c.during)
			c.check(t, live)
			if !live.Ended || live.Phase != hold.Done || live.Samples < 1800 {
				t.Errorf("ended %v in phase %s after %d samples", live.Ended, live.Phase, live.Samples)
			}
			again := reduce(t, path)
			if a, b := text(t, live), text(t, again.state); a != b {
				t.Errorf("the States differ:\nlive   %s\nreplay %s", firstDifference(a, b), firstDifference(b, a))
			}
			if got := again.integrity.State(); got != holdlog.Whole {
				t.Errorf("the log is %s", got)
			}
			if a, b := text(t, judge(judged{path, live, again.integrity})), text(t, judge(again)); a != b {
				t.Errorf("the judgements differ:\nlive   %s\nreplay %s", firstDifference(a, b), firstDifference(b, a))
			}
		})
	}
}

// firstDifference gives the line of a where it stops being like b.
func firstDifference(a, b string) string {
	la, lb := strings.Split(a, "\n"), strings.Split(b, "\n")
	for i, line := range la {
		if i >= len(lb) || line != lb[i] {
			return line
		}
	}
	return "(ends)"
}

// Long: each control of a replay in turn, on one recording.
func TestAJumpInAReplayShowsTheStateOfThatMoment(t *testing.T) {
	t.Parallel()
	path, _ := record(t, simFlags{SimLeak: "2.5%/h", SimSeed: 1}, nil)
	var records []holdlog.Record
	src := source{options: holdlog.Options{Verify: true}}
	if _, err := src.each(path, func(r holdlog.Record) error { records = append(records, r); return nil }); err != nil {
		t.Fatal(err)
	}
	p := newPlayer(taped(records), 100)
	c := p.controls()
	c.Pause()
	for _, at := range []float64{600, 300, 1500, 0, 1e9} {
		c.Jump(at)
		for p.obey(0); p.asked(); {
			p.obey(0)
		}
		want := hold.New()
		for _, r := range records {
			if r.Elapsed <= at {
				want.Apply(r)
			}
		}
		if a, b := text(t, p.State()), text(t, want.State()); a != b {
			t.Errorf("at %g s: %s, want %s", at, firstDifference(a, b), firstDifference(b, a))
		}
	}
	c.Jump(600)
	p.obey(0)
	before := p.State().Records
	c.Step(3)
	p.obey(5)
	if got := p.State().Records - before; got != 3 {
		t.Errorf("a step of 3 records applied %d", got)
	}
	if st := c.Status(); !st.Paused {
		t.Error("a step does not pause")
	}
	c.Pause()
	was := c.Status().At
	p.obey(2)
	if got := c.Status().At - was; got < 199.9 || got > 200.1 {
		t.Errorf("2 s at 100x moved on by %g s", got)
	}
}

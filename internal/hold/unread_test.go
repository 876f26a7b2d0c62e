package hold_test

import (
	"fmt"
	"strings"
	"testing"

	"example.org/holdfast/internal/bench"
	"example.org/holdfast/internal/hold"
	"example.org/holdfast/internal/holdlog"
	"example.org/holdfast/internal/verdict"
)

// anHour is by how much the clock moves between two readings, s.
const anHour = 3600.0

// jumped is a hold in which an hour passes between two readings at some time, if
// its clock is right; sealed = that hour never was, and nothing leaked in it. It
// gives the words that the verdict had and the last State.
func jumped(p bench.Params, at float64, clock string, sealed bool) (words map[verdict.Word]bool, last *hold.State) {
	b := bench.New(p, 5)
	h := hold.New()
	h.Apply(holdlog.HeaderRecord(holdlog.Header{Clock: clock, Settings: holdlog.Settings{For: p.Hold, Limit: "0.4%/h"}}, 1000))
	words = map[verdict.Word]bool{}
	for t := 0.0; t <= p.Hold; t += p.Interval {
		says := t
		switch {
		case t < at:
		case sealed:
			says += anHour
		case t < at+anHour:
			continue
		}
		h.Apply(holdlog.Record{Kind: holdlog.KindSample, Elapsed: says, Wall: 1000 + int64(1000*says), Sample: sent(b.At(t))})
		words[h.State().Verdict.Word] = true
	}
	return words, h.State()
}

// leakingFor is a section that leaks by a share an hour in a room.
func leakingFor(hours, leak float64, room string) bench.Params {
	p := bench.BottleCooler(leak)
	p.Room, _ = bench.RoomNamed(room)
	p.Hold, p.Interval = hours*3600, 10
	return p
}

// A logger's clock that is set an hour on in mid-hold makes any leak look smaller.
func TestAnHourThatOnlyAFilesClockSaysProvesNothing(t *testing.T) {
	t.Parallel()
	for _, room := range []string{"still", "drift", "day"} {
		for _, leak := range []float64{0.006, 0.008, 0.012} {
			for _, at := range []float64{1200, 2400} {
				words, last := jumped(leakingFor(1, leak, room), at, holdlog.ClockOfFile, true)
				if words[verdict.Tight] {
					t.Errorf("room %s, the clock jumps after %g s: a leak of %g %%/h to a limit of 0.4 is tight at some time; in the end %s, %s",
						room, at, 100*leak, last.Verdict.Word, last.Verdict.Phrase)
				}
				if w := fmt.Sprint(last.Verdict.Warnings); !strings.Contains(w, "Nothing was read for 1h") {
					t.Errorf("the hour is not spoken of: %s", w)
				}
			}
		}
	}
}

// Sleep and silence do not stop a leak, nor a clock that counts through them.
func TestAGapOfTheHoldsOwnClockStillProves(t *testing.T) {
	t.Parallel()
	if _, last := jumped(leakingFor(3, 0, "still"), 3600, "boottime", false); last.Verdict.Word != verdict.Tight {
		t.Errorf("%s, %s", last.Verdict.Word, last.Verdict.Phrase)
	}
	if _, last := jumped(leakingFor(3, 0, "still"), 3600, holdlog.ClockOfFile, false); last.Verdict.Word != verdict.Tight {
		t.Errorf("two hours of readings around it are enough: %s, %s", last.Verdict.Word, last.Verdict.Phrase)
	}
	if _, last := jumped(leakingFor(3, 0.006, "still"), 3600, "boottime", false); last.Verdict.Word == verdict.Tight {
		t.Errorf("a leak of 0.6 %%/h: %s, %s", last.Verdict.Word, last.Verdict.Phrase)
	}
}

// The same under vacuum: what an acceptance asks for an hour is watched for an hour of readings. Here the
// pressure goes past 80 Pa 25 min after the valve closed, and a clock that was set on says it were 85.
func TestAnHourThatOnlyAFilesClockSaysMeetsNoAcceptance(t *testing.T) {
	recs := vacuum("80Pa@60min", 74, func(t float64) float64 {
		if t < 1500 {
			return 3.5
		}
		return 8.5
	})
	recs[0].Header.Clock = holdlog.ClockOfFile
	kept := recs[:1]
	for _, r := range recs[1:] {
		if r.Elapsed > 600+2400 {
			break
		}
		if r.Elapsed > 1200 {
			r.Elapsed += anHour
		}
		kept = append(kept, r)
	}
	s := apply(kept).State()
	if s.Verdict.Word == verdict.Tight || strings.Contains(s.Verdict.Phrase, "within") {
		t.Errorf("%s, %s after 40 minutes of readings, above the acceptance since 25", s.Verdict.Word, s.Verdict.Phrase)
	}
	if w := fmt.Sprint(s.Verdict.Warnings); !strings.Contains(w, "Nothing was read for 1h") {
		t.Errorf("the hour is not spoken of: %s", w)
	}
}

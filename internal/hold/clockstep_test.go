package hold_test

import (
	"testing"

	"example.org/holdfast/internal/bench"
	"example.org/holdfast/internal/holdlog"
)

// TestAWallClockThatJumpsByADayChangesNothingInTheVerdict steps it in mid-hold:
// the fit is on elapsed time, and the jump is an event that can be seen.
func TestAWallClockThatJumpsByADayChangesNothingInTheVerdict(t *testing.T) {
	p := bench.BottleCooler(0.02)
	plain := records(p, holdlog.Settings{Limit: "0.5%/h"}, true)
	want := apply(plain).State()
	const day = 86400
	jumped := append([]holdlog.Record{}, plain...)
	half := len(jumped) / 2
	for i := range jumped[half:] {
		jumped[half+i].Wall -= 1000 * day
	}
	step := holdlog.Record{Kind: holdlog.KindEvent, Elapsed: jumped[half].Elapsed, Wall: jumped[half].Wall, Event: holdlog.Event{Kind: holdlog.EventClockStep, Seconds: -day}}
	jumped = append(jumped[:half:half], append([]holdlog.Record{step}, jumped[half:]...)...)
	got := apply(jumped).State()
	if got.Verdict.Word != want.Verdict.Word || got.Estimate.Rate != want.Estimate.Rate || got.Left != want.Left {
		t.Errorf("%s, %v; without the jump %s, %v", got.Verdict.Word, got.Estimate.Rate, want.Verdict.Word, want.Estimate.Rate)
	}
	if n := len(got.Events); n == 0 || got.Events[n-1].Event.Kind != holdlog.EventClockStep {
		t.Error("the jump is not among the events")
	}
}

package verdict_test

import (
	"math"
	"strings"
	"testing"

	"example.org/holdfast/internal/decay"
	"example.org/holdfast/internal/verdict"
)

// What holds the pressure up, lifts it or jumps about hides a leak: never tight,
// and the reason is among the causes with what to do next.
func TestWhatHidesALeakIsNeverTight(t *testing.T) {
	for _, c := range []struct {
		name, cause, next string
		change            func(*decay.Estimate)
	}{
		{"held up", "supply valve not shut", "vent the hose", func(e *decay.Estimate) {
			e.Follows, e.Held = decay.Interval{Value: 0.1, Lo: -0.2, Hi: 0.4}, 0.99
		}},
		{"rises and levels", "refrigerant boiling", "evacuate", func(e *decay.Estimate) {
			e.Levelling = decay.Interval{Value: 20000, Lo: 16000, Hi: 24000}
		}},
		{"lifted twice", "supply valve not shut", "shut the cylinder", func(e *decay.Estimate) {
			e.Steps = []decay.Step{{At: 900, By: 3000}, {At: 1800, By: 3000}}
			e.Warnings = []decay.Warning{{Code: decay.ManySteps, Text: "jumped twice"}}
		}},
		{"one step down that could have been gas", "", "", func(e *decay.Estimate) {
			e.Steps = []decay.Step{{At: 900, By: -9000}}
		}},
		{"the sensor stands still", "frozen sensor", "", func(e *decay.Estimate) { e.Frozen = true }},
		{"the sensor never moved", "frozen sensor", "not changed", func(e *decay.Estimate) {
			e.Warnings = []decay.Warning{{Code: decay.NeverMoved, Text: "it has not changed"}}
		}},
		{"something changed a moment ago", "", "", func(e *decay.Estimate) { e.Changing = 3400 }},
	} {
		in := input(1000, 1000)
		if v := verdict.Judge(in); v.Word != verdict.Tight {
			t.Fatalf("the plain hold is %s", v.Word)
		}
		c.change(&in.Estimate)
		v := verdict.Judge(in)
		if v.Word != verdict.Unproven {
			t.Errorf("%s: %s, %s", c.name, v.Word, v.Phrase)
		}
		found := c.cause == ""
		for _, x := range v.Causes {
			found = found || strings.HasPrefix(x.Cause, c.cause) && strings.Contains(x.Evidence, c.next)
		}
		if !found {
			t.Errorf("%s: %q and %q are not among the causes %v", c.name, c.cause, c.next, v.Causes)
		}
	}
}

// A fall that became slower may be a gauge that was cut off. The word is not tight,
// whatever is left, and it says how to find out.
func TestAFallThatBecameSlowerIsNeverTight(t *testing.T) {
	in := input(1000, 1000)
	in.Slowed = 1800
	v := verdict.Judge(in)
	if v.Word != verdict.Unproven || !strings.Contains(v.Phrase, "gauge cut off") || v.MoreHold != -1 {
		t.Errorf("%s, %s, %g s more", v.Word, v.Phrase, v.MoreHold)
	}
	if len(v.Causes) < 2 || !strings.Contains(v.Causes[0].Evidence, "since about 30m") || !strings.Contains(v.Advice[0], "must fall at once") {
		t.Errorf("causes %v, advice %q", v.Causes, v.Advice)
	}
}

// A dead sensor is the only cause: what else its readings look like is not to be believed.
func TestADeadSensorIsNotAlsoASupplyThatFeeds(t *testing.T) {
	in := input(-5000, 1000)
	in.Estimate.Warnings = []decay.Warning{{Code: decay.NeverMoved, Text: "it has not changed"}}
	v := verdict.Judge(in)
	if len(v.Causes) != 1 || v.MoreHold != -1 || !strings.Contains(v.Advice[0], "Check the sensor") {
		t.Errorf("causes %v, advice %q, %g s more", v.Causes, v.Advice, v.MoreHold)
	}
}

// What could hide is never nothing: a rise by chance is an error of its size. And what
// could hide is below the limit in every tight hold, and above it in an open one that is at its end.
func TestWhatCouldHideGoesWithTheWord(t *testing.T) {
	for _, c := range []struct {
		value, step, want float64
		word              verdict.Word
	}{
		{-2500, 0, 4500, verdict.Tight},
		{-2500, -1000, 5500, verdict.Tight},
		{2500, 0, 4500, verdict.Tight},
		{2500, 1000, 4500, verdict.Tight},
		{7900, 0, 9900, verdict.Tight},
		{8100, 0, 10100, verdict.Unproven},
		{-3500, -4600, 10100, verdict.Unproven},
	} {
		in := input(c.value, 1000)
		in.Estimate.Steps = []decay.Step{{At: 900, By: c.step}}
		v := verdict.Judge(in)
		if got := v.Hides.Rate.PerHour(); v.Word != c.word || math.Abs(got-c.want) > 1 {
			t.Errorf("%+.0f Pa/h and a step of %+.0f Pa: %s, up to %.0f Pa/h could hide; want %s, %.0f", c.value, c.step, v.Word, got, c.word, c.want)
		}
	}
}

func TestAThermometerIsNotBlamedForALeakThatOpened(t *testing.T) {
	in := input(50000, 1000)
	in.Estimate.Follows = decay.Interval{Value: -1, Lo: -1.2, Hi: -0.8}
	blamed := func() bool {
		for _, c := range verdict.Judge(in).Causes {
			if strings.HasPrefix(c.Cause, "thermometer") {
				return true
			}
		}
		return false
	}
	if !blamed() {
		t.Error("a reversed thermometer is not named")
	}
	in.Estimate.OpenedAt, in.Estimate.CalledAt = 1800, 1830
	if blamed() {
		t.Error("a leak that opened is put on the thermometer")
	}
}

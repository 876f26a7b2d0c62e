package verdict_test

import (
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
		{"the sensor stands still", "", "", func(e *decay.Estimate) { e.Frozen = true }},
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

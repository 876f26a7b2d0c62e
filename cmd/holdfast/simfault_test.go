package main

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"example.org/holdfast/internal/bench"
	"example.org/holdfast/internal/hold"
)

func TestSimulatedFaultsAreRead(t *testing.T) {
	for _, c := range []struct {
		text string
		want bench.Event
	}{
		{"freeze@20m/2m", bench.Event{Kind: bench.Freeze, At: 1200, For: 120}},
		{"dropout@10m", bench.Event{Kind: bench.Dropout, At: 600, For: 60}},
		{"spike@90s=0.5bar", bench.Event{Kind: bench.Spike, At: 90, For: 1, Size: 50e3}},
		{"step@12m=-20mbar", bench.Event{Kind: bench.Step, At: 720, For: 1e9, Size: -2000}},
		{"touch@15m/5s=4K", bench.Event{Kind: bench.Touch, At: 900, For: 5, Size: 4}},
	} {
		if got, err := parseSimFault(c.text); err != nil || got.Kind != c.want.Kind || got.At != c.want.At || got.For != c.want.For || math.Abs(got.Size-c.want.Size) > 1e-9 {
			t.Errorf("%q: %+v, %v", c.text, got, err)
		}
	}
	for _, text := range []string{"", "freeze", "melt@5m", "freeze@soon", "freeze@5m/", "freeze@5m=1bar", "step@5m=1K", "touch@5m=1bar"} {
		if e, err := parseSimFault(text); err == nil || !strings.Contains(err.Error(), "freeze@20m") {
			t.Errorf("%q: %+v, %v", text, e, err)
		}
	}
}

// A live hold of half an hour on the simulated bench, with each fault in it, ends without a false alarm.
func TestFaultsOnDemandReachTheHold(t *testing.T) {
	for _, fault := range []string{"freeze@15m/4m", "dropout@15m/2m", "spike@15m", "touch@15m"} {
		t.Run(fault, func(t *testing.T) {
			t.Parallel()
			_, with := record(t, simFlags{SimLeak: "0", SimSeed: 2, SimFault: []string{fault}}, nil)
			_, without := record(t, simFlags{SimLeak: "0", SimSeed: 2}, nil)
			if with.Verdict.Word.ExitCode() == 1 {
				t.Errorf("a tight section is called leaking")
			}
			if alike(with, without) {
				t.Error("the hold is as without the fault")
			}
		})
	}
}

func alike(a, b *hold.State) bool {
	return a.Samples == b.Samples && a.Rejected == b.Rejected && fmt.Sprint(a.Estimate) == fmt.Sprint(b.Estimate)
}

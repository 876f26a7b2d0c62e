package main

import (
	"fmt"
	"strings"

	"example.org/holdfast/internal/bench"
	"example.org/holdfast/internal/units"
)

// simFault is a fault that the simulated instruments can have, and what it is
// like if nothing more is said.
type simFault struct {
	name string
	kind bench.EventKind
	last float64 // s
	size float64 // Pa or K; 0 = it has none
}

func simFaults() []simFault {
	const good = 1e9 // s: from then on
	return []simFault{
		{"freeze", bench.Freeze, good, 0},
		{"dropout", bench.Dropout, 60, 0},
		{"spike", bench.Spike, 1, 50e3},
		{"step", bench.Step, good, 5e3},
		{"hand", bench.Hand, 60, 3},
		{"touch", bench.Touch, 10, 5},
		{"stuck", bench.Stuck, good, 0},
	}
}

const simFaultHelp = "write KIND@TIME, then /HOW-LONG and =SIZE if wanted: freeze@20m/2m, dropout@10m/30s, spike@5m=0.5bar, step@12m=-20mbar, touch@15m=4K, hand@15m, stuck@8m"

// parseSimFault reads "step@12m/5m=-20mbar"; times count from the start of the simulated hold.
func parseSimFault(text string) (bench.Event, error) {
	bad := func(why string) (bench.Event, error) {
		return bench.Event{}, fmt.Errorf("--sim-fault %q %s; %s", text, why, simFaultHelp)
	}
	rest, size, sized := strings.Cut(text, "=")
	name, when, found := strings.Cut(rest, "@")
	when, long, lasting := strings.Cut(when, "/")
	for _, f := range simFaults() {
		if f.name != name || !found {
			continue
		}
		at, err := units.ParseDuration(when)
		if err != nil || at < 0 {
			return bad("has no time")
		}
		e := bench.Event{Kind: f.kind, At: at.Seconds(), For: f.last, Size: f.size}
		if lasting {
			d, err := units.ParseDuration(long)
			if err != nil || d <= 0 {
				return bad("has no duration behind the /")
			}
			e.For = d.Seconds()
		}
		if sized {
			if e.Size, err = faultSize(f, size); err != nil {
				return bad("has no size of its kind")
			}
		}
		return e, nil
	}
	return bad("is not understood")
}

// faultSize reads the size of a fault: kelvin for what is warm, else a pressure.
func faultSize(f simFault, text string) (float64, error) {
	switch {
	case f.size == 0:
		return 0, fmt.Errorf("a %s has no size", f.name)
	case f.kind == bench.Hand || f.kind == bench.Touch:
		d, err := units.ParseTempDiff(text)
		return float64(d), err
	}
	d, err := units.ParsePressureDiff(text)
	return float64(d), err
}

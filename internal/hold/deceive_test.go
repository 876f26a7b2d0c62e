package hold_test

import (
	"math"
	"testing"

	"example.org/holdfast/internal/bench"
	"example.org/holdfast/internal/hold"
	"example.org/holdfast/internal/holdlog"
	"example.org/holdfast/internal/units"
	"example.org/holdfast/internal/verdict"
)

// Holds that are made to look tight, to a limit of 0.4 %/h. What is said last counts.
func TestWhatOnlyLooksTightIsNot(t *testing.T) {
	seconds := func(h float64) float64 { return h * 3600 }
	for _, c := range []struct {
		name   string
		change func(p *bench.Params)
		read   func(b bench.Sample, s *holdlog.Sample)
		want   verdict.Word
	}{
		{"plain", nil, nil, verdict.Tight},
		{"a leak of 6 %/h that opens 4 min before the end", func(p *bench.Params) { p.Leak, p.LeakOpensAt = 0.06, p.Hold-240 }, nil, verdict.Unproven},
		{"a sensor that stops after 20 min", func(p *bench.Params) {
			p.Leak, p.Events = 0.006, []bench.Event{{Kind: bench.Freeze, At: 1200, For: p.Hold}}
		}, nil, verdict.Unproven},
		{"a leak of 2 %/h that flux plugs after 40 min", nil, func(b bench.Sample, s *holdlog.Sample) {
			s.Pressure *= math.Exp(-0.02 * math.Min(b.T, 2400) / 3600)
		}, verdict.Unproven},
		{"a room that warms as fast as the gas leaks, seen in half degrees", func(p *bench.Params) {
			p.Leak, p.RoomProbe.Step = 0.006, 0.5
			p.Room = bench.Room{Kind: bench.Drift, Mean: units.FromCelsius(20), Slope: 1.76, Flutter: bench.Wander{SD: 0.04, Tau: 500}}
		}, nil, verdict.Leaking},
	} {
		for seed := range uint64(2) {
			p := bench.BottleCooler(0)
			p.Room, _ = bench.RoomNamed("still")
			p.Hold, p.Interval = seconds(2), 5
			if c.change != nil {
				c.change(&p)
			}
			var last *hold.State
			watch(p, seed, holdlog.Settings{For: p.Hold, Limit: "0.4%/h"}, func(b bench.Sample) holdlog.Sample {
				s := sent(b)
				if c.read != nil {
					c.read(b, &s)
				}
				return s
			}, func(_ bench.Sample, st *hold.State) bool { last = st; return true })
			if v := last.Verdict; v.Word != c.want {
				t.Errorf("%s, seed %d: %s, %s; want %s", c.name, seed, v.Word, v.Phrase, c.want)
			}
		}
	}
}

// One wrong reading is no filling; pressure that stays up is one.
func TestASpikeIsNoNewFilling(t *testing.T) {
	p := bench.BottleCooler(0)
	p.Hold, p.Interval = 1200, 2
	for _, c := range []struct {
		lasts    float64 // s
		segments int
	}{{2, 1}, {4, 1}, {120, 2}} {
		var last *hold.State
		watch(p, 1, holdlog.Settings{}, func(b bench.Sample) holdlog.Sample {
			s := sent(b)
			if b.T >= 600 && b.T < 600+c.lasts {
				s.Pressure *= 1.03
			}
			return s
		}, func(_ bench.Sample, st *hold.State) bool { last = st; return true })
		if last.Segment != c.segments {
			t.Errorf("up for %.0f s: %d fillings, want %d", c.lasts, last.Segment, c.segments)
		}
	}
}

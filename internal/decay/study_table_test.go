package decay_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"example.org/holdfast/internal/bench"
)

// size is how many holds a part of the study has.
func size(quick, full int) int {
	if *study == "full" {
		return full
	}
	return quick
}

// The study: simulated holds of four physics (D is built otherwise than the
// model and was not tuned on), five rooms, three sensors, three flow laws. It
// prints the table and holds the claims. All data invented; run the whole of it
// with
//
//	go test -run Study -study=full -v ./internal/decay/
//
// The quick form has too few holds for the claims proper and holds looser ones.
func TestStudyCoverage(t *testing.T) {
	os := population(size(24, 2400), 7, nil, false)
	groups := map[string]*tally{}
	put := func(name string, o outcome) {
		if groups[name] == nil {
			groups[name] = &tally{}
		}
		groups[name].add(o)
	}
	for _, o := range os {
		put(" all", o)
		if o.share() < 0.02 {
			put(" small leaks", o)
			put(fmt.Sprintf("small, %.1f h", o.p.Hold/3600), o)
		} else {
			put(" large leaks", o)
		}
		put("physics "+o.p.Name, o)
		put("room "+o.p.Room.Kind.String(), o)
		put("law "+o.p.Law.String(), o)
	}
	var names []string
	for name := range groups {
		names = append(names, name)
	}
	slices.Sort(names)
	for _, name := range names {
		t.Logf("%-16s %s", name, groups[name])
	}
	all := groups[" all"]
	cover := float64(all.cover) / float64(all.n)
	if cover < 0.85 || *study == "full" && (cover < 0.94 || cover > 0.995) {
		t.Errorf("coverage %.3f, want 0.94 to 0.99", cover)
	}
	for name, g := range groups {
		if c := float64(g.cover) / float64(g.n); g.n >= 300 && c < 0.90 {
			t.Errorf("%s: coverage %.3f, want at least 0.90", name, c)
		}
	}
	if all.sq > sq(0.2)*all.mpSq {
		t.Errorf("rms error %.0f is more than a fifth of the mass-point fit's %.0f", math.Sqrt(all.sq/float64(all.n)), math.Sqrt(all.mpSq/float64(all.n)))
	}
	if float64(all.mpCover) > 0.5*float64(all.n) {
		t.Errorf("the mass-point fit covers %d of %d: this population is no test", all.mpCover, all.n)
	}
}

func sq(x float64) float64 { return x * x }

func TestStudyFalseAlarms(t *testing.T) {
	os := population(size(8, 1200), 11, func(_ int, _ *rand.Rand, p *bench.Params) bool {
		p.Leak, p.Hold = 0, math.Max(p.Hold, 3600)
		return true
	}, false)
	bad := 0
	for _, o := range os {
		if o.est.CalledAt >= 0 {
			bad++
			t.Logf("false: physics %s, %s room, braze %v, at %.0f s", o.p.Name, o.p.Room.Kind, o.p.Thermal.Braze, o.est.CalledAt)
		}
	}
	t.Logf("false alarms, looked at every row: %d of %d tight holds", bad, len(os))
	if bad > 1+len(os)/100 {
		t.Errorf("%d false alarms of %d", bad, len(os))
	}
}

func TestStudyTimeToCall(t *testing.T) {
	for _, c := range []struct{ leak, within float64 }{{0.004, 90}, {0.012, 45}, {0.04, 20}, {0.15, 11}, {1, 8}} {
		os := population(size(4, 120), 13, func(_ int, _ *rand.Rand, p *bench.Params) bool {
			p.Leak, p.Hold = c.leak, 7200
			return true
		}, false)
		var at, rel []float64
		opened := 0
		for _, o := range os {
			m := o.est.CalledAt / 60
			if m < 0 {
				m = math.Inf(1)
			}
			at = append(at, m)
			rel = append(rel, math.Abs(o.rate().Value/o.truth-1))
			if o.est.OpenedAt >= 0 {
				opened++
			}
		}
		slices.Sort(at)
		slices.Sort(rel)
		t.Logf("%5.1f %%/h: called after %.0f min (median), %.0f (90 %%); error %.3f (median); taken for one that opened: %d of %d", 100*c.leak, at[len(at)/2], at[len(at)*9/10], rel[len(rel)/2], opened, len(os))
		if at[len(at)/2] > c.within {
			t.Errorf("%.1f %%/h: median %.0f min, want %.0f", 100*c.leak, at[len(at)/2], c.within)
		}
		if opened > len(os)/20 {
			t.Errorf("%.1f %%/h: %d of %d steady leaks taken for one that opened", 100*c.leak, opened, len(os))
		}
	}
}

func TestStudyFalseTight(t *testing.T) {
	for _, c := range []struct{ times, most float64 }{{1, 0.025}, {1.2, 0.01}, {1.6, 0.01}} {
		os := population(size(6, 400), 17, func(_ int, _ *rand.Rand, p *bench.Params) bool {
			p.Leak, p.Hold = c.times*tightLimit, 3600
			return true
		}, false)
		early, final := 0, 0
		for _, o := range os {
			if o.tightAt >= 0 {
				early++
			}
			if o.est.Rate.Value+2*o.est.SE < tightLimit*o.est.Start/3600 {
				final++
			}
		}
		t.Logf("leak of %.1f times the limit: called tight under way %d, at the end %d of %d", c.times, early, final, len(os))
		if float64(early) > 1+c.most*float64(len(os)) || float64(final) > 1+c.most*float64(len(os)) {
			t.Errorf("leak of %.1f times the limit: tight %d and %d of %d", c.times, early, final, len(os))
		}
	}
}

func TestStudyLeakOpensMidway(t *testing.T) {
	for _, leak := range []float64{0.03, 0.06, 0.2} {
		os := population(size(2, 120), 19, func(_ int, rng *rand.Rand, p *bench.Params) bool {
			p.Leak, p.LeakOpensAt, p.Hold = leak, 1500+1500*rng.Float64(), 7200
			return true
		}, false)
		var delay []float64
		cover := 0
		for _, o := range os {
			d := math.Inf(1)
			if o.est.OpenedAt >= 0 {
				d = (o.est.CalledAt - o.p.LeakOpensAt) / 60
				if o.covered() {
					cover++
				}
			}
			delay = append(delay, d)
		}
		slices.Sort(delay)
		t.Logf("opens midway, %.0f %%/h: declared after %.0f min (median), %.0f (90 %%); interval since then covers %d of %d", 100*leak, delay[len(delay)/2], delay[len(delay)*9/10], cover, len(os))
		if delay[len(delay)/2] > 16 {
			t.Errorf("%.0f %%/h: declared after %.0f min", 100*leak, delay[len(delay)/2])
		}
	}
}

// disturbances are what happens beside a bench, and what coverage is promised.
// Steps of the sensor and a touched thermometer are weak spots, known and said.
var disturbances = []struct {
	name  string
	event bench.Event // At is drawn
	cover float64
}{
	{"hand on the part", bench.Event{Kind: bench.Hand, For: 60, Size: 1}, 0.92},
	{"spike", bench.Event{Kind: bench.Spike, For: 3, Size: 20000}, 0.92},
	{"gap of 10 min", bench.Event{Kind: bench.Dropout, For: 600}, 0.92},
	{"pressure frozen 20 min", bench.Event{Kind: bench.Freeze, For: 1200}, 0.90},
	{"thermometer stuck 20 min", bench.Event{Kind: bench.Stuck, For: 1200}, 0.90},
	{"sensor steps 15 mbar", bench.Event{Kind: bench.Step, For: 1e9, Size: 1500}, 0.75},
	{"thermometer touched", bench.Event{Kind: bench.Touch, For: 20, Size: 4}, 0.70},
}

func TestStudyDisturbances(t *testing.T) {
	for _, d := range disturbances {
		os := population(size(4, 160), 29, func(i int, rng *rand.Rand, p *bench.Params) bool {
			p.Leak, p.Hold = 0, 3600
			if i%8 >= 4 { // half of each physics
				p.Leak = 0.002 + 0.015*rng.Float64()
			}
			e := d.event
			e.At = 900 + 2000*rng.Float64()
			p.Events = []bench.Event{e}
			return true
		}, false)
		cover, bad, tight := 0, 0, 0
		for _, o := range os {
			if o.covered() {
				cover++
			}
			if o.truth == 0 {
				tight++
				if o.est.CalledAt >= 0 {
					bad++
				}
			}
		}
		t.Logf("%-26s coverage %.3f, false alarms %d of %d", d.name, float64(cover)/float64(len(os)), bad, tight)
		if *study == "full" && float64(cover) < d.cover*float64(len(os)) {
			t.Errorf("%s: coverage %d of %d, want %.2f", d.name, cover, len(os), d.cover)
		}
	}
}

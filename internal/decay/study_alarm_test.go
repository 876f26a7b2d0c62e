package decay_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"example.org/holdfast/internal/bench"
	"example.org/holdfast/internal/verdict"
)

// studyAlarms watches tight holds at every row.
func studyAlarms(t *testing.T) {
	s := sample{n: size(8, 1002), seed: 11, change: func(i int, _ *rand.Rand, p *bench.Params) {
		p.Leak, p.Hold = 0, 3600*holdHours[1+i/4%size(2, 3)]
	}}
	os := s.play()
	t.Logf("tight holds of 1 to 4 h, looked at every row (seed %d)", s.seed)
	falseAlarms(t, os, 0.01)
	onTheWay(t, os)
}

// falseAlarms counts the tight holds that rang and wants them to be at most a share.
func falseAlarms(t *testing.T, os []outcome, share float64) {
	t.Helper()
	tight, rang := 0, 0
	for i := range os {
		o := &os[i]
		if o.truth > 0 {
			continue
		}
		tight++
		if o.est.CalledAt >= 0 {
			rang++
			t.Logf("hold %d rang after %.0f min (%s): physics %s, %s room, %.1f bar, braze %v", i, o.est.CalledAt/60, o.est.CalledWhy, o.kind, o.p.Room.Kind, float64(o.p.StartPressure)/1e5, o.p.Thermal.Braze)
		}
	}
	t.Logf("false alarms: %d of %d tight holds", rang, tight)
	if rang > most(tight, share) {
		t.Errorf("%d false alarms of %d", rang, tight)
	}
}

// onTheWay is the coverage of tight holds while they last.
func onTheWay(t *testing.T, os []outcome) {
	for i, at := range looks {
		n, cover, nC, coverC := 0, 0, 0, 0
		for j := range os {
			if o := &os[j]; len(o.early) > i {
				hit := 0
				if covers(o.early[i], 0) {
					hit = 1
				}
				n, cover = n+1, cover+hit
				if o.kind == bench.PhysicsC {
					nC, coverC = nC+1, coverC+hit
				}
			}
		}
		if n == 0 {
			continue
		}
		t.Logf("the same holds after %3.0f min: coverage %.3f of %d; physics C %.3f", at/60, float64(cover)/float64(n), n, float64(coverC)/float64(nC))
		if cover < least(n, 0.94) {
			t.Errorf("after %.0f min: coverage %d of %d", at/60, cover, n)
		}
	}
}

// studyTimeToCall is how long a leak of known size goes unnoticed.
func studyTimeToCall(t *testing.T) {
	for i, c := range []struct{ leak, within float64 }{
		{0.002, 120}, {0.004, 76}, {0.008, 60}, {0.012, 45}, {0.04, 20}, {0.15, 11}, {1, 8},
	} {
		s := sample{n: size(4, 80), seed: 400 + uint64(i), change: func(_ int, _ *rand.Rand, p *bench.Params) {
			p.Leak, p.Hold = c.leak, 7200
			if !full() {
				p.Hold = min(7200, 120*c.within)
			}
		}}
		os := s.play()
		var at []float64
		y, never := tallyOf(os, nil), 0
		for j := range os {
			m := os[j].est.CalledAt / 60
			if m < 0 {
				m = math.Inf(1)
				never++
			}
			at = append(at, m)
		}
		t.Logf("%5.1f %%/h: called after %.0f min (median), %.0f (nine in ten), not within 2 h %d of %d; error %.3f (median), coverage %.3f (seed %d)",
			100*c.leak, quantile(at, 0.5), quantile(at, 0.9), never, s.n, y.error(), y.share(y.cover), s.seed)
		if m := quantile(at, 0.5); m > c.within {
			t.Errorf("%.1f %%/h: median %.0f min, want %.0f", 100*c.leak, m, c.within)
		}
	}
}

// studyPinholes wants a steady fast leak not to be taken for one that opened.
func studyPinholes(t *testing.T) {
	for i, leak := range []float64{0.1, 0.4, 1, 1.6} {
		s := sample{n: size(4, 100), seed: 500 + uint64(i), change: func(_ int, _ *rand.Rand, p *bench.Params) {
			p.Leak, p.Hold = leak, 3600
		}}
		os := s.play()
		opened := 0
		for j := range os {
			if os[j].est.OpenedAt >= 0 {
				opened++
			}
		}
		y := tallyOf(os, nil)
		t.Logf("steady %3.0f %%/h: taken for one that opened %d of %d; coverage %.3f, error %.3f (seed %d)", 100*leak, opened, s.n, y.share(y.cover), y.error(), s.seed)
		if opened > most(s.n, 0.02) {
			t.Errorf("steady %.0f %%/h: %d of %d taken for one that opened", 100*leak, opened, s.n)
		}
	}
}

// studyFalseTight wants no tight for a leak at the limit or above, by the rules of
// the product: on the way at every row, and once more at the end.
func studyFalseTight(t *testing.T) {
	const limit = 0.005
	for i, c := range []struct{ times, share float64 }{{1, 0.025}, {1.2, 0.01}, {1.6, 0.01}} {
		s := sample{n: size(4, 400), seed: 600 + uint64(i), limit: limit, change: func(i int, _ *rand.Rand, p *bench.Params) {
			p.Leak, p.Hold = c.times*limit, 3600*float64(1+i/4%2)
		}}
		way, end := 0, 0
		for _, o := range s.play() {
			if o.tightAt >= 0 {
				way++
			}
			if o.end == verdict.Tight {
				end++
			}
		}
		t.Logf("leak of %.1f times the limit (0.5 %%/h), 1 and 2 h: judged tight on the way %d, at the end %d of %d (seed %d)", c.times, way, end, s.n, s.seed)
		if bad := max(way, end); bad > most(s.n, c.share) {
			t.Errorf("leak of %.1f times the limit: judged tight %d of %d", c.times, bad, s.n)
		}
	}
	s := sample{n: size(4, 120), seed: 610, limit: limit, change: func(_ int, _ *rand.Rand, p *bench.Params) { p.Leak, p.Hold = 0, 7200 }}
	var at []float64
	for _, o := range s.play() {
		if o.tightAt < 0 {
			o.tightAt = math.Inf(1)
		}
		at = append(at, o.tightAt/60)
	}
	t.Logf("tight: judged tight to 0.5 %%/h after %.0f min (median), %.0f (nine in ten) (seed %d)", quantile(at, 0.5), quantile(at, 0.9), s.seed)
	below(t, "median minutes to tight", quantile(at, 0.5), 45)
}

// studyFalseLeaking wants no leaking for a tight section, however small the limit:
// then the interval, not the alarm, is the first that could err.
func studyFalseLeaking(t *testing.T) {
	for i, limit := range []float64{0.0001, 0.002} {
		s := sample{n: size(8, 400), seed: 650 + uint64(i), limit: limit, change: func(i int, _ *rand.Rand, p *bench.Params) {
			p.Leak, p.Hold = 0, 3600*float64(1+i/4%2)
		}}
		way, end := 0, 0
		for _, o := range s.play() {
			if o.leakAt >= 0 {
				way++
			}
			if o.end == verdict.Leaking {
				end++
			}
		}
		t.Logf("tight, limit %.2f %%/h, 1 and 2 h: judged leaking on the way %d, at the end %d of %d (seed %d)", 100*limit, way, end, s.n, s.seed)
		if bad := max(way, end); bad > most(s.n, 0.01) {
			t.Errorf("limit %.2f %%/h: judged leaking %d of %d", 100*limit, bad, s.n)
		}
	}
}

// studyOpensMidway is how soon a leak that opens during the hold is told as such.
func studyOpensMidway(t *testing.T) {
	for i, leak := range []float64{0.03, 0.06, 0.2} {
		s := sample{n: size(4, 80), seed: 700 + uint64(i), change: func(_ int, rng *rand.Rand, p *bench.Params) {
			p.Leak, p.LeakOpensAt, p.Hold = leak, 1500+1500*rng.Float64(), 7200
		}}
		os := s.play()
		var delay []float64
		for j := range os {
			d := math.Inf(1)
			if o := &os[j]; o.est.OpenedAt >= 0 {
				d = (o.est.CalledAt - o.p.LeakOpensAt) / 60
			}
			delay = append(delay, d)
		}
		declared := tallyOf(os, func(o *outcome) bool { return o.est.OpenedAt >= 0 })
		name := fmt.Sprintf("opens midway, %.0f %%/h", 100*leak)
		t.Logf("%s: declared %d of %d, after %.0f min (median), %.0f (nine in ten); interval since then covers %d; error %.3f (seed %d)",
			name, declared.n, s.n, quantile(delay, 0.5), quantile(delay, 0.9), declared.cover, declared.error(), s.seed)
		if d := quantile(delay, 0.5); d > 16 {
			t.Errorf("%s: declared after %.0f min", name, d)
		}
		if full() {
			declared.covers(t, name, 0.90)
		}
	}
}

// disturbances are what happens beside a bench, with the coverage that is promised.
var disturbances = []struct {
	name   string
	event  bench.Event // At is drawn
	cover  float64
	alarms float64 // share of the tight holds that may ring
}{
	{"hand on the part", bench.Event{Kind: bench.Hand, For: 60, Size: 1}, 0.92, 0.01},
	{"spike", bench.Event{Kind: bench.Spike, For: 3, Size: 20000}, 0.92, 0.01},
	{"gap of 10 min", bench.Event{Kind: bench.Dropout, For: 600}, 0.92, 0.01},
	{"pressure frozen 20 min", bench.Event{Kind: bench.Freeze, For: 1200}, 0.92, 0.01},
	{"thermometer stuck 20 min", bench.Event{Kind: bench.Stuck, For: 1200}, 0.92, 0.01},
	{"sensor steps up 15 mbar", bench.Event{Kind: bench.Step, Size: 1500}, 0.85, 0.03},
	{"sensor steps down 15 mbar", bench.Event{Kind: bench.Step, Size: -1500}, 0.85, 0.03},
	{"thermometer touched", bench.Event{Kind: bench.Touch, For: 20, Size: 4}, 0.80, 0.03},
}

func studyDisturbed(t *testing.T) {
	t.Log(columns)
	for i, d := range disturbances {
		s := sample{n: size(4, 160), seed: 800 + uint64(i), change: func(i int, rng *rand.Rand, p *bench.Params) {
			p.Leak, p.Hold = 0, 3600
			if (i+i/4)%2 == 1 { // half of each physics
				p.Leak = 0.002 + 0.015*rng.Float64()
			}
			e := d.event
			e.At = 900 + 2000*rng.Float64()
			p.Events = []bench.Event{e}
		}}
		os := s.play()
		y := tallyOf(os, nil)
		t.Logf("%-31s %s  (seed %d)", d.name, y, s.seed)
		y.covers(t, d.name, d.cover)
		falseAlarms(t, os, d.alarms)
	}
}

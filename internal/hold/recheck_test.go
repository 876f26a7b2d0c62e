package hold_test

import (
	"math"
	"strings"
	"testing"

	"example.org/holdfast/internal/bench"
	"example.org/holdfast/internal/gas"
	"example.org/holdfast/internal/hold"
	"example.org/holdfast/internal/holdlog"
	"example.org/holdfast/internal/units"
)

// touched runs a simulated hold whose loss is before until a mark and after
// from then on, Pa/h, and looks again some time after the mark.
func touched(room string, seed uint64, before, after, markAt, lookAfter float64) *hold.Recheck {
	p := bench.Params{Gas: gas.Nitrogen(), Volume: 0.1e-3, StartPressure: 11e5, Hold: markAt + lookAfter, Interval: 5}
	p.Barometer.Mean = units.StandardAtmosphere
	p.Room, _ = bench.RoomNamed(room)
	p.Thermal = bench.Thermal{Nodes: []bench.Node{{Weight: 1, Lag: 180}}, Fill: []bench.Heat{{Rise: 3, Tau: 120}}}
	p.Sensor = bench.Sensor{Range: 25e5, Noise: 150, Step: 10}
	p.RoomProbe = bench.Thermometer{Lag: 20, Noise: 0.02, Step: 0.0625}
	p.SectionProbe.None = true
	b := bench.New(p, seed)
	h := hold.New()
	h.Apply(holdlog.HeaderRecord(holdlog.Header{Settings: holdlog.Settings{For: 7200}}, 0))
	marked := false
	for t := 0.0; t <= p.Hold; t += 5 {
		at := b.At(t)
		m := holdlog.NoSample()
		m.Ref, m.Ambient = units.AbsoluteRef, at.Ambient
		m.Pressure = float64(at.Pressure) - before/3600*math.Min(t, markAt) - after/3600*math.Max(t-markAt, 0)
		h.Apply(holdlog.Record{Kind: holdlog.KindSample, Elapsed: t, Sample: m})
		if t >= markAt && !marked {
			marked = true
			h.Apply(holdlog.Record{Kind: holdlog.KindMark, Elapsed: t, Text: "cap tightened"})
		}
	}
	return h.State().Recheck
}

// Where nothing changed, a change is called in at most 5 of 100 looks and
// somewhat more for so few; and the interval holds zero as often.
func TestRecheckRarelySeesAChangeThatIsNone(t *testing.T) {
	wrong, n := 0, 0
	for seed := range uint64(8) {
		for _, room := range []string{"still", "drift", "heater"} {
			r := touched(room, seed+1, 6000, 6000, 2400, 900)
			if r == nil || r.Changed == hold.CannotTell {
				continue
			}
			n++
			if r.Changed != hold.NoChange {
				wrong++
			}
		}
	}
	if n < 16 || float64(wrong) > 0.1*float64(n) {
		t.Errorf("%d of %d looks see a change that is none", wrong, n)
	}
	t.Logf("%d of %d", wrong, n)
}

// A cap that ends most of a leak of 1 bar an hour shows within ten minutes, and the interval holds the truth.
func TestRecheckSeesWhatATouchChanged(t *testing.T) {
	seen, held, n := 0, 0, 0
	for seed := range uint64(10) {
		for _, c := range []struct {
			before, after float64
			want          hold.Changed
		}{{100000, 10000, hold.Less}, {5000, 60000, hold.More}} {
			r := touched("still", 100+seed, c.before, c.after, 2400, 660)
			if r == nil {
				t.Fatal("no look")
			}
			n++
			truth := (c.after - c.before) / 3600
			if r.Changed == c.want {
				seen++
			}
			if r.Lo <= truth && truth <= r.Hi {
				held++
			}
		}
	}
	t.Logf("seen %d, interval holds %d, of %d", seen, held, n)
	if seen < n || float64(held) < 0.8*float64(n) {
		t.Errorf("seen %d, interval holds %d, of %d", seen, held, n)
	}
}

func TestRecheckSaysWhenItCannotTell(t *testing.T) {
	for name, r := range map[string]*hold.Recheck{
		"just after the mark": touched("still", 1, 50000, 0, 2400, 120),
		"not settled":         touched("still", 1, 50000, 0, 240, 120),
	} {
		if r == nil || r.Changed != hold.CannotTell || !strings.Contains(r.Words("bar"), "cannot be told yet") {
			t.Errorf("%s: %+v", name, r)
		}
	}
}

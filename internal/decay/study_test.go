package decay_test

import (
	"flag"
	"fmt"
	"math"
	"math/rand/v2"
	"runtime"
	"slices"
	"sync"
	"testing"

	"example.org/holdfast/internal/bench"
	"example.org/holdfast/internal/decay"
	"example.org/holdfast/internal/units"
)

var study = flag.String("study", "quick", "how much of the study to run: quick or full")

// outcome is one simulated hold and what was made of it.
type outcome struct {
	p         bench.Params
	seed      uint64
	truth     float64 // Pa/h at the start pressure
	est       decay.Estimate
	massPoint classical
	twoPoint  float64 // Pa/h
	early     []look
	tightAt   map[float64]float64 // limit (share/h) -> s when first called tight at the early rule
}

// look is the estimate at some time on the way.
type look struct {
	t, value, lo, hi float64
}

// classical is the straight-line fit of temperature-corrected pressure.
type classical struct{ value, half float64 }

func (o outcome) rate() decay.Interval {
	r := o.est.Rate
	return decay.Interval{Value: r.Value * 3600, Lo: r.Lo * 3600, Hi: r.Hi * 3600}
}

func (o outcome) covered() bool { r := o.rate(); return r.Lo <= o.truth && o.truth <= r.Hi }

func (o outcome) share() float64 { return o.truth / float64(o.p.StartPressure) } // 1/h

// run plays a simulated hold into the engine and into the classical methods.
func run(p bench.Params, seed uint64, strap bool) outcome {
	b := bench.New(p, seed)
	p = b.Params()
	tr := b.Truth()
	o := outcome{p: p, seed: seed, truth: tr.Rate.PerHour(), tightAt: map[float64]float64{}}
	h := decay.New(decay.Config{
		Gas: p.Gas.Plain(), Atmosphere: float64(units.StandardAtmosphere), FullScale: float64(p.Sensor.Range),
	})
	for t := -p.PreRecord; t < 0; t += 10 {
		s := b.At(t)
		h.Ambient(t, float64(s.Ambient), float64(s.Section))
	}
	var mp massPoint
	changes := 0
	for t := 0.0; t <= p.Hold; t += p.Interval {
		s := b.At(t)
		if s.Missing {
			continue
		}
		section := math.NaN()
		if strap {
			section = float64(s.Section)
		}
		h.Add(decay.Sample{T: t, P: float64(s.Pressure), Ambient: float64(s.Ambient), Section: section})
		if !p.RoomProbe.None {
			mp.add(t, float64(s.Pressure), float64(s.Ambient))
		}
		if n := h.Changes(); n != changes && t > 0 {
			changes = n
			o.note(h, t)
		}
	}
	o.est = h.Estimate()
	o.massPoint = mp.fit()
	o.twoPoint = mp.two()
	return o
}

// checkpoints are the times at which a hold is looked at on the way, s.
var checkpoints = []float64{1200, 1800, 2700, 3600, 7200, 14400}

var limits = []float64{0.0025, 0.005, 0.01}

func (o *outcome) note(h *decay.Hold, t float64) {
	i := len(o.early)
	check := i < len(checkpoints) && t >= checkpoints[i]
	if !check && int(t)%100 != 0 {
		return
	}
	e := h.Estimate()
	if check {
		o.early = append(o.early, look{checkpoints[i], e.Rate.Value * 3600, e.Rate.Lo * 3600, e.Rate.Hi * 3600})
	}
	if t < 480 || !e.Valid {
		return
	}
	for _, l := range limits {
		if _, done := o.tightAt[l]; !done && e.Rate.Value+2.6*e.SE < l*e.Start/3600 {
			o.tightAt[l] = t
		}
	}
}

// massPoint is the straight-line fit of P corrected by the thermometer, from a
// quarter of an hour on: least squares with the usual 95 % interval.
type massPoint struct {
	n, st, sp, stt, stp, spp float64
	t0                       float64
	first, last              float64
	p0, lastT                float64
}

func (m *massPoint) add(t, p, temp float64) {
	if m.t0 == 0 {
		m.t0, m.p0 = temp, p
	}
	y := p * m.t0 / temp
	if t < 900 {
		return
	}
	if m.n == 0 {
		m.first = y
	}
	m.last, m.lastT = y, t
	x, y := t/3600, y-m.p0
	m.n++
	m.st += x
	m.sp += y
	m.stt += x * x
	m.stp += x * y
	m.spp += y * y
}

func (m *massPoint) fit() classical {
	d := m.n*m.stt - m.st*m.st
	if d <= 0 || m.n < 3 {
		return classical{}
	}
	b := (m.n*m.stp - m.st*m.sp) / d
	a := (m.sp - b*m.st) / m.n
	ss := m.spp - a*m.sp - b*m.stp
	return classical{-b, 1.96 * math.Sqrt(math.Max(ss, 0)/(m.n-2)*m.n/d)}
}

func (m *massPoint) two() float64 {
	if m.lastT <= 900 {
		return 0
	}
	return (m.first - m.last) / (m.lastT - 900) * 3600
}

// population draws n holds and runs them on all cores.
func population(n int, base uint64, change func(i int, rng *rand.Rand, p *bench.Params) bool, strap bool) []outcome {
	out := make([]outcome, n)
	var wg sync.WaitGroup
	next := make(chan int)
	for range runtime.GOMAXPROCS(0) {
		wg.Go(func() {
			for i := range next {
				rng := rand.New(rand.NewPCG(base, uint64(i)))
				kind := []bench.Physics{bench.PhysicsA, bench.PhysicsB, bench.PhysicsC, bench.PhysicsD}[i%4]
				p := bench.RandomParams(rng, kind)
				p.Name = string(kind)
				if change != nil {
					change(i, rng, &p)
				}
				out[i] = run(p, base*1000003+uint64(i), strap)
			}
		})
	}
	for i := range n {
		next <- i
	}
	close(next)
	wg.Wait()
	return out
}

// tally is a line of the table.
type tally struct {
	n, cover   int
	half, sq   float64
	rel        []float64
	mpCover    int
	mpHalf     float64
	mpSq, twSq float64
}

func (y *tally) add(o outcome) {
	r := o.rate()
	y.n++
	if o.covered() {
		y.cover++
	}
	e := r.Value - o.truth
	y.half += r.Half()
	y.sq += e * e
	if o.truth > 0 {
		y.rel = append(y.rel, math.Abs(e)/o.truth)
	}
	m := o.massPoint.value - o.truth
	if math.Abs(m) <= o.massPoint.half {
		y.mpCover++
	}
	y.mpHalf += o.massPoint.half
	y.mpSq += m * m
	d := o.twoPoint - o.truth
	y.twSq += d * d
}

func (y *tally) String() string {
	if y.n == 0 {
		return "none"
	}
	n := float64(y.n)
	med := 0.0
	if len(y.rel) > 0 {
		slices.Sort(y.rel)
		med = y.rel[len(y.rel)/2]
	}
	return fmt.Sprintf("n %4d  cover %.3f  hw %6.0f  rms %6.0f  rel %.3f | mass-point cover %.3f hw %5.0f rms %6.0f | two-point rms %6.0f",
		y.n, float64(y.cover)/n, y.half/n, math.Sqrt(y.sq/n), med, float64(y.mpCover)/n, y.mpHalf/n, math.Sqrt(y.mpSq/n), math.Sqrt(y.twSq/n))
}

func TestStudyScratch(t *testing.T) {
	n := 400
	if *study == "full" {
		n = 2000
	}
	os := population(n, 7, nil, false)
	groups := map[string]*tally{}
	var names []string
	put := func(name string, o outcome) {
		if groups[name] == nil {
			groups[name] = &tally{}
			names = append(names, name)
		}
		groups[name].add(o)
	}
	tight, falseAlarm := 0, 0
	for _, o := range os {
		size := "large"
		if o.share() < 0.02 {
			size = "small"
		}
		put(" all", o)
		put(" "+size, o)
		put("physics "+o.p.Name, o)
		if size == "small" {
			put(fmt.Sprintf("small %.1f h", o.p.Hold/3600), o)
		}
		put("room "+o.p.Room.Kind.String(), o)
		put("law "+o.p.Law.String(), o)
		if o.truth == 0 {
			tight++
			if o.est.CalledAt >= 0 {
				falseAlarm++
				t.Logf("false alarm seed %d %s at %.0f z %.1f hot %.1f: %s", o.seed, o.est.CalledWhy, o.est.CalledAt, o.est.Z, o.est.ZHot, bench.RandomParams(rand.New(rand.NewPCG(7, o.seed-7*1000003)), bench.Physics(o.p.Name)).Name)
			}
		}
	}
	slices.Sort(names)
	for _, name := range names {
		t.Logf("%-16s %s", name, groups[name])
	}
	t.Logf("false alarms %d of %d tight", falseAlarm, tight)
}

func TestStudyAlarmScratch(t *testing.T) {
	if *study != "full" {
		t.Skip()
	}
	os := population(1000, 11, func(i int, rng *rand.Rand, p *bench.Params) bool {
		p.Leak = 0
		p.Hold = math.Max(p.Hold, 3600)
		return true
	}, false)
	bad, brazed := 0, 0
	for _, o := range os {
		if len(o.p.Thermal.Braze) > 0 {
			brazed++
		}
		if o.est.CalledAt >= 0 {
			bad++
			t.Logf("false: %s %s %v braze %v at %.0f z %.1f hot %.1f", o.p.Name, o.p.Room.Kind, o.est.CalledWhy, o.p.Thermal.Braze, o.est.CalledAt, o.est.Z, o.est.ZHot)
		}
	}
	t.Logf("false %d of %d (%d brazed)", bad, len(os), brazed)
	for _, leak := range []float64{0.002, 0.004, 0.008, 0.012, 0.04, 0.15} {
		os := population(80, 13, func(i int, rng *rand.Rand, p *bench.Params) bool {
			p.Leak = leak
			p.Hold = 7200
			return true
		}, false)
		var at []float64
		for _, o := range os {
			c := o.est.CalledAt / 60
			if c < 0 {
				c = 999
			}
			at = append(at, c)
		}
		slices.Sort(at)
		t.Logf("%.1f %%/h: median %.0f p90 %.0f", 100*leak, at[len(at)/2], at[len(at)*9/10])
	}
	for _, leak := range []float64{0.005, 0.006, 0.008} {
		os := population(200, 17, func(i int, rng *rand.Rand, p *bench.Params) bool {
			p.Leak = leak
			p.Hold = 3600
			return true
		}, false)
		early, final := 0, 0
		for _, o := range os {
			if _, ok := o.tightAt[0.005]; ok {
				early++
			}
			if o.est.Rate.Value+2*o.est.SE < 0.005*o.est.Start/3600 {
				final++
			}
		}
		t.Logf("limit 0.5 %%/h, true %.1f: tight early %d final %d of %d", 100*leak, early, final, len(os))
	}
}

func TestStudyOpenedScratch(t *testing.T) {
	if *study != "full" {
		t.Skip()
	}
	for _, leak := range []float64{0.03, 0.06, 0.2} {
		os := population(60, 19, func(i int, rng *rand.Rand, p *bench.Params) bool {
			p.Leak = leak
			p.LeakOpensAt = 1500 + 1500*rng.Float64()
			p.Hold = 7200
			return true
		}, false)
		var delay []float64
		cover, opened := 0, 0
		for _, o := range os {
			d := 999.0
			if o.est.OpenedAt >= 0 {
				opened++
				d = (o.est.CalledAt - o.p.LeakOpensAt) / 60
				if o.covered() {
					cover++
				}
			}
			delay = append(delay, d)
		}
		slices.Sort(delay)
		t.Logf("opens midway %.0f %%/h: opened %d of %d, covers %d, delay median %.0f p90 %.0f", leak*100, opened, len(os), cover, delay[len(delay)/2], delay[len(delay)*9/10])
	}
	for _, leak := range []float64{0.1, 0.4, 1.0, 1.6} {
		os := population(60, 23, func(i int, rng *rand.Rand, p *bench.Params) bool {
			p.Leak = leak
			p.Hold = 3600
			return true
		}, false)
		opened, cover := 0, 0
		var at, rel []float64
		for _, o := range os {
			if o.est.OpenedAt >= 0 {
				opened++
			}
			if o.covered() {
				cover++
			}
			at = append(at, o.est.CalledAt/60)
			rel = append(rel, (o.rate().Value-o.truth)/o.truth)
		}
		slices.Sort(at)
		slices.Sort(rel)
		t.Logf("steady %.0f %%/h: opened %d of %d covers %d called median %.1f min max %.1f, rel median %.3f range %.3f %.3f", leak*100, opened, len(os), cover, at[len(at)/2], at[len(at)-1], rel[len(rel)/2], rel[0], rel[len(rel)-1])
	}
	for name, kind := range map[string]bench.EventKind{"hand": bench.Hand, "step": bench.Step, "touch": bench.Touch, "spike": bench.Spike, "dropout": bench.Dropout, "stuck": bench.Stuck, "freeze": bench.Freeze} {
		var c, small int
		bad, op := 0, 0
		os := population(120, 29, func(i int, rng *rand.Rand, p *bench.Params) bool {
			p.Leak = 0
			if i%2 == 1 {
				p.Leak = 0.002 + 0.015*rng.Float64()
			}
			p.Hold = 3600
			at := 900 + 2000*rng.Float64()
			switch kind {
			case bench.Hand:
				p.Events = []bench.Event{{Kind: kind, At: at, For: 60, Size: 1}}
			case bench.Step:
				p.Events = []bench.Event{{Kind: kind, At: at, For: 1e6, Size: 1500}}
			case bench.Touch:
				p.Events = []bench.Event{{Kind: kind, At: at, For: 20, Size: 4}}
			case bench.Spike:
				p.Events = []bench.Event{{Kind: kind, At: at, For: 3, Size: 20000}, {Kind: kind, At: at / 2, For: 3, Size: -20000}}
			case bench.Dropout:
				p.Events = []bench.Event{{Kind: kind, At: at, For: 600}}
			default:
				p.Events = []bench.Event{{Kind: kind, At: at, For: 1200}}
			}
			return true
		}, false)
		for _, o := range os {
			small++
			if o.covered() {
				c++
			}
			if o.truth == 0 && o.est.CalledAt >= 0 {
				bad++
			}
			if o.est.OpenedAt >= 0 {
				op++
			}
		}
		t.Logf("%s: cover %.3f false %d of %d opened %d", name, float64(c)/float64(small), bad, small/2, op)
	}
}

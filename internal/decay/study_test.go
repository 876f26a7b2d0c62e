package decay_test

import (
	"flag"
	"fmt"
	"math"
	"math/rand/v2"
	"runtime"
	"slices"
	"sync"

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
	tightAt   float64 // s when first called tight to tightLimit at the rule for a hold under way; <0 = never
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
	o := outcome{p: p, seed: seed, truth: tr.Rate.PerHour(), tightAt: -1}
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

// tightLimit is the limit of the study, of the start pressure per hour.
const tightLimit = 0.005

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
	if o.tightAt < 0 && e.Rate.Value+2.6*e.SE < tightLimit*e.Start/3600 {
		o.tightAt = t
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

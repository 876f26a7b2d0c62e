package decay_test

import (
	"flag"
	"math"
	"math/rand/v2"
	"runtime"
	"sync"
	"testing"

	"gonum.org/v1/gonum/stat/distuv"

	"example.org/holdfast/internal/bench"
	"example.org/holdfast/internal/decay"
	"example.org/holdfast/internal/units"
	"example.org/holdfast/internal/verdict"
)

var study = flag.String("study", "quick", "how much of the study to run: quick or full")

// TestStudy plays simulated holds of four physics (D is built otherwise than
// the model and nothing was tuned on it), five rooms, three sensors and three
// flow laws into the engine. It prints the tables and holds the claims. All data
// are invented. The whole of it, and one part of it:
//
//	go test -run Study -study=full -v -timeout 60m ./internal/decay/
//	go test -run Study/manual/needle -study=full -v ./internal/decay/
//
// Seeds are fixed and printed, so that a table comes out the same again. The
// parts run one after the other, each on all cores, so that every table is
// there as soon as it can be. The quick form has too few holds for the claims
// and fails only where chance can hardly explain it.
func TestStudy(t *testing.T) {
	for _, part := range []struct {
		name string
		run  func(*testing.T)
	}{
		{"coverage", studyCoverage},
		{"hours", studyHours},
		{"manual", studyManual},
		{"barometer", studyBarometer},
		{"alarms", studyAlarms},
		{"call", studyTimeToCall},
		{"pinholes", studyPinholes},
		{"tight", studyFalseTight},
		{"leaking", studyFalseLeaking},
		{"opens", studyOpensMidway},
		{"disturbed", studyDisturbed},
	} {
		t.Run(part.name, part.run)
	}
}

func full() bool { return *study == "full" }

// size is how many holds a part of the study has.
func size(quick, whole int) int {
	if full() {
		return whole
	}
	return quick
}

// least is how many of n must be right if a share of them is claimed to be: in
// the full study that share; in the quick one what a true claim would fall short
// of once in ten thousand studies (binomial).
func least(n int, share float64) int {
	if full() {
		return int(math.Ceil(share*float64(n) - 1e-9))
	}
	k := 0
	for b := (distuv.Binomial{N: float64(n), P: share}); k < n && b.CDF(float64(k)) < 1e-4; {
		k++
	}
	return k
}

// most is the same for what may go wrong.
func most(n int, share float64) int { return n - least(n, 1-share) }

// sample is a set of simulated holds.
type sample struct {
	n    int
	seed uint64
	// change alters hold i, drawn by bench.RandomParams; nil = nothing.
	change func(i int, rng *rand.Rand, p *bench.Params)
	// limit, of the start pressure per hour, to be judged tight against; 0 = none.
	limit float64
	// history gives the engine the temperatures from before the filling, where the bench has them.
	history bool
	// barometer: a gauge sensor's readings get the barometer of their moment, not that of the start.
	barometer bool
}

// outcome is one simulated hold and what was made of it.
type outcome struct {
	p         bench.Params
	kind      bench.Physics
	truth     float64 // Pa/h at the start pressure
	est       decay.Estimate
	known     classical // by an observer who knew the gas temperature
	massPoint classical
	twoPoint  float64 // Pa/h
	early     []decay.Interval
	tightAt   float64 // s when first judged tight on the way; <0 = never
	leakAt    float64 // s when first judged leaking on the way; <0 = never
	end       verdict.Word
}

func (o *outcome) rate() decay.Interval { return perHour(o.est.Rate) }

// perHour turns Pa/s into Pa/h.
func perHour(r decay.Interval) decay.Interval {
	return decay.Interval{Value: r.Value * 3600, Lo: r.Lo * 3600, Hi: r.Hi * 3600}
}

func covers(r decay.Interval, truth float64) bool { return r.Lo <= truth && truth <= r.Hi }

func (o *outcome) covered() bool { return covers(o.rate(), o.truth) }

// looks are the times at which the interval on the way is kept, s.
var looks = []float64{1200, 1800, 2700, 3600, 7200, 14400}

// run plays hold i into the engine and into the other methods.
func (s *sample) run(i int) outcome {
	rng := rand.New(rand.NewPCG(s.seed, uint64(i)))
	kind := []bench.Physics{bench.PhysicsA, bench.PhysicsB, bench.PhysicsC, bench.PhysicsD}[i%4]
	p := bench.RandomParams(rng, kind)
	if s.change != nil {
		s.change(i, rng, &p)
	}
	b := bench.New(p, s.seed*1000003+uint64(i))
	p = b.Params()
	o := outcome{p: p, kind: kind, truth: b.Truth().Rate.PerHour(), tightAt: -1, leakAt: -1}
	h := decay.New(config(p))
	for t := -p.PreRecord; s.history && t < 0; t += 10 {
		x := b.At(t)
		h.Ambient(t, float64(x.Ambient), float64(x.Section))
	}
	var mp massPoint
	kn := newKnown(p)
	changes := 0
	for t := 0.0; t <= p.Hold; t += p.Interval {
		x := b.At(t)
		if x.Missing {
			continue
		}
		if x.Pressure < p.StartPressure/2 {
			break // nobody holds on to half a filling
		}
		pressure := s.pressure(&x, p)
		h.Add(decay.Sample{T: t, P: pressure, Ambient: float64(x.Ambient), Section: float64(x.Section)})
		mp.add(t, pressure, float64(x.Ambient))
		kn.add(t, pressure, x.GasTemperature)
		if n := h.Changes(); n != changes {
			changes = n
			s.look(&o, h, t)
		}
	}
	o.est = h.Estimate()
	if s.limit > 0 {
		o.end = s.judge(&o, o.est, true)
	}
	o.known, o.massPoint, o.twoPoint = kn.fit(), mp.fit(), mp.two()
	return o
}

// handRead is the interval from which a hold counts as read by eye, s.
const handRead = 60

func config(p bench.Params) decay.Config {
	c := decay.Config{Gas: p.Gas.Plain(), Atmosphere: float64(units.StandardAtmosphere), FullScale: float64(p.Sensor.Range)}
	if p.Interval >= handRead { // the scales are stated
		c.Step, c.TempStep = float64(p.Sensor.Step), float64(p.RoomProbe.Step)
	}
	return c
}

// pressure is what the engine gets: Pa absolute.
func (s *sample) pressure(x *bench.Sample, p bench.Params) float64 {
	if p.Sensor.Gauge && s.barometer {
		const step = 10 // Pa, of a barometer
		return float64(x.PressureGauge) + step*math.Round(float64(x.TrueBarometer)/step)
	}
	return float64(x.Pressure)
}

// look keeps what the hold says on the way.
func (s *sample) look(o *outcome, h *decay.Hold, t float64) {
	due := len(o.early) < len(looks) && t >= looks[len(o.early)]
	if !due && s.limit == 0 {
		return
	}
	e := h.Estimate()
	if due {
		o.early = append(o.early, perHour(e.Rate))
	}
	if s.limit == 0 {
		return
	}
	switch w := s.judge(o, e, false); {
	case w == verdict.Tight && o.tightAt < 0:
		o.tightAt = t
	case w == verdict.Leaking && o.leakAt < 0:
		o.leakAt = t
	}
}

// judge is what the rules of the product say of the hold.
func (s *sample) judge(o *outcome, e decay.Estimate, final bool) verdict.Word {
	return verdict.Judge(verdict.Input{
		Estimate: e, Final: final, Elapsed: e.At, HoldFor: o.p.Hold, Unit: "bar",
		Limit:   verdict.Limit{Set: true, Rate: units.PaPerHour(s.limit * float64(o.p.StartPressure))},
		Figures: func(r units.PressureRate) verdict.Figures { return verdict.Figures{Rate: r} },
	}).Word
}

// play runs the holds on all cores.
func (s sample) play() []outcome {
	out := make([]outcome, s.n)
	var wg sync.WaitGroup
	next := make(chan int)
	for range runtime.GOMAXPROCS(0) {
		wg.Go(func() {
			for i := range next {
				out[i] = s.run(i)
			}
		})
	}
	for i := range s.n {
		next <- i
	}
	close(next)
	wg.Wait()
	return out
}

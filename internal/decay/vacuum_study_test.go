package decay_test

import (
	"flag"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"sync"
	"testing"

	"example.org/holdfast/internal/bench"
	"example.org/holdfast/internal/decay"
	"example.org/holdfast/internal/gas"
	"example.org/holdfast/internal/units"
)

// riseSeeds tells the rises that settings were chosen on from those that are reported.
var riseSeeds = flag.Uint64("rise-seeds", 2, "seeds of the simulated vacuum rises: 1 = those of the tuning, 2 = those of the report")

func water(k float64) float64 { return float64(gas.WaterSaturation(units.Temperature(k))) }

// riseLooks are the times of the table, s.
var riseLooks = [...]float64{1200, 1800, 2700, 3600, 7200}

// riseGauge is a way to read the section.
type riseGauge struct {
	name     string
	interval float64           // s
	gauge    bench.VacuumGauge // zero = that of the population
}

// rideRise plays one rise and gives what was said at the looks, and when it was first called a leak (0 = never).
func rideRise(p bench.Vacuum, seed uint64, interval float64) (said [len(riseLooks)]decay.RiseEstimate, called float64) {
	b := bench.NewVacuum(p, seed)
	r := decay.NewRise(decay.RiseConfig{Water: water})
	look := riseLooks[0]
	for i, t := 0, 0.0; i < len(riseLooks); t += interval {
		s := b.At(t)
		r.Add(t, float64(s.Pressure), float64(s.Ambient))
		if t >= look { // as often as a hold looks
			look = t + math.Max(60, t/20)
			if w := r.Estimate().Shape; called == 0 && (w == decay.RiseLeak || w == decay.RiseBoth) {
				called = t
			}
		}
		if t >= riseLooks[i] {
			said[i] = r.Estimate()
			i++
		}
	}
	return said, called
}

// riseTally counts what was said of the rises of a class.
type riseTally struct {
	n       int
	words   [len(riseLooks)]map[decay.Shape]int
	right   [len(riseLooks)]int
	covered [len(riseLooks)]int // the interval of the steady rise held the true leak
	calls   int                 // rises called a leak at any look
	sort    map[string][2]int   // by sort of wetness: right after an hour, all
}

// rightWord reports whether a word is the right one for a class.
func rightWord(class bench.Rise, w decay.Shape) bool {
	switch class {
	case bench.FlatRise:
		return w == decay.RiseFlat
	case bench.LeakRise:
		return w == decay.RiseLeak
	case bench.BothRise:
		return w == decay.RiseBoth
	}
	return w == decay.RiseMoisture || w == decay.RiseOutgassing
}

func (c *riseTally) count(class bench.Rise, p bench.Vacuum, said [len(riseLooks)]decay.RiseEstimate, called float64) {
	c.n++
	if called > 0 {
		c.calls++
	}
	for i, e := range said {
		c.words[i][e.Shape]++
		if rightWord(class, e.Shape) {
			c.right[i]++
		}
		if e.Leak.Lo*3600 <= p.Leak && p.Leak <= e.Leak.Hi*3600 {
			c.covered[i]++
		}
	}
	sort, _, _ := strings.Cut(p.Name, ",")
	k := c.sort[sort]
	if k[1]++; rightWord(class, said[3].Shape) {
		k[0]++
	}
	c.sort[sort] = k
}

func (c *riseTally) share(n int) float64 { return float64(n) / float64(c.n) }

// tallyRises plays n rises of a class.
func tallyRises(class bench.Rise, n int, g riseGauge) *riseTally {
	c := &riseTally{sort: map[string][2]int{}}
	for i := range c.words {
		c.words[i] = map[decay.Shape]int{}
	}
	var mu sync.Mutex
	var wg sync.WaitGroup
	slots := make(chan struct{}, 2)
	for i := range n {
		slots <- struct{}{}
		wg.Go(func() {
			defer func() { <-slots }()
			p := bench.RandomRise(rand.New(rand.NewPCG(*riseSeeds, uint64(i)*16+uint64(len(class)))), class)
			if g.gauge.Step > 0 {
				p.Gauge = g.gauge
			}
			said, called := rideRise(p, *riseSeeds<<32+uint64(i), g.interval)
			mu.Lock()
			defer mu.Unlock()
			c.count(class, p, said, called)
		})
	}
	wg.Wait()
	return c
}

// riseWant is the least share of right words at the looks, and of intervals that hold the leak over all of them.
type riseWant struct {
	right   [len(riseLooks)]float64
	covered float64
}

func (c *riseTally) check(t *testing.T, class bench.Rise, want riseWant) {
	t.Helper()
	covered := 0
	for i, at := range riseLooks {
		t.Logf("%-5s %3.0f min: right %.2f, steady rise covered %.3f, %v", class, at/60, c.share(c.right[i]), c.share(c.covered[i]), c.words[i])
		if c.share(c.right[i]) < want.right[i] {
			t.Errorf("%s at %.0f min: right %.2f of %d, want %.2f", class, at/60, c.share(c.right[i]), c.n, want.right[i])
		}
		covered += c.covered[i]
	}
	if got := c.share(covered) / float64(len(riseLooks)); got < want.covered {
		t.Errorf("%s: the interval of the steady rise holds it in %.3f, want %.3f", class, got, want.covered)
	}
	t.Logf("%-5s called a leak at any look: %d of %d; right after an hour, by sort: %v", class, c.calls, c.n, c.sort)
}

// TestStudyVacuum asks of each class the shares that the design found on rises of its
// own, on rises that nothing was tuned on; the quick form has a few of each and asks less.
// A far side that evens out is neither leak nor wet; slow ones look like a leak while they last,
// and must not be called one.
func TestStudyVacuum(t *testing.T) {
	n, slack := size(8, 200), 0.0
	if n < 200 {
		slack = 0.35
	}
	want := map[bench.Rise]riseWant{
		bench.FlatRise: {[...]float64{.96, .96, .96, .96, .96}, .94},
		bench.LeakRise: {[...]float64{.84, .91, .95, .97, .98}, .94},
		bench.WetRise:  {[...]float64{.08, .19, .47, .70, .94}, .94},
		bench.BothRise: {[...]float64{0, 0, .45, .70, .85}, .94},
		bench.FarRise:  {[...]float64{0, .10, .30, .50, .70}, .70},
	}
	tight, called := 0, 0
	all := map[bench.Rise]*riseTally{}
	for _, class := range bench.Rises() {
		c := tallyRises(class, n, riseGauge{interval: 5})
		all[class] = c
		w := want[class]
		for i := range w.right {
			w.right[i] -= slack
		}
		w.covered -= slack / 3
		c.check(t, class, w)
		if class != bench.LeakRise && class != bench.BothRise {
			tight, called = tight+c.n, called+c.calls
		}
	}
	t.Logf("tight rises called a leak at any look: %d of %d", called, tight)
	if float64(called) > 0.01*float64(tight) {
		t.Errorf("%d of %d tight rises called a leak", called, tight)
	}
	checkAnswers(t, all)
}

// untrue are the classes of which an answer is not true. A leak beside moisture may be called a leak, with
// no word on the moisture; a far side that evens out is flat as long as it hardly shows, then it levels off, and
// the capillary is named with both.
var untrue = []struct {
	name    string
	answers []decay.Shape
	of      []bench.Rise
	most    float64 // share of the answers given that may be untrue
}{
	{"flat", []decay.Shape{decay.RiseFlat}, []bench.Rise{bench.LeakRise, bench.WetRise, bench.BothRise}, 0.02},
	{"leak", []decay.Shape{decay.RiseLeak}, []bench.Rise{bench.FlatRise, bench.WetRise, bench.FarRise}, 0.02},
	{"moisture or outgassing", []decay.Shape{decay.RiseMoisture, decay.RiseOutgassing}, []bench.Rise{bench.FlatRise, bench.LeakRise, bench.BothRise}, 0.05},
	{"both", []decay.Shape{decay.RiseBoth}, []bench.Rise{bench.FlatRise, bench.LeakRise, bench.WetRise, bench.FarRise}, 0.05},
	{"undecided", []decay.Shape{decay.RiseUndecided}, nil, 0},
}

// checkAnswers says of each answer how often it was given to as many rises of each class, and how often it was untrue.
func checkAnswers(t *testing.T, all map[bench.Rise]*riseTally) {
	for i, at := range riseLooks {
		for _, u := range untrue {
			given, wrong := 0, 0
			for class, c := range all {
				for _, a := range u.answers {
					given += c.words[i][a]
					if slices.Contains(u.of, class) {
						wrong += c.words[i][a]
					}
				}
			}
			t.Logf("%3.0f min, %-22s given %3d times, untrue %d", at/60, u.name+":", given, wrong)
			if float64(wrong) > 1+u.most*float64(given) {
				t.Errorf("%s at %.0f min: %d of %d untrue", u.name, at/60, wrong, given)
			}
		}
	}
}

// TestStudyVacuumGauges plays the same with other gauges, and by hand: what is
// said may be less, but must not be wrong.
func TestStudyVacuumGauges(t *testing.T) {
	n, covered := size(2, 60), 0.6
	if n < 60 {
		covered = 0
	}
	for _, g := range []riseGauge{
		{"24 bit", 1, bench.VacuumGauge{Noise: 0.02, Share: 0.0005, Drift: 0.002, Step: 0.001}},
		{"micron display", 2, bench.VacuumGauge{Noise: 0.3, Share: 0.003, Drift: 0.002, Step: 101325.0 / 760e3}},
		{"10 Pa steps", 5, bench.VacuumGauge{Noise: 0.3, Share: 0.003, Drift: 0.002, Step: 10}},
		{"by hand, each 5 min", 300, bench.VacuumGauge{Noise: 0.3, Share: 0.003, Drift: 0.002, Step: 1}},
		{"by hand, each 10 min", 600, bench.VacuumGauge{Noise: 0.3, Share: 0.003, Drift: 0.002, Step: 1}},
	} {
		t.Run(g.name, func(t *testing.T) {
			tight, called := 0, 0
			for _, class := range bench.Rises() {
				c := tallyRises(class, n, g)
				c.check(t, class, riseWant{covered: covered})
				if class != bench.LeakRise && class != bench.BothRise {
					tight, called = tight+c.n, called+c.calls
				}
			}
			t.Logf("tight rises called a leak at any look: %d of %d", called, tight)
			if float64(called) > 0.02*float64(tight) {
				t.Errorf("%d of %d tight rises called a leak", called, tight)
			}
		})
	}
}

package decay_test

import (
	"flag"
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"sync"
	"testing"

	"example.org/holdfast/internal/bench"
	"example.org/holdfast/internal/decay"
	"example.org/holdfast/internal/gas"
	"example.org/holdfast/internal/units"
)

// riseSeeds tells the rises that settings were chosen on (1) from those that are reported (2).
var riseSeeds = flag.Uint64("rise-seeds", 2, "seeds of the simulated vacuum rises: 1 = those used for tuning, 2 = those reported")

var debug = flag.Bool("dbg", false, "")
var many = flag.Int("many", 12, "")
var only = flag.String("only", "", "")

func water(k float64) float64 { return float64(gas.WaterSaturation(units.Temperature(k))) }

// riseLooks are the times of the table, s.
var riseLooks = []float64{1200, 1800, 2700, 3600, 7200}

// riseTally counts what was said of the rises of a class.
type riseTally struct {
	n       int
	words   [5]map[decay.Shape]int
	kinds   map[string]*[5][2]int // right and all, by kind of wetness
	covered [5]int                // looks at which the interval held the true leak
	calls   int                   // rises called a leak at any look
	called  []string
}

// gauges are other ways to read the gauge than every five seconds in steps of 1 Pa.
type riseGauge struct {
	name     string
	interval float64
	step     float64 // Pa
}

// ride plays one rise and counts.
func (c *riseTally) ride(class bench.Rise, p bench.Vacuum, seed uint64, g riseGauge, mu *sync.Mutex) {
	b := bench.NewVacuum(p, seed)
	r := decay.NewRise(decay.RiseConfig{Water: water})
	var said [5]decay.Shape
	var covered [5]bool
	var seq []string
	var at60 decay.RiseEstimate
	next, called, nextLook := 0, 0.0, 0.0
	for t := g.interval; next < len(riseLooks); t += g.interval {
		s := b.At(t)
		r.Add(t, float64(s.Pressure), float64(s.Ambient))
		if t >= nextLook {
			nextLook = t + math.Max(60, t/20) // as the hold does
			if *debug {
				e := r.Estimate()
				seq = append(seq, fmt.Sprintf("%.0f,%.5f,%.5f,%s", t, e.PLeak, e.PMoisture, e.Shape))
			}
			if w := r.Estimate().Shape; called == 0 && (w == decay.RiseLeak || w == decay.RiseBoth) {
				called = t
			}
		}
		if t >= riseLooks[next] {
			e := r.Estimate()
			said[next], covered[next] = e.Shape, e.Leak.Lo*3600 <= p.Leak && p.Leak <= e.Leak.Hi*3600
			if next == 3 {
				at60 = e
			}
			next++
		}
	}
	mu.Lock()
	defer mu.Unlock()
	if *debug {
		e := at60
		fmt.Printf("SEQ|%s|%s|%s\n", class, p.Name, strings.Join(seq, ";"))
		fmt.Printf("DBG %-28s %-10s leak %.0f (%.0f..%.0f) PL %.4f PM %.4f plateau %.0f lev %.0f  | %+v %+v\n", p.Name, e.Shape, e.Leak.Value*3600, e.Leak.Lo*3600, e.Leak.Hi*3600, e.PLeak, e.PMoisture, e.Plateau.Value, e.Levelling, p.Gassing[1:], p.Water)
	}
	c.n++
	for i := range said {
		c.words[i][said[i]]++
		if covered[i] {
			c.covered[i]++
		}
		kind := p.Name
		if k, _, ok := strings.Cut(p.Name, ","); ok {
			kind = k
		}
		k := c.kinds[kind]
		if k == nil {
			k = new([5][2]int)
			c.kinds[kind] = k
		}
		k[i][1]++
		if right(class, said[i]) {
			k[i][0]++
		}
	}
	if called > 0 {
		c.calls++
		if p.Leak == 0 {
			c.called = append(c.called, p.Name)
		}
	}
}

// right reports whether a word is the right one for a class.
func right(class bench.Rise, w decay.Shape) bool {
	switch class {
	case bench.WetRise, bench.FarRise:
		return w == decay.RiseMoisture || w == decay.RiseOutgassing
	case bench.FlatRise:
		return w == decay.RiseFlat
	case bench.LeakRise:
		return w == decay.RiseLeak
	}
	return w == decay.RiseBoth
}

// tallyRises plays n rises of a class on all processors.
func tallyRises(class bench.Rise, n int, g riseGauge) *riseTally {
	c := &riseTally{kinds: map[string]*[5][2]int{}}
	for i := range c.words {
		c.words[i] = map[decay.Shape]int{}
	}
	var mu sync.Mutex
	var wg sync.WaitGroup
	slots := make(chan struct{}, 2)
	for i := range n {
		wg.Add(1)
		slots <- struct{}{}
		go func() {
			defer func() { <-slots; wg.Done() }()
			p := bench.RandomRise(rand.New(rand.NewPCG(*riseSeeds, uint64(i)*16+uint64(len(class)))), class)
			if g.step > 0 {
				p.Gauge.Step = units.PressureDiff(g.step)
			}
			c.ride(class, p, *riseSeeds<<32+uint64(i), g, &mu)
		}()
	}
	wg.Wait()
	return c
}

func TestStudyVacuum(t *testing.T) {
	n := size(*many, 200)
	for _, class := range bench.Rises() {
		if *only != "" && *only != string(class) {
			continue
		}
		c := tallyRises(class, n, riseGauge{"5 s", 5, 0})
		for i, at := range riseLooks {
			ok := 0
			for w, k := range c.words[i] {
				if right(class, w) {
					ok += k
				}
			}
			t.Logf("%-5s %3.0f min: right %.3f covered %.3f %v", class, at/60, float64(ok)/float64(n), float64(c.covered[i])/float64(n), c.words[i])
		}
		for k, v := range c.kinds {
			if len(c.kinds) < 12 {
				t.Logf("   %s: %v", k, *v)
			}
		}
		t.Logf("%s: called a leak at any look %d of %d: %v", class, c.calls, n, c.called)
	}
}

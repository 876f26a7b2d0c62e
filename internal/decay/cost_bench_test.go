package decay_test

import (
	"fmt"
	"math"
	"runtime"
	"testing"

	"example.org/holdfast/internal/decay"
)

// reading is sample i of a made hold at ten a second: a room that swings by half
// a kelvin in twenty minutes, a slow leak, and a sensor with noise and digits.
func reading(i int) decay.Sample {
	t := 0.1 * float64(i)
	room := 293 + 0.5*math.Sin(2*math.Pi*t/1200)
	noise := 150 * math.Sin(1e4*math.Sin(float64(i))) // cheap and the same every time
	p := 20e5*(1-0.002*t/3600)*room/293 + noise
	return decay.Sample{T: t, P: 10 * math.Round(p/10), Ambient: room, Section: math.NaN()}
}

// BenchmarkPerSample gives the cost of one sample at ten a second, on average
// over a hold of 27.8 hours, all looks at the evidence included. Run it with at
// least -benchtime 1000000x: the first hours cost more, as bins are shorter.
func BenchmarkPerSample(b *testing.B) {
	const most = 1e6
	var h *decay.Hold
	b.ReportAllocs()
	for i := 0; b.Loop(); i++ {
		if i%most == 0 {
			h = decay.New(decay.Config{Gas: nitrogen, FullScale: 35e5})
		}
		h.Add(reading(i % most))
	}
}

// BenchmarkLength shows that time is linear in the length of a hold and memory
// flat: ns/sample and what a whole hold keeps alive must not grow.
func BenchmarkLength(b *testing.B) {
	for _, n := range []int{1e5, 1e6, 1e7} {
		b.Run(fmt.Sprintf("%.0e", float64(n)), func(b *testing.B) {
			var kept float64
			for b.Loop() {
				before := heap()
				h := decay.New(decay.Config{Gas: nitrogen, FullScale: 35e5})
				for i := range n {
					h.Add(reading(i))
				}
				kept = heap() - before
				runtime.KeepAlive(h)
			}
			b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/float64(n), "ns/sample")
			b.ReportMetric(kept, "bytes-kept")
		})
	}
}

// heap is what is alive, in bytes.
func heap() float64 {
	var m runtime.MemStats
	runtime.GC()
	runtime.ReadMemStats(&m)
	return float64(m.HeapAlloc)
}

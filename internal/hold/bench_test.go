package hold_test

import (
	"fmt"
	"testing"

	"example.org/holdfast/internal/bench"
	"example.org/holdfast/internal/hold"
	"example.org/holdfast/internal/holdlog"
	"example.org/holdfast/internal/units"
)

// BenchmarkApply gives the cost of a sample, the whole engine and the judging
// included, and shows that it does not grow with the length of the hold.
func BenchmarkApply(b *testing.B) {
	for _, hours := range []float64{1, 3, 10, 28} {
		b.Run(fmt.Sprintf("%gh", hours), func(b *testing.B) {
			p := bench.BottleCooler(0)
			p.Interval, p.Hold = 0.1, hours*3600
			sim := bench.New(p, 1)
			recs := []holdlog.Record{holdlog.HeaderRecord(holdlog.Header{Settings: holdlog.Settings{Limit: "0.1%/h"}}, 1)}
			for t := 0.0; t < p.Hold; t += p.Interval {
				s := holdlog.NoSample()
				at := sim.At(t)
				s.Pressure, s.Ref, s.Ambient = float64(at.Pressure), units.AbsoluteRef, at.Ambient
				recs = append(recs, holdlog.Record{Kind: holdlog.KindSample, Elapsed: t, Sample: s})
			}
			b.ReportAllocs()
			for b.Loop() {
				h := hold.New()
				for _, r := range recs {
					h.Apply(r)
				}
			}
			b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/float64(len(recs)), "ns/sample")
		})
	}
}

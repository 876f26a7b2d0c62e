package decay

import "math"

// bin gathers the samples of one row.
type bin struct {
	n                int
	nRoom, nPart     int
	t, p, room, part float64 // sums
	end              float64 // s
	min, max         float64 // Pa
	step             float64 // Pa, coarsest step of its samples; 0 = not said
	flips            int     // steps of a coarse display
	flip             float64 // Pa, sum of their middles
	lastP            float64
	frozen           bool // it holds samples of a frozen pressure
	doubtful         bool // its last samples stand too still
}

func (b *bin) add(s Sample, length float64) {
	if b.n == 0 {
		last := b.lastP
		*b = bin{end: (math.Floor(s.T/length) + 1) * length, min: s.P, max: s.P, lastP: last}
	}
	if b.lastP != 0 && s.P != b.lastP {
		b.flips++
		b.flip += (s.P + b.lastP) / 2
	}
	b.lastP = s.P
	b.n++
	b.t += s.T
	b.p += s.P
	b.min, b.max = math.Min(b.min, s.P), math.Max(b.max, s.P)
	b.step = math.Max(b.step, s.Step)
	if !math.IsNaN(s.Ambient) {
		b.room += s.Ambient
		b.nRoom++
	}
	if !math.IsNaN(s.Section) {
		b.part += s.Section
		b.nPart++
	}
}

// time is the middle of the bin's samples, s.
func (b *bin) time() float64 { return b.t / float64(b.n) }

// pressure is their mean, Pa.
func (b *bin) pressure() float64 { return b.p / float64(b.n) }

// roomMean is the mean of the room, K; NaN = not measured.
func (b *bin) roomMean() float64 { return b.room / float64(b.nRoom) }

// partMean is the same on the part.
func (b *bin) partMean() float64 { return b.part / float64(b.nPart) }

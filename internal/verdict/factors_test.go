package verdict

import (
	"math"
	"testing"
)

// What the factors of the verdict mean, by printed tables: the normal row of the
// upper critical values of Student's t (NIST/SEMATECH e-Handbook: 1.960 for .975,
// 2.326 for .99, 2.576 for .995, 3.090 for .999) and NIST Technical Note 1297 table B.1,
// which prints 2.000 for 95.45 % to both sides.
func TestWhatTheFactorsMean(t *testing.T) {
	for _, f := range []struct {
		name     string
		factor   float64
		lo, hi   float64 // printed quantiles on both sides
		oneSided float64 // chance that a leak at the very limit is not called tight by one look
	}{
		{"tight at the end", tightFinal, 1.960, 2.326, 0.97725},
		{"tight on the way", tightEarly, 2.576, 3.090, 0.99534},
	} {
		if f.factor < f.lo || f.factor > f.hi {
			t.Errorf("%s: factor %g is not between the printed %g and %g", f.name, f.factor, f.lo, f.hi)
		}
		if p := (1 + math.Erf(f.factor/math.Sqrt2)) / 2; math.Abs(p-f.oneSided) > 1e-5 {
			t.Errorf("%s: one-sided %.5f, want %.5f", f.name, p, f.oneSided)
		}
	}
	if both := math.Erf(tightFinal / math.Sqrt2); math.Abs(both-0.9545) > 5e-5 {
		t.Errorf("tight at the end: %.4f to both sides, want .9545", both)
	}
}

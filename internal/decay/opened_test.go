package decay_test

import "testing"

// TestRowsThatWaitedDoNotSpoilALeakThatOpens plays holds of the study whose leak
// opens so suddenly that rows are held back to see whether the sensor stepped. Once they
// were given to the forks with the leak's integral of a later moment: none of
// these was covered, and half were not seen to have opened.
func TestRowsThatWaitedDoNotSpoilALeakThatOpens(t *testing.T) {
	s := sample{seed: 7, change: mixed}
	for _, i := range []int{145, 188, 228, 525, 1185, 1322, 1371} {
		o := s.run(i)
		if o.p.LeakOpensAt == 0 {
			t.Fatalf("hold %d has no leak that opens: the population has changed", i)
		}
		if !o.covered() || o.est.OpenedAt < o.p.LeakOpensAt-120 || o.est.OpenedAt > o.p.LeakOpensAt+300 {
			t.Errorf("hold %d: %.0f to %.0f Pa/h since %.0f min, it lost %.0f since %.0f", i,
				o.rate().Lo, o.rate().Hi, o.est.OpenedAt/60, o.truth, o.p.LeakOpensAt/60)
		}
	}
}

package decay_test

import (
	"fmt"
	"math"
	"slices"
	"testing"
)

// tally is a line of a table: what the methods made of a group of holds.
type tally struct {
	n, cover                      int
	half, sq                      float64
	rel                           []float64  // |error| over the true leak
	shares                        [3]float64 // of the variance: sensor, temperature, settling
	knownCover, knownSteady       int
	knownHalf, knownSq            float64
	lines, lineCover              int // with a straight line: it needs a thermometer
	lineHalf, lineSq, twoReadings float64
}

// steadyHalf is 1.96 times what the engine allows for a sensor's own unrest, Pa/h.
const steadyHalf = 1.96 * 120

func (y *tally) add(o *outcome) {
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
	for i, w := range []float64{o.est.WidthSensor, o.est.WidthTemperature, o.est.WidthSettling} {
		y.shares[i] += w
	}
	if o.known.covers(o.truth) {
		y.knownCover++
	}
	if (classical{o.known.value, math.Hypot(o.known.half, steadyHalf)}).covers(o.truth) {
		y.knownSteady++
	}
	y.knownHalf += o.known.half
	y.knownSq += sq(o.known.value - o.truth)
	if o.massPoint == (classical{}) {
		return
	}
	y.lines++
	if o.massPoint.covers(o.truth) {
		y.lineCover++
	}
	y.lineHalf += o.massPoint.half
	y.lineSq += sq(o.massPoint.value - o.truth)
	y.twoReadings += sq(o.twoPoint - o.truth)
}

func sq(x float64) float64 { return x * x }

func tallyOf(os []outcome, in func(o *outcome) bool) *tally {
	y := &tally{}
	for i := range os {
		if in == nil || in(&os[i]) {
			y.add(&os[i])
		}
	}
	return y
}

func (y *tally) mean(sum float64) float64 { return sum / math.Max(float64(y.n), 1) }
func (y *tally) rms(sum float64) float64  { return math.Sqrt(y.mean(sum)) }
func (y *tally) share(k int) float64      { return y.mean(float64(k)) }

// error is the median relative error.
func (y *tally) error() float64 { return quantile(y.rel, 0.5) }

// quantile of values; they are sorted on the way. 0 = there are none.
func quantile(v []float64, q float64) float64 {
	if len(v) == 0 {
		return 0
	}
	slices.Sort(v)
	return v[min(int(q*float64(len(v))), len(v)-1)]
}

// columns heads the lines of String: ours; the observer who knew the gas
// temperature, his coverage also with the engine's allowance for the sensor; the
// straight line; two readings. hw = mean half-width of the 95 % interval, rms =
// error, both Pa/h; rel = median relative error of the leaks.
const columns = "                              ours: n cover    hw    rms   rel | gas known: cover (+120)   hw    rms | line: cover   hw    rms | two:  rms"

func (y *tally) String() string {
	ours := fmt.Sprintf("%5d  %.3f %6.0f %6.0f  %.3f |       %.3f  %.3f %5.0f %6.0f |",
		y.n, y.share(y.cover), y.mean(y.half), y.rms(y.sq), y.error(),
		y.share(y.knownCover), y.share(y.knownSteady), y.mean(y.knownHalf), y.rms(y.knownSq))
	if y.lines < y.n {
		return ours + "       -      -      - |      -"
	}
	return ours + fmt.Sprintf("   %.3f %6.0f %6.0f | %6.0f", y.share(y.lineCover), y.mean(y.lineHalf), y.rms(y.lineSq), y.rms(y.twoReadings))
}

// width says where the width comes from.
func (y *tally) width() string {
	return fmt.Sprintf("sensor %2.0f %%, temperature %2.0f %%, settling %2.0f %%",
		100*y.mean(y.shares[0]), 100*y.mean(y.shares[1]), 100*y.mean(y.shares[2]))
}

// covers wants the coverage of a group to be at least a share.
func (y *tally) covers(t *testing.T, name string, share float64) {
	t.Helper()
	if y.cover < least(y.n, share) {
		t.Errorf("%s: coverage %d of %d, want at least %.3g", name, y.cover, y.n, share)
	}
}

// below wants a figure of the full study to be at most so large; the few holds
// of the quick one may show twice as much.
func below(t *testing.T, name string, got, bound float64) {
	t.Helper()
	if !full() {
		bound *= 2
	}
	if got > bound {
		t.Errorf("%s is %.4g, want at most %.4g", name, got, bound)
	}
}

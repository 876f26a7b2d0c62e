package acquire

import (
	"math"
	"strconv"
	"testing"

	"pgregory.net/rapid"
)

func TestNoiseOfBinaryFractionsIsTakenOut(t *testing.T) {
	for v, want := range map[float64]float64{
		1000200.0000000001: 1000200, 10.002 * 1e5: 1000200, 296.59999999999997: 296.6, -0.30000000000000004: -0.3,
		0: 0, 1e300: 1e300, 101325: 101325, 1012345.60013: 1012345.60013,
	} {
		if got := tidied(v); got != want {
			t.Errorf("%v became %v, want %v", v, got, want)
		}
	}
	if !math.IsNaN(tidied(math.NaN())) {
		t.Error("what was not measured became a number")
	}
}

// Whatever a device can say in eleven digits is kept as it said it, and nothing moves by more than any sensor could tell.
func TestTidyingChangesNoDigitThatADeviceSaid(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		said := strconv.FormatFloat(rapid.Float64Range(-1e6, 1e6).Draw(t, "value"), 'f', rapid.IntRange(0, 4).Draw(t, "digits"), 64)
		v, err := strconv.ParseFloat(said, 64)
		if err != nil {
			t.Fatal(err)
		}
		if got := tidied(v); got != v {
			t.Fatalf("%s became %v", said, got)
		}
		noisy := v * 1e5 * 1.0000000000000002
		if d := math.Abs(tidied(noisy) - noisy); d > 1e-11*math.Abs(noisy) {
			t.Fatalf("%v moved by %v", noisy, d)
		}
	})
}

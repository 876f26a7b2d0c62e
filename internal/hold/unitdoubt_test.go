package hold_test

import (
	"slices"
	"strings"
	"testing"

	"example.org/holdfast/internal/hold"
	"example.org/holdfast/internal/holdlog"
	"example.org/holdfast/internal/units"
)

// A first reading in a wrong unit is doubted at once, before it counts for anything:
// beside the ceiling, or where no circuit is tested so high. A usual one is not.
func TestAPressureInAWrongUnitIsDoubtedAtTheFirstReading(t *testing.T) {
	for _, c := range []struct {
		bar     float64
		set     holdlog.Settings
		doubted bool
	}{
		{19, holdlog.Settings{Ceiling: 21e5}, false},
		{19, holdlog.Settings{}, false},
		{276, holdlog.Settings{Ceiling: 21e5}, true}, // 19 bar typed as psi
		{190, holdlog.Settings{Ceiling: 21e5}, true},
		{1.9, holdlog.Settings{Ceiling: 21e5}, true}, // MPa
		{8, holdlog.Settings{Ceiling: 21e5}, false},  // a low side, with the ceiling of the high one
		{0.1, holdlog.Settings{Ceiling: 21e5}, false},
		{276, holdlog.Settings{}, true},
		{130, holdlog.Settings{}, false}, // CO2
		{130, holdlog.Settings{Refrigerant: "R290"}, true},
	} {
		h := hold.New()
		h.Apply(holdlog.HeaderRecord(holdlog.Header{Settings: c.set}, 1000))
		s := holdlog.NoSample()
		s.Pressure, s.Ref = c.bar*1e5, units.GaugeRef
		h.Apply(holdlog.Record{Kind: holdlog.KindSample, Wall: 1000, Sample: s})
		doubted := slices.ContainsFunc(h.State().Verdict.Warnings, func(w string) bool { return strings.Contains(w, "Is the unit right?") })
		if doubted != c.doubted {
			t.Errorf("%g bar with a ceiling of %g bar: doubted %v", c.bar, float64(c.set.Ceiling)/1e5, doubted)
		}
	}
}

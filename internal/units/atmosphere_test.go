package units_test

import (
	"math"
	"strings"
	"testing"

	"example.org/holdfast/internal/units"
)

// testdata/standard_atmosphere.csv: the column p_Pa was computed apart from
// holdfast, published_Pa holds values printed by ASHRAE and in ICAO tables.
func TestAtmosphereAgreesWithTheStandard(t *testing.T) {
	published := 0
	for _, row := range table(t, "standard_atmosphere.csv") {
		altitude := number(t, row["H_m"])
		p, err := units.AtmosphereAt(altitude)
		if err != nil {
			t.Fatal(err)
		}
		if want := number(t, row["p_Pa"]); math.Abs(float64(p)-want) > 0.05 { // the two documents round the gas constant of air differently
			t.Errorf("%v m: %.2f Pa, computed elsewhere %v", altitude, float64(p), want)
		}
		for _, entry := range strings.Split(row["published_Pa"], ";") {
			fields := strings.Fields(entry)
			if len(fields) == 0 {
				continue
			}
			// Whole pascals are printed; ASHRAE takes slightly rounded constants.
			if want := number(t, fields[0]); math.Abs(float64(p)-want) > 1 {
				t.Errorf("%v m: %.1f Pa, published %s", altitude, float64(p), entry)
			}
			published++
		}
	}
	if published < 8 {
		t.Errorf("only %d published values were checked", published)
	}
}

// testdata/icao_pressure_levels.csv: heights printed to the metre, which is 12 Pa near the ground.
func TestAtmosphereAgreesWithPublishedPressureLevels(t *testing.T) {
	for _, row := range table(t, "icao_pressure_levels.csv") {
		p, err := units.AtmosphereAt(number(t, row["H_published_m"]))
		if want := 100 * number(t, row["p_hPa"]); err != nil || math.Abs(float64(p)-want) > 7 {
			t.Errorf("%s m: %.0f Pa, %v; published %v", row["H_published_m"], float64(p), err, want)
		}
	}
}

func TestAtmosphereRefusesWhatTheStandardDoesNotCover(t *testing.T) {
	for _, altitude := range []float64{-2001, 11001, math.NaN(), math.Inf(1)} {
		if p, err := units.AtmosphereAt(altitude); err == nil {
			t.Errorf("AtmosphereAt(%v) = %v; want an error", altitude, p)
		}
	}
}

package profile

import (
	"strings"
	"testing"
)

func TestACalibrationIsWrittenWithoutTouchingTheRest(t *testing.T) {
	const before = "# my gauge\ndriver = \"line\"\nscale = 1.0 # as bought\nfields = \"pressure_bar\"\n"
	after, err := WithCalibration(before, 1.0021, 1300.5, "2026-03-01")
	if err != nil {
		t.Fatal(err)
	}
	for _, line := range []string{"# my gauge\n", "scale = 1.0021 # as bought\n", "zero = \"1300.5Pa\"\n", "calibrated = \"2026-03-01\"\n", "fields = \"pressure_bar\"\n"} {
		if !strings.Contains(after, line) {
			t.Errorf("no %q in\n%s", line, after)
		}
	}
	again, err := WithCalibration(after, 1, -20, "2027-03-01")
	if err != nil || strings.Count(again, "calibrated") != 1 || !strings.Contains(again, "scale = 1.0 # as bought") || !strings.Contains(again, `zero = "-20Pa"`) {
		t.Errorf("%v\n%s", err, again)
	}
}

func TestAProfileInAnUnusualFormIsNotSpoilt(t *testing.T) {
	for _, text := range []string{"driver = \"line\"\n\"zero\" = \"1bar\"\n", "nonsense"} {
		if after, err := WithCalibration(text, 2, 5, "2026-03-01"); err == nil {
			t.Errorf("%q became %q", text, after)
		}
	}
}

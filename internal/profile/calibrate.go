package profile

import (
	"fmt"
	"strconv"
	"strings"

	"example.org/holdfast/internal/units"
)

// WithCalibration gives the text of a profile with scale, zero and the day in
// the place of the old ones; all else, remarks too, stays as the person wrote it.
func WithCalibration(text string, scale float64, zero units.PressureDiff, day string) (string, error) {
	before, err := Parse(text)
	if err != nil {
		return "", err
	}
	after := text
	for _, set := range []struct{ key, value string }{
		{"scale", tomlFloat(scale)},
		{"zero", strconv.Quote(strconv.FormatFloat(float64(zero), 'f', -1, 64) + "Pa")},
		{"calibrated", strconv.Quote(day)},
	} {
		after = withKey(after, set.key, set.value)
	}
	want := before
	want.Scale, want.Zero, want.Calibrated = scale, zero, day
	got, err := Parse(after)
	if err != nil || got != want {
		return "", fmt.Errorf("the calibration cannot be written into this profile by itself: write scale = %s, zero = \"%vPa\", calibrated = %q into it (%w)",
			tomlFloat(scale), float64(zero), day, errOr(err))
	}
	return after, nil
}

func errOr(err error) error {
	if err == nil {
		return fmt.Errorf("its keys stand in an unusual form")
	}
	return err
}

// tomlFloat writes a number so that TOML takes it for a float.
func tomlFloat(v float64) string {
	s := strconv.FormatFloat(v, 'f', -1, 64)
	if !strings.Contains(s, ".") {
		s += ".0"
	}
	return s
}

// withKey puts a value behind a key, at its old place or at the end; a remark behind it stays.
func withKey(text, key, value string) string {
	lines := strings.Split(text, "\n")
	for i, line := range lines {
		name, rest, found := strings.Cut(line, "=")
		if !found || strings.TrimSpace(name) != key {
			continue
		}
		lines[i] = strings.TrimRight(name, " ") + " = " + value
		if at := strings.IndexByte(rest, '#'); at >= 0 {
			lines[i] += " " + rest[at:]
		}
		return strings.Join(lines, "\n")
	}
	return strings.TrimRight(text, "\n") + "\n" + key + " = " + value + "\n"
}

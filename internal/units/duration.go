package units

import (
	"fmt"
	"math"
	"strings"
	"time"
)

// The accepted forms of a time, as an error message offers them.
const durationForms = "90m, 1h30, 1:30:00, 45 s, 2 h or 2d"

const (
	day  = 24 * time.Hour
	year = 8766 * time.Hour // the Julian year of SecondsPerYear
)

// durationUnit gives a unit of time for how long a hold lasts.
func durationUnit(name string) (time.Duration, bool) {
	switch name {
	case "ns":
		return time.Nanosecond, true
	case "us", "µs", "μs":
		return time.Microsecond, true
	case "ms":
		return time.Millisecond, true
	case "m":
		return time.Minute, true
	}
	unit, short, ok := rateTime(name)
	return unit, ok && short != "yr" && short != "mo"
}

// rateTime gives a unit of time that a rate or a span may be stated in, with
// its short form. A lone "m" is left out: beside a year it could be a month.
func rateTime(name string) (unit time.Duration, short string, ok bool) {
	switch strings.ToLower(name) {
	case "s", "sec", "secs", "second", "seconds":
		return time.Second, "s", true
	case "min", "mins", "minute", "minutes":
		return time.Minute, "min", true
	case "h", "hr", "hrs", "hour", "hours":
		return time.Hour, "h", true
	case "d", "day", "days":
		return day, "d", true
	case "w", "wk", "week", "weeks":
		return 7 * day, "wk", true
	case "mo", "month", "months":
		return year / 12, "mo", true
	case "y", "yr", "yrs", "year", "years", "a":
		return year, "yr", true
	}
	return 0, "", false
}

// ParseDuration reads how long something lasts: the forms of time.ParseDuration
// and also "2d", "1h30", "1:30:00" and "90 min". A bare number is refused, as is
// "1:30", which may be read in two ways, and a negative time.
func ParseDuration(s string) (time.Duration, error) {
	text := strings.TrimSpace(s)
	if strings.Contains(text, ":") {
		return clockDuration(s, text)
	}
	text = strings.TrimPrefix(text, "+")
	if text == "" {
		return 0, fmt.Errorf("duration %s is empty: write %s", quote(s), durationForms)
	}
	total, last := 0.0, time.Duration(0)
	for text != "" {
		step, unit, rest, err := durationPart(s, text, last)
		if err != nil {
			return 0, err
		}
		total, last, text = total+step, unit, rest
	}
	return wholeDuration(s, total)
}

// durationPart reads one number with its unit. The digits that end "1h30" take
// the next smaller unit.
func durationPart(s, text string, last time.Duration) (ns float64, unit time.Duration, rest string, err error) {
	if !isDigit(text[0]) && text[0] != '.' {
		if text[0] == '-' {
			return 0, 0, "", fmt.Errorf("duration %s is negative", quote(s))
		}
		return 0, 0, "", fmt.Errorf("duration %s is not understood: write %s", quote(s), durationForms)
	}
	v, rest, err := ParseNumber(text)
	if err != nil {
		return 0, 0, "", fmt.Errorf("duration %w", err)
	}
	end := strings.IndexFunc(rest, func(r rune) bool { return r < 'A' || r == '\u00a0' })
	if end < 0 {
		end = len(rest)
	}
	name := rest[:end]
	if name == "" {
		if rest == "" && (last == time.Hour || last == time.Minute) && v < 60 && v == math.Trunc(v) {
			return v * float64(last/60), last / 60, "", nil
		}
		return 0, 0, "", unitError("duration", s, "", durationForms)
	}
	unit, ok := durationUnit(name)
	if !ok {
		return 0, 0, "", unitError("duration", s, name, durationForms)
	}
	return v * float64(unit), unit, strings.TrimSpace(rest[end:]), nil
}

// clockDuration reads h:mm:ss.
func clockDuration(s, text string) (time.Duration, error) {
	fields := strings.Split(text, ":")
	if len(fields) != 3 {
		return 0, fmt.Errorf("duration %s may be hours or minutes: write 1h30 or 1:30:00", quote(s))
	}
	total := 0.0
	for i, field := range fields {
		v, rest, err := ParseNumber(field)
		if err != nil || rest != "" || !isDigit(field[0]) || i > 0 && v >= 60 || i < 2 && v != math.Trunc(v) {
			return 0, fmt.Errorf("duration %s is not hours:minutes:seconds: write %s", quote(s), durationForms)
		}
		total = total*60 + v
	}
	return wholeDuration(s, total*float64(time.Second))
}

// wholeDuration rounds to the nanosecond and refuses what a Duration cannot hold.
func wholeDuration(s string, ns float64) (time.Duration, error) {
	if ns >= math.MaxInt64 {
		return 0, fmt.Errorf("duration %s is too long", quote(s))
	}
	return time.Duration(math.Round(ns)), nil
}

// ParseSpan reads a time that may also be in months and years: "1y", "18 months",
// "0.5 yr". A year has 365.25 days. A missing number is one: "yr".
func ParseSpan(s string) (time.Duration, error) {
	text := strings.TrimSpace(s)
	if unit, _, ok := rateTime(text); ok {
		return unit, nil
	}
	if v, name, err := ParseNumber(text); err == nil {
		if strings.EqualFold(name, "m") {
			return 0, fmt.Errorf("span %s may be minutes or months: write min or months", quote(s))
		}
		if unit, _, ok := rateTime(name); ok && v >= 0 {
			return wholeDuration(s, v*float64(unit))
		}
	}
	d, err := ParseDuration(s)
	if err != nil {
		return 0, fmt.Errorf("%w; a span may also be 1y or 6 months", err)
	}
	return d, nil
}

// ParseTolerance reads the share of a charge that may be lost in a time:
// "20%/1y", "10%/6 months", "5%/yr". The share is a fraction above 0.
func ParseTolerance(s string) (share float64, span time.Duration, err error) {
	left, right, ok := strings.Cut(s, "/")
	if !ok {
		return 0, 0, fmt.Errorf("tolerated loss %s has no time: write a share and a time, such as 20%%/1y", quote(s))
	}
	if share, err = ParseShare(left); err != nil {
		return 0, 0, fmt.Errorf("tolerated loss %s: %w", quote(s), err)
	}
	if span, err = ParseSpan(right); err != nil {
		return 0, 0, fmt.Errorf("tolerated loss %s: %w", quote(s), err)
	}
	if share <= 0 || span <= 0 {
		return 0, 0, fmt.Errorf("tolerated loss %s is not above zero: write a share and a time, such as 20%%/1y", quote(s))
	}
	return share, span, nil
}

// ParseAcceptance reads what a vacuum hold has to meet, such as "80Pa@60min" or
// "500 micron@30m": at most this absolute pressure, below one atmosphere, after this time.
func ParseAcceptance(s string) (most Absolute, after time.Duration, err error) {
	left, right, ok := strings.Cut(s, "@")
	if !ok {
		return 0, 0, fmt.Errorf("acceptance %s has no time: write a pressure and a time, such as 80Pa@60min", quote(s))
	}
	p, err := ParsePressureDiff(left)
	if err != nil {
		return 0, 0, fmt.Errorf("acceptance %s: %w", quote(s), err)
	}
	if after, err = ParseDuration(right); err != nil {
		return 0, 0, fmt.Errorf("acceptance %s: %w", quote(s), err)
	}
	if p <= 0 || after <= 0 {
		return 0, 0, fmt.Errorf("acceptance %s is not above zero: write a pressure and a time, such as 80Pa@60min", quote(s))
	}
	if p >= atmosphere {
		return 0, 0, fmt.Errorf("acceptance %s is no vacuum: one atmosphere is %s", quote(s), FormatPressure(atmosphere, "kPa abs"))
	}
	return Absolute(p), after, nil
}

package ui

import (
	"math"
	"testing"

	"github.com/charmbracelet/x/ansi"
)

func TestUnitsOfTheScreen(t *testing.T) {
	for _, c := range []struct {
		name, show, fine string
		pa               float64 // exact by definition, SI Brochure 9th edition; lbf/in2 from the pound and the inch
		reading          string  // of 290 psi = 1 999 479.6 Pa
	}{
		{"bar", "bar", "mbar", 1e5, "19.99"},
		{"psi", "psi", "psi", 6894.757293168361, "290.0"},
		{"psia", "psi", "psi", 6894.757293168361, "290.0"},
		{"kPa", "kPa", "Pa", 1000, "1999.5"},
		{"MPa", "MPa", "Pa", 1e6, "1.999"},
		{"Pa", "Pa", "Pa", 1, "1999480"},
		{"", "bar", "mbar", 1e5, "19.99"},
		{"\x1b[2J", "bar", "mbar", 1e5, "19.99"},
	} {
		u := UnitOf(c.name)
		if u.Name != c.show || u.Fine != c.fine || math.Abs(u.Pa-c.pa) > 1e-9*c.pa {
			t.Errorf("UnitOf(%q) = %+v, want %s, %s, %v Pa", c.name, u, c.show, c.fine, c.pa)
		}
		if got := u.Reading(1999479.6, 0); got != c.reading {
			t.Errorf("290 psi in %q reads %s, want %s", c.name, got, c.reading)
		}
	}
}

// A needle gauge read to 5 psi must not show tenths, a fine transducer may show one decimal more.
func TestReadingHasTheDecimalsOfItsStep(t *testing.T) {
	for _, c := range []struct {
		unit     string
		pa, step float64
		want     string
	}{
		{"psi", 1999479.6, 5 * 6894.757, "290"},
		{"psi", 1999479.6, 0.1 * 6894.757, "290.0"},
		{"bar", 1.9987e6, 10000, "20.0"},
		{"bar", 1.9987e6, 1000, "19.99"},
		{"bar", 1.9987e6, 10, "19.987"},
		{"bar", math.NaN(), 10, "--"},
		{"bar", math.Inf(1), 0, "--"},
		{"bar", -0.001, 0, "0.00"},
	} {
		if got := UnitOf(c.unit).Reading(c.pa, c.step); got != c.want {
			t.Errorf("%v Pa, step %v, in %s reads %q, want %q", c.pa, c.step, c.unit, got, c.want)
		}
	}
}

func TestTimesAsPeopleSayThem(t *testing.T) {
	for _, c := range []struct {
		s           float64
		clock, span string
	}{
		{0, "0:00", "0 s"}, {0.4, "0:00", "0.4 s"}, {59, "0:59", "59 s"}, {61, "1:01", "61 s"}, {3599, "59:59", "59 min"},
		{3661, "1:01:01", "61 min"}, {9000, "2:30:00", "2 h 30 min"}, {math.NaN(), "--", "--"}, {math.Inf(1), "--", "--"},
	} {
		if got := Clock(c.s); got != c.clock {
			t.Errorf("Clock(%v) = %s, want %s", c.s, got, c.clock)
		}
		if got := Span(c.s); got != c.span {
			t.Errorf("Span(%v) = %s, want %s", c.s, got, c.span)
		}
	}
	// 2025-11-01 12:26:40 UTC is Unix second 1762000000 (from memory, checked with date -u).
	if got := WallClock(1762000000000, "+02:00"); got != "14:26" {
		t.Errorf("WallClock = %s, want 14:26", got)
	}
	if got := WallClock(1762000000000, "nonsense"); got != "12:26 UTC" {
		t.Errorf("WallClock = %s, want 12:26 UTC", got)
	}
}

// What is measured the short way must come out as by the rules for every script.
func TestWidthIsThatOfTheTerminal(t *testing.T) {
	for r := rune(1); r < 0x3000; r++ {
		for _, s := range []string{string(r), "a" + string(r) + "─", "\x1b[1;31m" + string(r) + "⣿\x1b[0m"} {
			if got, want := Width(s), ansi.StringWidth(s); got != want {
				t.Errorf("%q is %d wide, want %d", s, got, want)
			}
		}
	}
	for _, s := range []string{"\x1b", "\x1b[", "\x1b[1", "\x1b[2Jab", "\x1b]2;title\x07x", "漢字", "e\u0301─", "👩‍🔧", "\xff", "a\xe2\x94"} {
		if got, want := Width(s), ansi.StringWidth(s); got != want {
			t.Errorf("%q is %d wide, want %d", s, got, want)
		}
	}
}

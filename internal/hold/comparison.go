package hold

import (
	"fmt"
	"math"

	"example.org/holdfast/internal/decay"
	"example.org/holdfast/internal/units"
)

// Comparison sets two holds of one section beside each other, as before and
// after a joint was remade. Losses are in percent of the absolute pressure at
// the start an hour; each comes with its 95 % interval.
type Comparison struct {
	First, Second decay.Interval
	More          decay.Interval // how much more the second loses than the first; below zero = less
	Grams         decay.Interval // More in grams of refrigerant a year
	HasGrams      bool
	Starts        [2]units.Absolute
}

// Compare compares two holds; false = one of them says nothing yet.
//
// The errors of the two are taken as independent, so the interval of the
// difference is the root of the sum of the squares, each side for itself. What
// both holds have in common, such as the volume, makes it too wide, never too narrow.
func Compare(first, second *State) (c Comparison, ok bool) {
	a, b := first.Estimate, second.Estimate
	if !a.Valid || !b.Valid || !(a.Start > 0) || !(b.Start > 0) {
		return c, false
	}
	share := func(e decay.Estimate) decay.Interval { return times(e.Rate, 100*units.SecondsPerHour/e.Start) }
	c.First, c.Second = share(a), share(b)
	c.More = minus(c.Second, c.First)
	c.Starts = [2]units.Absolute{units.Absolute(a.Start), units.Absolute(b.Start)}
	if c.HasGrams = first.PerPascal.HasRefrigerant && second.PerPascal.HasRefrigerant; c.HasGrams {
		c.Grams = minus(times(b.Rate, second.PerPascal.Refrigerant.GramsPerYear()), times(a.Rate, first.PerPascal.Refrigerant.GramsPerYear()))
	}
	return c, true
}

func times(i decay.Interval, f float64) decay.Interval {
	return decay.Interval{Value: i.Value * f, Lo: i.Lo * f, Hi: i.Hi * f}
}

// minus is the difference of two independent estimates.
func minus(b, a decay.Interval) decay.Interval {
	v := b.Value - a.Value
	return decay.Interval{Value: v, Lo: v - math.Hypot(b.Value-b.Lo, a.Hi-a.Value), Hi: v + math.Hypot(b.Hi-b.Value, a.Value-a.Lo)}
}

// unlike is by how much the pressures at the start may differ before the losses no longer compare, relative.
const unlike = 0.15

// Words says the difference, and what stands in its way.
func (c Comparison) Words() []string {
	out := []string{fmt.Sprintf("First %s, second %s %%/h.", ranged(c.First), ranged(c.Second))}
	diff := ranged(c.More) + " %/h"
	if c.HasGrams {
		diff += ", " + ranged(c.Grams) + " g/yr"
	}
	switch {
	case c.More.Lo > 0:
		out = append(out, "The second loses more: by "+diff+".")
	case c.More.Hi < 0:
		less := times(c.More, -1)
		less.Lo, less.Hi = less.Hi, less.Lo
		diff = ranged(less) + " %/h"
		if c.HasGrams {
			g := times(c.Grams, -1)
			g.Lo, g.Hi = g.Hi, g.Lo
			diff += ", " + ranged(g) + " g/yr"
		}
		out = append(out, "The second loses less: by "+diff+".")
	default:
		out = append(out, "No difference can be told: second less first is "+diff+".")
	}
	if math.Abs(math.Log(float64(c.Starts[0]/c.Starts[1]))) > unlike {
		out = append(out, fmt.Sprintf("They began at %s and %s: a leak grows with the pressure, so this compares only roughly.",
			units.FormatPressure(float64(c.Starts[0]), "bara"), units.FormatPressure(float64(c.Starts[1]), "bara")))
	}
	return out
}

// ranged writes an estimate with its interval, to the digits that the uncertainty deserves.
func ranged(i decay.Interval) string {
	h := i.Half()
	return fmt.Sprintf("%s (%s to %s)", units.Rounded(i.Value, h), units.Rounded(i.Lo, h), units.Rounded(i.Hi, h))
}

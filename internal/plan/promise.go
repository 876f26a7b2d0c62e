package plan

import (
	"example.org/holdfast/internal/gas"
	"example.org/holdfast/internal/units"
)

// Watched is a hold as it was done, to ask what it could have promised.
type Watched struct {
	Gas        string // as gas.Lookup knows it; "" = nitrogen
	Start      units.Absolute
	Atmosphere units.Absolute
	With       Instruments
	Brazed     bool
	Seconds    float64 // s held
}

// Promise is the smallest leak that such a hold proves in every second case, in
// a still room; ok = it was long enough for any word. It is what Make states as Half.
func Promise(w Watched) (rate units.PressureRate, ok bool) {
	g := gas.Nitrogen()
	if w.Gas != "" {
		var err error
		if g, err = gas.Lookup(w.Gas); err != nil {
			return 0, false
		}
	}
	if w.Start <= w.Atmosphere || w.Seconds < lookEvery {
		return 0, false
	}
	n := nominal{gas: g, start: w.Start, atmosphere: w.Atmosphere, with: w.With.filled(), brazed: w.Brazed}
	return seen(n.looks(w.Seconds), w.Seconds).proves(), true
}

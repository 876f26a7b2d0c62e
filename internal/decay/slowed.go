package decay

// A fork also tells a leak that became smaller: one that plugged itself, or a
// gauge that was cut off from the part. Only the sign is taken from it; the interval
// stays that of the whole hold.

const slowedRun = 300.0 // s the odds must last

// slows notes whether the fork, just weighed, says that the leak became smaller.
func (f *fork) slows(t float64) {
	switch {
	case f.jump >= 0 || f.odds <= openedOdds:
		f.slower = -1
	case f.slower < 0:
		f.slower = t
	}
}

// slowed is since when, in s, the leak is smaller than before; 0 = it is not.
func (o *opened) slowed(t float64) (since float64) {
	best := 0.0
	for _, f := range o.forks {
		if f.slower >= 0 && t-f.slower >= slowedRun && f.odds > best {
			since, best = f.at, f.odds
		}
	}
	return since
}

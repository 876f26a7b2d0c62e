package bench

import (
	"math"
	"math/rand/v2"
)

// wander runs a Wander: x(t+dt) = ρx + √(1-ρ²)·SD·noise, ρ = exp(-dt/Tau), exact for any dt.
type wander struct {
	Wander
	x           float64
	dt, rho, sd float64 // factors of the last dt
}

// newWander starts in the stationary state.
func newWander(w Wander, rng *rand.Rand) wander {
	s := wander{Wander: w}
	if w.SD != 0 {
		s.x = w.SD * rng.NormFloat64()
	}
	return s
}

func (w *wander) advance(dt float64, rng *rand.Rand) {
	if w.SD == 0 {
		return
	}
	if dt != w.dt {
		w.dt, w.rho = dt, math.Exp(-dt/w.Tau)
		w.sd = w.SD * math.Sqrt(1-w.rho*w.rho)
	}
	w.x = w.rho*w.x + w.sd*rng.NormFloat64()
}

// follower is a first-order lag with cached factor; a lag of 0 follows at once.
type follower struct {
	lag     float64
	x       float64
	dt, rho float64
}

func (f *follower) advance(dt, target float64) {
	if dt != f.dt {
		f.dt, f.rho = dt, math.Exp(-dt/f.lag)
		if f.lag <= 0 {
			f.rho = 0
		}
	}
	f.x = target + f.rho*(f.x-target)
}

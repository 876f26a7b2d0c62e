package decay

import "math"

// gross watches for a fall that neither heat nor room can make.
type gross struct {
	ref  Sample // the first sample settleFast after the filling
	have bool
	held place     // where it last stood still
	fell place     // since then, not beyond fellMost
	ago  [8]Sample // ring of samples two seconds apart, to see whether it still falls
	n    int
	sure bool // it has fallen too far
}

// place is a pressure (Pa) at a time (s).
type place struct{ t, p float64 }

const (
	settleFast = 10.0       // s: gas in tubes gives its filling heat to the wall in 0.4-4 s
	grossFall  = 0.06       // of the pressure, temperature corrected
	grossRate  = 0.005 / 60 // 1/s: still going on
	heldLong   = 300.0      // s, and
	heldAt     = 0.015      // of the pressure lost until then at most: it had held
	fellMost   = 0.2        // of the pressure: as far as the flow laws hardly differ
	fellHeat   = 0.005      // of the pressure, standard deviation of what else moved it meanwhile
)

// watch takes every raw sample. Filling heat and the room cannot take more than
// a few per cent off the pressure, so a corrected fall of six per cent that
// still goes on is a leak, whatever the bank says.
func (g *gross) watch(h *Hold, s Sample) {
	if h.byHand() || s.T < settleFast {
		return
	}
	if !g.have {
		g.ref, g.have = s, true
	}
	last := g.ago[(g.n+len(g.ago)-1)%len(g.ago)]
	if g.n > 0 && s.T-last.T < 2 {
		return
	}
	old := g.ago[g.n%len(g.ago)]
	g.ago[g.n%len(g.ago)] = s
	g.n++
	if g.n <= len(g.ago) {
		return
	}
	fall := -math.Log(s.P / g.ref.P)
	if r := s.Ambient / g.ref.Ambient; !math.IsNaN(r) {
		fall += h.cfg.stiffness(s.P, tRef) * math.Log(r)
	}
	still := math.Log(old.P/s.P) / (s.T - old.T)
	switch {
	case still < grossRate && !g.sure:
		g.held = place{s.T, s.P}
	case s.P > g.held.p*(1-fellMost):
		g.fell = place{s.T, s.P}
	}
	if fall > grossFall && still > grossRate && !g.sure {
		g.sure = true
		h.alarm.call(s.T, "gross")
		h.changes++
	}
}

// opened reports that a gross leak came when the section had held for a while.
func (g *gross) opened() bool {
	return g.sure && g.held.t > heldLong && g.held.p > g.ref.P*(1-heldAt)
}

// rate is the leak since then in 1/h, with its standard deviation: for each law
// the time from the one pressure to the other, dP/dt = -r Pstart f(P)/f(Pstart),
// integrated.
func (g *gross) rate(start, pa float64) (r, sd float64) {
	hours, from, to := (g.fell.t-g.held.t)/3600, g.held.p, g.fell.p
	if hours <= 0 || to <= pa || from <= to {
		return 0, math.Inf(1)
	}
	molecular := (start - pa) / start * math.Log((from-pa)/(to-pa))
	choked := math.Log(from / to)
	viscous := (start*start - pa*pa) / (2 * pa * start) * math.Log((from-pa)*(to+pa)/((from+pa)*(to-pa)))
	low, high := math.Min(choked, molecular)/hours, math.Max(viscous, choked)/hours
	return (low + high) / 2, math.Hypot((high-low)/math.Sqrt(12), fellHeat*from/start/hours)
}

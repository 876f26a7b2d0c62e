package decay

import "math"

// alarm is the sequential rule that rings for a leak. Looked at every row, it
// may ring falsely in one hold of a hundred.
type alarm struct {
	run      int     // rows in a row above the threshold
	calledAt float64 // s; <0 = not
	why      string
	falling  bool // above the first threshold, but heat could explain it
}

const (
	alarmFrom = 480.0 // s, no call before on these two:
	alarmZ    = 3.6   // of the whole bank
	alarmHot  = 1.3   // of the members that assume a part just brazed
	earlyZ    = 4.0   // the same before alarmFrom: none of 1500 simulated
	earlyHot  = 2.0   // tight holds, a sixteenth of them just brazed, goes so far
	alarmRun  = 3     // rows in a row
)

func (a *alarm) reset() { *a = alarm{calledAt: -1} }

func (a *alarm) check(h *Hold, t float64) {
	z, hot := h.scores()
	a.falling = z > alarmZ && hot <= alarmHot
	if z > alarmZ && hot > alarmHot && (t >= alarmFrom || z > earlyZ && hot > earlyHot) {
		a.run++
	} else {
		a.run = 0
	}
	if a.run >= alarmRun {
		a.call(t, "steady")
	}
}

func (a *alarm) call(t float64, why string) {
	if a.calledAt < 0 {
		a.calledAt, a.why = t, why
	}
}

// gross watches for a fall that neither heat nor room can make.
type gross struct {
	ref  Sample // the first sample settleFast after the filling
	have bool
	ago  [8]Sample // ring of samples two seconds apart, to see whether it still falls
	n    int
}

const (
	settleFast = 10.0       // s: gas in tubes gives its filling heat to the wall in 0.4-4 s
	grossFall  = 0.06       // of the pressure, temperature corrected
	grossRate  = 0.005 / 60 // 1/s: still going on
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
	if g.n <= len(g.ago) || h.alarm.calledAt >= 0 {
		return
	}
	fall := -math.Log(s.P / g.ref.P)
	if r := s.Ambient / g.ref.Ambient; !math.IsNaN(r) {
		fall += h.cfg.stiffness(s.P, tRef) * math.Log(r)
	}
	still := math.Log(old.P/s.P) / (s.T - old.T)
	if fall > grossFall && still > grossRate {
		h.alarm.call(s.T, "gross")
		h.changes++
	}
}

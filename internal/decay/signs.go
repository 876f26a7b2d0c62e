package decay

import "math"

// signs are the figures by which a hold explains itself beside the leak. They
// never enter the interval.
type signs struct {
	at        float64 // s, of the last look
	follows   Interval
	held      float64
	stood     bool // it has stood still beyond doubt: deep in foam it follows no room, and no thermometer is to blame
	levelling Interval
}

const (
	levelFrom  = 600.0  // s: by then what the gas itself took or gave in filling is over
	astrayFrom = 1800.0 // s: no thermometer is called astray before
	followsNot = 0.7    // share below which the pressure does not follow, at the upper end
	heldProven = 0.98
	heldSure   = 0.85 // a noisy sensor of 12 bits that stands still reaches .94
	stillMost  = 1    // index of the widest wander that counts as standing still
)

// look makes them anew, about once a minute, in long holds less often.
func (g *signs) look(h *Hold, t float64) {
	if t-g.at < math.Min(math.Max(60, t/100), 600) {
		return
	}
	g.at = t
	g.levelling = h.levelling(t)
	if h.bank.hasRoom && h.bank.rows >= minRows {
		g.follows, g.held = h.bank.follows(h.post.best)
		g.stood = g.stood || t > astrayFrom && g.follows.Hi < followsNot && g.held > heldProven
	}
}

// astray reports a thermometer that the pressure does not follow, though
// nothing keeps the pressure where it is: it misleads more than it helps.
func (g *signs) astray() bool {
	return !g.stood && g.follows.Hi < followsNot && g.follows.Lo < g.follows.Hi && g.held < heldSure && g.at > astrayFrom
}

// follows is by which share of what a closed gas must the pressure follows the
// thermometer, when the tie of the lags' weights to one is let go; and how
// likely a pressure that follows nothing stands still, rather than going its
// own way.
func (b *bank) follows(best hypothesis) (share Interval, held float64) {
	var free, still, astray evidence
	if b.isBlind(best) {
		best.slope = len(slopes) / 2
	}
	for w := range b.grams {
		h := best
		h.wander, h.law = w, 0 // ready combines at the first law
		_, shift := b.ready(h)
		h.law = best.law
		s := b.tied(h, false, 0)
		theta, e := s.factor()
		mean, variance := s.lagSum(&theta)
		free.add(e+shift, mean, variance)
		_, e = b.system(h, true).factor()
		if w <= stillMost {
			still.add(e+shift, 0, 0)
		} else {
			astray.add(e+shift, 0, 0)
		}
	}
	mean, sd := free.moments()
	odds := math.Exp(math.Min(still.log()-astray.log(), 50))
	return Interval{mean, mean - 1.96*sd, mean + 1.96*sd}, odds / (1 + odds)
}

// lagSum is the sum of the lag weights and its variance.
func (s *system) lagSum(theta *[maxTerms]float64) (mean, variance float64) {
	var c [maxTerms]float64
	for i := range nParam {
		if isLag(i) {
			c[i] = s.scale[i]
		}
	}
	z := s.forward(c)
	for i := range s.n {
		mean += c[i] * theta[i]
		variance += z[i] * z[i]
	}
	return mean, variance
}

// levelling is by how much the pressure has risen since levelFrom by what dies
// out: the terms of the filling heat, which should be falling by then.
func (h *Hold) levelling(t float64) Interval {
	d := h.det
	if t < 2*levelFrom {
		return Interval{}
	}
	var c [nParam]float64
	for k := range nTau {
		i := 1 + nLag + k
		if k >= nFast {
			i = n1 + 1 + k - nFast
		}
		c[i] = h.lastRow[colHeat+k] * (1 - math.Exp((t-levelFrom)/tau[k]))
	}
	mean, variance := 0.0, 0.0
	for i := range c {
		mean += c[i] * d.theta[i]
		for j := range c {
			variance += c[i] * d.cov[i][j] * c[j]
		}
	}
	half := 1.96 * math.Sqrt(math.Max(variance, 0))
	return Interval{mean * h.pStart, (mean - half) * h.pStart, (mean + half) * h.pStart}
}

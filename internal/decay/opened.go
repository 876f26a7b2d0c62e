package decay

import "math"

// A leak may open during the hold. Every few minutes a fork is made: two rival
// stories of what changed there. In one the leak changed (and the level a
// little); in the other something disturbed the section and dies out: a hand, a
// touched hose, a draught. Forks never mix into the main interval.

// Extra columns of a fork.
const (
	exJump  = 0             // the leak's integral since the fork, by law
	exStep  = exJump + nLaw // 1 since the fork
	exFade  = exStep + 1    // a disturbance dying out
	nFade   = 3
	nExtra  = exFade + nFade
	jumpSD  = 0.05 // 1/h, prior of a change of the leak
	stepSD  = 5e-4 // of the level, with a change of the leak
	upsetSD = 1e-3 // of the level and of what dies out, with a disturbance
)

var fadeTau = [nFade]float64{60, 180, 600}

const (
	forkFrom   = 600.0 // s, first fork
	forkEvery  = 240.0 // s between forks
	forksMost  = 8
	forkYoung  = 1200.0 // s a fork is kept whatever it says
	openedOdds = 100.0
	upsetOdds  = 1000.0
	openedZ    = 3.3
	openedRun  = 600.0 // s the odds must last
)

// fork is a place where something may have changed.
type fork struct {
	at       float64 // s
	s0       [nLaw]float64
	sums     []forkSums // one per wander of the bank
	odds     float64    // of a leak change against the better of nothing and a disturbance
	rate, sd float64    // 1/h since the fork
	jump     float64    // 1/h, by how much the leak changed
	upset    float64    // odds of a disturbance against the better of nothing and a leak change
	mean     float64    // 1/h, the leak with the disturbance taken out
	meanSD   float64    // 1/h, its standard deviation
	since    float64    // s, since when the odds are above the threshold; <0 = they are not
}

// forkSums are the products of the whitened extra columns with the bank's
// columns and among themselves. Before the fork the extra columns are zero, so
// nothing has to be known of that time.
type forkSums struct {
	ahead [2][nExtra]float64
	base  [nExtra]row
	own   [nExtra][nExtra]float64
}

// extras builds the extra columns at time t.
func (f *fork) extras(t float64, s *[nLaw]float64) (x [nExtra]float64) {
	for l := range nLaw {
		x[exJump+l] = -(s[l] - f.s0[l])
	}
	x[exStep] = 1
	for k, tau := range fadeTau {
		x[exFade+k] = math.Exp(-(t - f.at) / tau)
	}
	return x
}

// take runs the extra columns through the whitening that gram g has just done.
func (f *forkSums) take(g *gram, x [nExtra]float64) {
	for i := range g.w {
		for c := range x {
			f.ahead[i][c] *= g.rho[i]
		}
	}
	e := x
	for c := range e {
		for i := range g.w {
			e[c] -= f.ahead[i][c]
		}
	}
	for i := range g.w {
		for c := range e {
			f.ahead[i][c] += g.gain[i] * e[c]
		}
	}
	for c := range e {
		e[c] *= g.scale
		for j := range nCol {
			f.base[c][j] += e[c] * g.out[j]
		}
	}
	for c := range e {
		for d := range e {
			f.own[c][d] += e[c] * e[d]
		}
	}
}

// opened looks after the forks of a hold.
type opened struct {
	forks  []*fork
	next   float64 // s of the next fork
	called *fork   // the one that was called
	lookAt float64
	upset  *fork // where a disturbance is near certain
}

// take gives the row that the bank has just taken to all forks.
func (o *opened) take(b *bank, t float64, s *[nLaw]float64) {
	for _, f := range o.forks {
		x := f.extras(t, s)
		for i := range b.grams {
			f.sums[i].take(&b.grams[i], x)
		}
	}
	if t < math.Max(o.next, forkFrom) {
		return
	}
	o.next = t + math.Max(forkEvery, t/40)
	if len(o.forks) == forksMost {
		o.drop(t)
	}
	o.forks = append(o.forks, &fork{at: t, s0: *s, sums: make([]forkSums, len(b.grams)), since: -1})
}

// drop forgets the least likely fork that had its chance.
func (o *opened) drop(t float64) {
	worst := -1
	for i, f := range o.forks {
		if f == o.called || t-f.at < forkYoung {
			continue
		}
		if worst < 0 || f.odds < o.forks[worst].odds {
			worst = i
		}
	}
	if worst < 0 {
		worst = 0
		if o.forks[0] == o.called {
			worst = 1
		}
	}
	o.forks = append(o.forks[:worst], o.forks[worst+1:]...)
}

// look weighs the stories of every fork, once a minute, in long holds less often.
func (o *opened) look(h *Hold, b *bank, t float64) {
	if t-o.lookAt < math.Min(math.Max(60, t/100), 600) || h.det == nil {
		return
	}
	o.lookAt = t
	for _, f := range o.forks {
		if t-f.at < 180 {
			continue
		}
		o.weigh(b, f, h.post.best)
		z := 0.0
		if f.sd > 0 {
			z = (f.rate) / f.sd
		}
		if f.odds > openedOdds && z > openedZ && f.jump > f.rate/2 {
			if f.since < 0 {
				f.since = t
			}
		} else {
			f.since = -1
		}
		better := o.called == nil || f.odds > 10*o.called.odds
		if f.since >= 0 && t-f.since >= openedRun && better {
			o.called = f
		}
	}
	o.upset = nil
	for _, f := range o.forks {
		if f.upset > upsetOdds && (o.upset == nil || f.upset > o.upset.upset) {
			o.upset = f
		}
	}
	if o.called != nil {
		h.alarm.call(t, "opened")
	}
}

// weigh compares the stories over a small bank around the best hypothesis: its
// wander and a long one, its heat scale and a hotter one, all laws.
func (o *opened) weigh(b *bank, f *fork, best hypothesis) {
	var none, upset, leak, jump evidence
	blind := len(b.grams) - 1
	wanders := [2]int{best.wander, min(3, blind)}
	if best.wander == blind || wanders[1] == best.wander {
		wanders[1] = -1
	}
	for _, w := range wanders {
		if w < 0 {
			continue
		}
		h := best
		h.wander = w
		g := &b.grams[w]
		slope := slopes[h.slope]
		if w == blind {
			slope = 0
		}
		b.combine(g, slope)
		for _, h.scale = range [2]int{best.scale, min(best.scale+1, len(heatScales)-1)} {
			for h.law = range nLaw {
				s0 := b.system(h, w == blind)
				s1, s2 := *s0, *s0
				s1.with(&f.sums[w], h.law, slope, exJump+h.law, jumpSD)
				s1.with(&f.sums[w], h.law, slope, exStep, stepSD)
				s2.with(&f.sums[w], h.law, slope, exStep, upsetSD)
				for k := range nFade {
					s2.with(&f.sums[w], h.law, slope, exFade+k, upsetSD)
				}
				shift := -0.5*g.logDet + b.logWand[w]
				_, e := s0.factor()
				none.add(e+shift, 0, 0)
				th, e := s2.factor()
				m, v := s2.leak(&th, false)
				upset.add(e+shift, m, v)
				th, e = s1.factor()
				m, v = s1.leak(&th, true)
				leak.add(e+shift, m, v)
				jump.add(e+shift, th[nParam]*s1.scale[nParam], 0)
			}
		}
	}
	f.odds = math.Exp(math.Min(leak.log()-math.Max(none.log(), upset.log()), 500))
	f.upset = math.Exp(math.Min(upset.log()-math.Max(none.log(), leak.log()), 500))
	f.mean, f.meanSD = upset.moments()
	f.rate, f.sd = leak.moments()
	f.jump, _ = jump.moments()
}

// with adds extra column c of a fork to the system.
func (s *system) with(f *forkSums, law int, slope float64, c int, sd float64) {
	var cross [maxTerms]float64
	for i := range nParam {
		col := combinedColumn(slot(law, i))
		cross[i] = f.base[c][col]
		if drift := driftOf(col); drift >= 0 {
			cross[i] += slope * f.base[c][drift]
		}
	}
	for i := nParam; i < s.n; i++ {
		cross[i] = f.own[c][s.extra[i-nParam]]
	}
	s.extra[s.n-nParam] = c
	s.extend(sd, cross[:s.n], f.own[c][c], f.base[c][colY])
}

// leak is the leak and its variance, with its jump at the fork or without.
func (s *system) leak(theta *[maxTerms]float64, jump bool) (mean, variance float64) {
	var c [maxTerms]float64
	c[n1] = s.scale[n1]
	if jump {
		c[nParam] = s.scale[nParam]
	}
	z := s.forward(c)
	for i := range s.n {
		mean += c[i] * theta[i]
		variance += z[i] * z[i]
	}
	return mean, variance
}

// evidence sums members of a story.
type evidence struct {
	logs, means, vars [24]float64
	n                 int
}

func (e *evidence) add(log, mean, variance float64) {
	e.logs[e.n], e.means[e.n], e.vars[e.n] = log, mean, variance
	e.n++
}

func (e *evidence) top() float64 {
	t := math.Inf(-1)
	for _, l := range e.logs[:e.n] {
		t = math.Max(t, l)
	}
	return t
}

// log is the log of the mean evidence.
func (e *evidence) log() float64 {
	t, sum := e.top(), 0.0
	for _, l := range e.logs[:e.n] {
		sum += math.Exp(l - t)
	}
	return t + math.Log(sum/float64(e.n))
}

// moments are mean and standard deviation of the mixture.
func (e *evidence) moments() (mean, sd float64) {
	t := e.top()
	var w, m, v float64
	for i, l := range e.logs[:e.n] {
		k := math.Exp(l - t)
		w += k
		m += k * e.means[i]
	}
	m /= w
	for i, l := range e.logs[:e.n] {
		v += math.Exp(l-t) / w * (e.vars[i] + sq(e.means[i]-m))
	}
	return m, math.Sqrt(v)
}

package decay

import (
	"iter"
	"math"
	"slices"
)

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
	offTime = 0.05 // h, how far a fork may be off the time of the change
	upsetSD = 1e-3 // of the level and of what dies out, with a disturbance
)

var fadeTau = [nFade]float64{60, 180, 600}

const (
	forkFrom   = 600.0 // s, first fork
	forkEvery  = 240.0 // s between forks
	forkApart  = 60.0  // s at least, where a row startles
	forksMost  = 8
	forkYoung  = 1200.0 // s a fork is kept whatever it says
	weighFrom  = 180.0  // s from which a fork is weighed
	weighEvery = 4.0    // a fork is weighed again when it has grown older by a quarter
	openedOdds = 4.6    // log of 100
	upsetOdds  = 6.9    // log of 1000
	openedZ    = 3.3
	openedRun  = 600.0 // s the odds must last
)

// fork is a place where something may have changed.
type fork struct {
	at       float64    // s
	startled bool       // put where a row startled, so at the right moment if there was one
	before   hypothesis // the bank's best one then
	best     hypothesis // by which a change of the leak is told best
	s0       [nLaw]float64
	sums     []forkSums // one per wander of the bank
	odds     float64    // log of the odds of a leak change against the better of nothing and a disturbance
	rate, sd float64    // 1/h since the fork
	jump     float64    // 1/h, by how much the leak changed
	opened   float64    // s, when it changed, by the step that is left at the fork
	upset    float64    // the same of a disturbance against the better of nothing and a leak change
	mean     float64    // 1/h, the leak with the disturbance taken out
	meanSD   float64    // 1/h, its standard deviation
	since    float64    // s, since when the odds are above the threshold; <0 = they are not
	over     float64    // log of the odds of a leak change against nothing
	fell     bool       // made where the pressure fell beyond doubt
	next     float64    // s, when it is weighed again
	slower   float64    // s, since when the odds say that the leak became smaller; <0 = they do not
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

// take gives the row that the bank has just taken to all forks. A row may have
// waited, so the leak's integrals are its own, not those of now.
func (o *opened) take(b *bank, t float64, x *row, best hypothesis) {
	s := drives(x)
	for _, f := range o.forks {
		e := f.extras(t, &s)
		for i := range b.grams {
			f.sums[i].take(&b.grams[i], e)
		}
	}
	if t >= math.Max(o.next, forkFrom) {
		o.next = t + math.Max(forkEvery, t/40)
		o.fork(b, t, s, best, false)
	}
}

// startled puts a fork where the rows to come are far from what is expected;
// fell: below it, beyond doubt.
func (o *opened) startled(b *bank, t float64, last *row, best hypothesis, fell bool) {
	if n := len(o.forks); t < forkFrom || n > 0 && t-o.forks[n-1].at < forkApart {
		return
	}
	o.fork(b, t, drives(last), best, true)
	o.forks[len(o.forks)-1].fell = fell
}

// drives are the leak's integrals at a row.
func drives(x *row) (s [nLaw]float64) {
	for l := range s {
		s[l] = -x[colLaw+l]
	}
	return s
}

// changing is since when, in s, a leak may have grown: a fork says so against
// nothing, and it is too early to rule out that it was more than a disturbance;
// 0 = none says so.
func (o *opened) changing(t float64) float64 {
	for _, f := range o.forks {
		fresh := f.fell && t-f.at < 2*weighFrom
		if fresh || f.over > openedOdds && f.odds > -openedOdds && f.jump > 0 {
			return f.at
		}
	}
	return 0
}

// fork makes a fork after the last row taken, at time t with the leak's integrals s.
func (o *opened) fork(b *bank, t float64, s [nLaw]float64, best hypothesis, startled bool) {
	if len(o.forks) == forksMost {
		o.drop(t)
	}
	o.forks = append(o.forks, &fork{at: t, startled: startled, before: best, s0: s, sums: make([]forkSums, len(b.grams)), since: -1, slower: -1})
}

// drop forgets the least likely fork that had its chance, or if all are young
// the least likely of those that were weighed. One that was put where a row
// startled goes only if half of them are such, for the others are off by minutes.
func (o *opened) drop(t float64) {
	startled := 0
	for _, f := range o.forks {
		if f.startled {
			startled++
		}
	}
	worst := -1
	for _, age := range [...]float64{forkYoung, weighFrom, 0} {
		for i, f := range o.forks {
			spared := f == o.called || f.startled && startled <= forksMost/2
			if !spared && t-f.at >= age && (worst < 0 || f.odds < o.forks[worst].odds) {
				worst = i
			}
		}
		if worst >= 0 {
			break
		}
	}
	o.forks = slices.Delete(o.forks, worst, worst+1)
}

// changing is since when, in s, the pressure may fall faster than before, for
// too short a time to tell a leak from a disturbance; 0 = it does not.
func (h *Hold) changing() float64 {
	if w := h.jump.waiting; len(w) > 0 && h.jump.falls(h) {
		return w[0].t
	}
	return h.opened.changing(h.rowAt)
}

// look weighs the stories of every fork, once a minute, in long holds less often.
func (o *opened) look(h *Hold, b *bank, t float64) {
	if t-o.lookAt < math.Min(math.Max(60, t/100), 600) || h.det == nil {
		return
	}
	o.lookAt = t
	for _, f := range o.forks {
		if t-f.at < weighFrom || t < f.next && f != o.called {
			continue
		}
		f.next = t + (t-f.at)/weighEvery
		o.weigh(b, f, h.post.best)
		f.slows(t)
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
		better := o.called == nil || f.odds > o.called.odds+openedOdds/2
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

// weigh compares the stories. Nothing and a disturbance are told by the bank's
// best hypothesis of now, which has bent as far as it can to explain all that
// happened; a change of the leak by the best one before the fork. Each with
// a long wander beside its own, with more or with normal heat, and all laws.
func (o *opened) weigh(b *bank, f *fork, now hypothesis) {
	var none, upset, leak, jump, step evidence
	for h := range b.around(now, min(now.scale+1, len(heatScales)-1)) {
		slope, shift := b.ready(h)
		s0 := b.system(h, b.isBlind(h))
		s1 := *s0
		s1.with(&f.sums[h.wander], h.law, slope, exStep, upsetSD)
		for k := range nFade {
			s1.with(&f.sums[h.wander], h.law, slope, exFade+k, upsetSD)
		}
		_, e := s0.factor()
		none.add(e+shift, 0, 0)
		th, e := s1.factor()
		m, v := s1.leak(&th, false)
		upset.add(e+shift, m, v)
	}
	top := math.Inf(-1)
	for h := range b.around(f.before, normalHeat) {
		slope, shift := b.ready(h)
		s := f.story(b, h, slope)
		th, e := s.factor()
		if e+shift > top {
			top, f.best = e+shift, h
		}
		m, v := s.leak(&th, true)
		leak.add(e+shift, m, v)
		jump.add(e+shift, th[nParam]*s.scale[nParam], 0)
		step.add(e+shift, th[nParam+1]*s.scale[nParam+1], 0)
	}
	f.odds = leak.log() - math.Max(none.log(), upset.log())
	f.over = leak.log() - none.log()
	f.upset = upset.log() - math.Max(none.log(), leak.log())
	f.mean, f.meanSD = upset.moments()
	f.rate, f.sd = leak.moments()
	f.jump, _ = jump.moments()
	f.opened = f.at
	if left, _ := step.moments(); f.jump > 0 {
		f.opened += 3600 * math.Min(math.Max(left/f.jump, -2*offTime), 2*offTime)
	}
}

// story is a change of the leak as told by hypothesis h, whose products are combined.
func (f *fork) story(b *bank, h hypothesis, slope float64) *system {
	s := b.system(h, b.isBlind(h))
	s.with(&f.sums[h.wander], h.law, slope, exJump+h.law, math.Hypot(jumpSD, f.jump))
	s.with(&f.sums[h.wander], h.law, slope, exStep, math.Hypot(stepSD, offTime*f.jump))
	return s
}

// around are a hypothesis and its neighbours: its wander and a long one, its
// heat scale and another, all laws.
func (b *bank) around(h hypothesis, scale int) iter.Seq[hypothesis] {
	if b.isBlind(h) {
		h.slope = len(slopes) / 2 // it has none, its neighbour needs one
	}
	return func(yield func(hypothesis) bool) {
		for _, wander := range [2]int{h.wander, min(longWander, len(b.grams)-1)} {
			for _, scale := range [2]int{h.scale, scale} {
				for law := range nLaw {
					if !yield(hypothesis{wander, h.slope, law, scale}) {
						return
					}
				}
			}
		}
	}
}

// ready combines the products for hypothesis h and gives its drift (K/h) and
// what the whitening and the prior add to the log evidence.
func (b *bank) ready(h hypothesis) (slope, shift float64) {
	g := &b.grams[h.wander]
	if !b.isBlind(h) {
		slope = slopes[h.slope]
	}
	if h.law == 0 {
		b.combine(g, slope)
	}
	return slope, b.logWand[h.wander] - 0.5*g.logDet
}

// isBlind reports the hypothesis that the thermometer tells nothing.
func (b *bank) isBlind(h hypothesis) bool { return h.wander == len(b.grams)-1 }

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

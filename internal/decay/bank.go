package decay

import "math"

// The regression is solved in two blocks. The first holds what all flow laws
// and heat scales share (level, lag weights, fast heat) and is factored once per
// wander and drift hypothesis; the second holds the leak and the slow heat, four
// terms, and is solved for each law and scale. Order of the combined columns:
const (
	nFast  = 4                    // heat terms in the first block (tau up to 400 s)
	nSlow  = nTau - nFast         // in the second
	n1     = 1 + nLag + nFast + 1 // terms of the first block, the last one a step of the sensor
	n2     = 1 + nSlow            // terms of the second: leak, slow heat
	atLaw  = n1                   // combined columns: laws,
	atSlow = atLaw + nLaw         // slow heat,
	atY    = atSlow + nSlow       // observation
	nComb  = atY + 1
	nRest  = nComb - n1
)

// bank is the set of hypotheses with all that the data say of each.
type bank struct {
	model   thermal
	grams   []gram // one per wander; the last is the blind one
	logWand []float64
	scales  [len(heatScales)]float64
	mean1   [n1]float64 // prior of the first block
	sd1     [n1]float64
	slowAdd [nSlow]float64 // variance added to the slow heat, K2
	tieVar  float64        // of the sum of the lag weights
	hasRoom bool
	work    workspace
	rows    int
}

// workspace is scratch for look, kept to save allocations.
type workspace struct {
	comb [nComb][nComb]float64
	l    [n1][n1]float64
	v    [n1][nRest]float64
	t    [nRest][nRest]float64
}

// hypothesis names one member of the bank.
type hypothesis struct{ wander, slope, law, scale int }

// member is what one hypothesis says.
type member struct {
	hypothesis
	logW, mean, sd float64
}

// posterior is what the whole bank says of the leak, 1/h.
type posterior struct {
	mean, sd       float64
	hotMean, hotSD float64 // in the members with the hottest part alone
	within         float64 // variance inside members, the rest is between them
	best           hypothesis
	blind          float64 // probability that the thermometer tells nothing
}

func newBank(c Config, model thermal, pStart float64, hasRoom bool) *bank {
	b := &bank{model: model, hasRoom: hasRoom, scales: heatScales}
	if c.Brazed {
		b.scales = brazedScales
	}
	if hasRoom {
		for _, w := range wanders {
			b.grams = append(b.grams, gram{w: w})
			b.logWand = append(b.logWand, math.Log((1-blindWeight)/float64(len(wanders))))
		}
	}
	b.grams = append(b.grams, gram{w: blind})
	b.logWand = append(b.logWand, math.Log(blindWeight))
	drift := c.span() / pStart
	b.sd1[0] = priorLevel
	for j := range nLag {
		b.mean1[1+j], b.sd1[1+j] = model.mean[j], model.sd[j]
	}
	// The zero that drifts with the temperature looks like more or less gas
	// temperature, and a zero that is off makes every share of the pressure wrong.
	b.tieVar = sq(model.sumSD) + sq(c.drift()*tRef/pStart) + sq(c.inaccuracy()/pStart)
	for k := range nFast {
		b.mean1[1+nLag+k] = model.heat[k]
		b.sd1[1+nLag+k] = math.Hypot(model.heatSD[k], historyHeat(tau[k]))
	}
	b.sd1[n1-1] = stepPrior
	for k := range nSlow {
		b.slowAdd[k] = sq(historyHeat(tau[nFast+k]))
	}
	b.slowAdd[0] += sq(5e-5 * drift * tRef) // sensor warm-up, 5e-5 of span
	return b
}

// blindWeight is the prior probability that the thermometer tells nothing about the part.
const blindWeight = 0.01

// historyHeat is what earlier heating may have left in slow terms, K.
func historyHeat(tau float64) float64 {
	if tau >= 300 {
		return 0.05
	}
	return 0
}

// take adds one row with its time since the row before and its noise variance.
func (b *bank) take(x *row, dt, noise float64) {
	for i := range b.grams {
		b.grams[i].predict(dt)
		b.grams[i].take(x, noise)
	}
	b.rows++
}

// look solves the whole bank.
func (b *bank) look(logSlope [len(slopes)]float64) posterior {
	var mem [maxMembers]member
	n := 0
	for w := range b.grams {
		g := &b.grams[w]
		blind := w == len(b.grams)-1
		for s := range slopes {
			if blind && s > 0 {
				break
			}
			logW := b.logWand[w]
			if !blind {
				logW += logSlope[s]
			}
			b.combine(g, slopes[s])
			logE := b.factor(blind) - 0.5*g.logDet
			for law := range nLaw {
				for sc := range b.scales {
					m := b.solve(law, sc)
					m.hypothesis = hypothesis{w, s, law, sc}
					m.logW += logW + logE + math.Log(heatWeights[sc])
					mem[n] = m
					n++
				}
			}
		}
	}
	return mixture(mem[:n], len(b.grams)-1, len(b.scales)-1)
}

// maxMembers is wanders x drifts, and the blind one, x laws x heat scales.
const maxMembers = (8*len(slopes) + 1) * nLaw * len(heatScales)

// combine folds a drift hypothesis into the lag columns: their products become
// G_jk + s(D_jk + D_kj) + s2 D'_jk. Upper triangle of work.comb.
func (b *bank) combine(g *gram, slope float64) {
	c := &b.work.comb
	for i := range nComb {
		for j := i; j < nComb; j++ {
			ci, cj := combinedColumn(i), combinedColumn(j)
			v := g.at(ci, cj)
			if slope != 0 {
				di, dj := driftOf(ci), driftOf(cj)
				if di >= 0 {
					v += slope * g.at(di, cj)
				}
				if dj >= 0 {
					v += slope * g.at(ci, dj)
				}
				if di >= 0 && dj >= 0 {
					v += slope * slope * g.at(di, dj)
				}
			}
			c[i][j] = v
		}
	}
}

// combinedColumn maps combined columns to columns of a row.
func combinedColumn(i int) int {
	switch {
	case i <= nLag: // level and lags stand in the same order
		return i
	case i < n1: // fast heat, then the step
		if i == n1-1 {
			return colStep
		}
		return colHeat + i - 1 - nLag
	case i < atSlow:
		return colLaw + i - atLaw
	case i < atY:
		return colHeat + nFast + i - atSlow
	default:
		return colY
	}
}

// driftOf is the drift column that belongs to a lag column; -1 for the others.
func driftOf(c int) int {
	if c >= colLag && c < colDrift {
		return c + nLag
	}
	return -1
}

// prior1 gives scale and scaled prior mean of term i of the first block; a
// blind bank has no lag weights.
func (b *bank) prior1(i int, blind bool) (d, m float64) {
	if b.sd1[i] == 0 || blind && i >= 1 && i <= nLag {
		return 0, 0
	}
	return b.sd1[i], b.mean1[i] / b.sd1[i]
}

// factor eliminates the first block (Cholesky), leaves what is left of the rest
// in work.t, and returns its part of the log evidence. Terms are scaled by their
// prior standard deviations, so the prior precision is one and the matrix well
// conditioned. Long because it is the innermost loop and stays in one piece.
func (b *bank) factor(blind bool) float64 {
	w := &b.work
	tie := 0.0
	if !blind && b.tieVar > 0 {
		tie = 1 / b.tieVar
	}
	var d, m [n1]float64
	sumTie, yy := 1.0, 0.0
	for i := range n1 {
		d[i], m[i] = b.prior1(i, blind)
		yy += m[i] * m[i]
		if i >= 1 && i <= nLag {
			sumTie += tie * d[i] * d[i]
		}
	}
	if tie > 0 {
		yy += tie
	}
	for i := range n1 {
		for j := i; j < n1; j++ {
			v := d[i] * d[j] * w.comb[i][j]
			if i >= 1 && j <= nLag {
				v += tie * d[i] * d[j]
			}
			w.l[j][i] = v
		}
		w.l[i][i]++
		for r := range nRest {
			w.v[i][r] = d[i] * w.comb[i][n1+r]
		}
		w.v[i][nRest-1] += m[i]
		if i >= 1 && i <= nLag {
			w.v[i][nRest-1] += tie * d[i]
		}
	}
	logDet := cholesky(w)
	for r := range nRest {
		for q := r; q < nRest; q++ {
			v := w.comb[n1+r][n1+q]
			for i := range n1 {
				v -= w.v[i][r] * w.v[i][q]
			}
			w.t[r][q], w.t[q][r] = v, v
		}
	}
	w.t[nRest-1][nRest-1] += yy
	return -0.5*logDet + 0.5*math.Log(sumTie)
}

// cholesky factors the lower triangle of w.l in place, solves L v = w.v in
// place, and returns the log determinant. Own code: the dozen terms are solved
// thousands of times a minute and a general library would allocate for each.
func cholesky(w *workspace) (logDet float64) {
	for j := range n1 {
		s := w.l[j][j]
		for k := range j {
			s -= w.l[j][k] * w.l[j][k]
		}
		s = math.Sqrt(math.Max(s, 1e-12))
		w.l[j][j] = s
		logDet += 2 * math.Log(s)
		for i := j + 1; i < n1; i++ {
			v := w.l[i][j]
			for k := range j {
				v -= w.l[i][k] * w.l[j][k]
			}
			w.l[i][j] = v / s
		}
		for r := range nRest {
			v := w.v[j][r]
			for k := range j {
				v -= w.l[j][k] * w.v[k][r]
			}
			w.v[j][r] = v / s
		}
	}
	return logDet
}

// prior2 gives scale and scaled prior mean of the second block under a heat scale.
func (b *bank) prior2(scale int) (d, m [n2]float64) {
	d[0] = priorRate
	g := b.scales[scale]
	for k := range nSlow {
		d[1+k] = math.Sqrt(sq(g*b.model.heatSD[nFast+k]) + b.slowAdd[k])
		m[1+k] = g * b.model.heat[nFast+k] / d[1+k]
	}
	return d, m
}

// solve does the second block for one law and heat scale.
func (b *bank) solve(law, scale int) (m member) {
	t := &b.work.t
	d, m0 := b.prior2(scale)
	idx := [n2]int{law, nLaw, nLaw + 1, nLaw + 2}
	var a [n2][n2]float64
	var rhs [n2]float64
	yy := t[nRest-1][nRest-1]
	for i := range n2 {
		for j := range n2 {
			a[i][j] = d[i] * d[j] * t[idx[i]][idx[j]]
		}
		a[i][i]++
		rhs[i] = d[i]*t[idx[i]][nRest-1] + m0[i]
		yy += m0[i] * m0[i]
	}
	// Eliminate from the last term upwards so that the leak is solved last and
	// its pivot is its own posterior precision.
	logDet := 0.0
	for p := n2 - 1; p >= 0; p-- {
		piv := math.Max(a[p][p], 1e-12)
		logDet += math.Log(piv)
		yy -= rhs[p] * rhs[p] / piv
		for i := range p {
			f := a[i][p] / piv
			rhs[i] -= f * rhs[p]
			for j := range p {
				a[i][j] -= f * a[p][j]
			}
		}
	}
	m.mean = d[0] * rhs[0] / a[0][0]
	m.sd = d[0] / math.Sqrt(a[0][0])
	m.logW = -0.5*yy - 0.5*logDet
	return m
}

// mixture weighs the members.
func mixture(mem []member, blind, hot int) (p posterior) {
	top, topHot := math.Inf(-1), math.Inf(-1)
	for _, m := range mem {
		if m.logW > top {
			top, p.best = m.logW, m.hypothesis
		}
		if m.scale == hot {
			topHot = math.Max(topHot, m.logW)
		}
	}
	var w, wHot float64
	for _, m := range mem {
		k := math.Exp(m.logW - top)
		w += k
		p.mean += k * m.mean
		if m.wander == blind {
			p.blind += k
		}
		if m.scale == hot {
			k := math.Exp(m.logW - topHot)
			wHot += k
			p.hotMean += k * m.mean
		}
	}
	p.mean /= w
	p.blind /= w
	p.hotMean /= wHot
	var between, hotVar float64
	for _, m := range mem {
		k := math.Exp(m.logW-top) / w
		p.within += k * m.sd * m.sd
		between += k * sq(m.mean-p.mean)
		if m.scale == hot {
			hotVar += math.Exp(m.logW-topHot) / wHot * (m.sd*m.sd + sq(m.mean-p.hotMean))
		}
	}
	p.sd = math.Sqrt(p.within + between)
	p.hotSD = math.Sqrt(hotVar)
	return p
}

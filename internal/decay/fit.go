package decay

import "math"

// Hold follows one filling of one closed section. Feed it with Add, in order of
// time; ask it with Estimate, Curve and Project. Not safe for use by several
// goroutines.
type Hold struct {
	cfg     Config
	clean   cleaner
	room    thermometer
	part    thermometer
	trend   trend
	lags    lagBank
	bin     bin
	bank    *bank // nil until the first row
	alone   *bank // the blind bank on every row, also those without temperature
	gross   gross
	opened  opened
	clipped int // rows in a row whose noise was raised
	alarm   alarm
	trace   trace
	touch   touch
	jump    jump
	signs   signs

	pStart   float64       // Pa, first pressure
	tStart   float64       // K, room at the first pressure; NaN = not known
	first    float64       // s, time of the first sample
	lastP    float64       // Pa
	lastT    float64       // s
	saidStep float64       // Pa, coarsest step that a sample said it has
	lag0     [nLag]float64 // K, lagged temperatures at the first sample
	s        [nLaw]float64 // h, time integral of the leak's drive
	flow     [nLaw]float64 // drive at the last bin, relative to the start
	flowAt   float64       // s
	rowAt    float64       // s, time of the last row of the bank
	flipAt   float64       // s, when a coarse display last stepped
	edge     float64       // Pa, between which two steps, when a row last said so
	edgeAt   float64       // s, of that row
	aloneAt  float64       // s, of the last row of the blind bank
	lastRow  row
	post     posterior
	det      *detail // the best hypothesis in full; nil before there is one
	shown    *detail // the same for curves, or of a leak that opened the story of that
	level    float64 // of ln P against the start once the filling heat is gone
	lookedAt float64
	frozenT  float64 // s spent with a frozen pressure
	frozenAt float64 // s, of the last sample that was
	doubted  []rowAt // rows of a pressure that stands too still: frozen or chance, the next samples will tell
	changes  int     // how often the answer changed
}

// New starts a hold; time zero of its samples is the end of the filling.
func New(c Config) *Hold {
	h := &Hold{cfg: c, tStart: math.NaN()}
	h.clean.step = 0
	h.alarm.reset()
	return h
}

// Ambient tells temperatures from before the first pressure (t < 0), so that
// the lags start from what the room really did.
func (h *Hold) Ambient(t, room, part float64) {
	if h.pStart > 0 || math.IsNaN(room) {
		return
	}
	room, part = h.room.use(t, room), h.part.use(t, part)
	if math.IsNaN(room) {
		return
	}
	h.trend.add(t, room)
	h.startLags(part)
	h.lags.step(t, room, orElse(part, room))
}

// Add takes one sample. Samples that go back in time are ignored.
func (h *Hold) Add(s Sample) {
	if !(s.P > 0) || math.IsInf(s.P, 0) || h.pStart > 0 && s.T <= h.lastT {
		return
	}
	s.Ambient, s.Section = h.room.use(s.T, s.Ambient), h.part.use(s.T, s.Section)
	if h.pStart == 0 {
		h.begin(s)
	}
	h.lastP, h.lastT = s.P, s.T
	h.saidStep = math.Max(h.saidStep, s.Step)
	h.gross.watch(h, s)
	c, ok := h.clean.push(s)
	if h.isFrozen() {
		h.frozenAt = s.T
	}
	if !ok {
		return
	}
	if h.bin.n > 0 && (c.T >= h.bin.end || h.byHand()) {
		h.closeBin()
	}
	h.bin.add(c, h.binLength(c.T))
	h.bin.frozen = h.bin.frozen || c.T <= h.frozenAt && h.frozenAt > 0
	h.bin.doubtful = h.clean.lifeless()
}

// begin sets everything that refers to the start.
func (h *Hold) begin(s Sample) {
	h.pStart, h.first, h.tStart = s.P, s.T, s.Ambient
	h.flowAt = s.T
	h.flow = [nLaw]float64{1, 1, 1}
	if !math.IsNaN(s.Ambient) {
		h.startLags(s.Section)
		h.lags.step(s.T, s.Ambient, orElse(s.Section, s.Ambient))
	}
	h.lag0 = h.lags.level
}

// startLags picks the thermal model: by the part if its temperature is known.
func (h *Hold) startLags(part float64) {
	if h.lags.begun {
		return
	}
	h.lags.model = roomThermal()
	if !math.IsNaN(part) {
		h.lags.model = partThermal()
	}
}

// byHand reports readings so far apart that each is a row of its own.
func (h *Hold) byHand() bool { return h.clean.gap >= sparse/2 }

// Changes counts how often the answer may have changed: a caller that keeps the
// last count need only ask again when it differs.
func (h *Hold) Changes() int { return h.changes }

// binLength grows with the hold, so that a day costs little more than an hour.
func (h *Hold) binLength(t float64) float64 {
	n := binLength
	for limit := 2 * 3600.0; t > limit && n < 160; limit *= 2 {
		n *= 2
	}
	return n
}

// closeBin ends the bin; where the thermometer is in doubt it waits.
func (h *Hold) closeBin() {
	h.changes++
	b := h.bin
	h.bin.n = 0
	for _, q := range h.touch.pass(b) {
		h.use(q)
	}
}

// use turns a bin into a row and lets the bank and the alarms see it.
func (h *Hold) use(b bin) {
	t, p, room, part := b.time(), b.pressure(), b.roomMean(), b.partMean()
	if b.nRoom > 0 {
		h.trend.add(t, room)
		h.lags.step(t, room, orElse(part, room))
		if math.IsNaN(h.tStart) {
			h.tStart, h.lag0 = room, h.lags.level
		}
	}
	h.drive(t, p)
	if b.frozen {
		h.frozenT += float64(b.n) * h.clean.gap
		h.doubted = h.doubted[:0]
		return
	}
	p, sd, use := h.reading(b, t, p)
	x := h.row(t, p)
	h.trace.add(t, b, room, part, &x)
	if !use || t < firstUse && !h.byHand() {
		return
	}
	noise := sq(sd/p) + (sq(0.03)+sq(h.tempStep())/12)/sq(tRef)
	h.doubted = append(h.doubted, rowAt{t, x, noise, b.nRoom > 0, h.jump.shift})
	if b.doubtful {
		return
	}
	for _, d := range h.doubted {
		d.x[colStep] = h.jump.column() // a step may have been found since the row was made
		d.x[colY] -= h.jump.shift - d.shift
		for _, q := range h.jump.pass(h, d) {
			h.feed(q)
		}
	}
	h.doubted = h.doubted[:0]
}

// reading is the pressure of the bin with its standard deviation. Of a needle
// whose step is known that is 0.4 steps: from readings minutes apart no noise
// can be told from heat. A display too
// coarse to dither tells most at the moment it steps: then the value is midway
// (sd 0.13 steps); flickering about the same two goes on to share that error, so
// it counts again only five minutes later. Between steps a reading counts (sd 0.35) ten
// minutes later, then after twice that and so on, for they all share one error.
func (h *Hold) reading(b bin, t, p float64) (value, sd float64, use bool) {
	step := math.Max(b.step, h.cfg.Step)
	if h.byHand() {
		if step > 0 {
			return p, 0.4 * step, true
		}
		return p, math.Max(0.4*h.clean.step, h.clean.cached), true
	}
	if h.clean.coarse() {
		q := math.Max(step, h.clean.step)
		if b.flips > 0 {
			h.flipAt = t
			edge := b.flip / float64(b.flips)
			if math.Abs(edge-h.edge) < q/2 && t-h.edgeAt < 300 {
				return edge, 0.13 * q, false
			}
			h.edge, h.edgeAt = edge, t
			return edge, 0.13 * q, true
		}
		return p, 0.35 * q, t-h.rowAt >= math.Max(600, h.rowAt-h.flipAt)
	}
	sd = math.Max(h.clean.sigma(), step/math.Sqrt(12))
	return p, sd / math.Sqrt(float64(b.n)), true
}

// drive integrates the leak's drive under each law by the trapezoid rule:
// ds/dt = f(P)/f(Pstart) * Pstart/P.
func (h *Hold) drive(t, p float64) {
	now, start := lawFlow(p, h.cfg.atmosphere()), lawFlow(h.pStart, h.cfg.atmosphere())
	for l := range nLaw {
		f := 1.0
		if start[l] > 0 {
			f = now[l] / start[l] * h.pStart / p
		}
		h.s[l] += (h.flow[l] + f) / 2 * (t - h.flowAt) / 3600
		h.flow[l] = f
	}
	h.flowAt = t
}

// row builds the terms of the model at time t.
func (h *Hold) row(t, p float64) (x row) {
	// The stiffness changes on the way, of CO2 at 21 bar by 1 % with 5 K: taken
	// midway, its product with the change of ln T is right to second order.
	mid := tRef
	if h.lags.begun {
		mid = (h.lag0[0] + h.lags.level[0]) / 2
	}
	g := h.cfg.stiffness((h.pStart+p)/2, mid)
	x[colOne] = 1
	if h.lags.begun {
		for j := range nLag {
			x[colLag+j] = g * math.Log(h.lags.level[j]/h.lag0[j])
			x[colDrift+j] = g * (h.lags.drift(j, t) - h.lags.drift(j, h.first)) / tRef
		}
	}
	for k := range nTau {
		x[colHeat+k] = g * math.Exp(-t/tau[k]) / tRef
	}
	for l := range nLaw {
		x[colLaw+l] = -h.s[l]
	}
	x[colStep] = h.jump.column()
	x[colY] = math.Log(p/h.pStart) - h.jump.shift
	return x
}

// rowAt is a row with its time, s, its noise variance, and whether the room was measured.
type rowAt struct {
	t     float64
	x     row
	noise float64
	room  bool
	shift float64 // of ln P, taken off already
}

// feed gives a row to the banks and looks at what they say.
func (h *Hold) feed(q rowAt) {
	if h.bank == nil {
		if !h.lags.begun {
			h.lags.model = roomThermal()
		}
		h.bank = newBank(h.cfg, h.lags.model, h.pStart, q.room)
		h.alone = newBank(h.cfg, roomThermal(), h.pStart, false)
		h.rowAt, h.aloneAt = q.t, q.t
	}
	noise := q.noise
	if q.room || !h.bank.hasRoom {
		noise = h.unclip(&q.x, q.t-h.rowAt, noise)
		h.bank.take(&q.x, q.t-h.rowAt, noise)
		h.rowAt = q.t
		h.opened.take(h.bank, q.t, &q.x, h.post.best)
	}
	h.alone.take(&q.x, q.t-h.aloneAt, noise)
	h.aloneAt = q.t
	h.lastRow = q.x
	if q.t-h.lookedAt >= h.cfg.LookEvery {
		h.look(q.t)
	}
}

// unclip raises the noise of a row that lies more than five standard deviations
// off, so that it weighs as if it lay at five. At most two rows in a row: what
// lasts longer is no outlier.
func (h *Hold) unclip(x *row, dt, noise float64) float64 {
	if h.det == nil || h.opinion() != h.bank {
		return noise
	}
	off, v := h.bank.surprise(h.det, x, dt, noise)
	if off*off <= 25*v || h.clipped >= 2 {
		h.clipped = 0
		return noise
	}
	h.clipped++
	return noise + off*off/25 - v
}

// look asks the bank for its opinion.
func (h *Hold) look(t float64) {
	h.post = h.opinion().look(h.trend.slopeWeights())
	h.det = nil
	if h.opinion().rows >= minRows {
		h.det = h.opinion().explain(h.post.best)
		h.level = h.det.theta[0]
		h.opened.look(h, h.bank, t)
		h.signs.look(h, t)
		h.shown = h.det
		if f := h.opened.called; f != nil && h.opinion() == h.bank {
			h.shown = h.bank.tell(f)
		}
	}
	h.lookedAt = t
	h.alarm.check(h, t)
}

// tempStep is the readable step of the room thermometer, K.
func (h *Hold) tempStep() float64 {
	if h.cfg.TempStep > 0 {
		return h.cfg.TempStep
	}
	return math.Min(h.room.step, 1)
}

// isFrozen reports a pressure that has stood still for longer than its noise allows.
func (h *Hold) isFrozen() bool {
	c := &h.clean
	run := c.lastT - c.sameT
	if c.seen < 60 || c.same < frozen || run < 60 {
		return false
	}
	if !c.lively() && math.Max(c.step, math.Max(h.cfg.Step, h.saidStep)) >= h.lastP/1000 {
		return false // 0.3 K: a live display stands as still
	}
	if !c.lively() && (run < 1200 || run < 4*c.rest) {
		return false // its steps are wider than its noise: it always stood still between them
	}
	return c.stillness() > frozen
}

// neverMoved reports a pressure that did not change once since the filling on a
// gauge whose step is not known, or too fine for that: nothing says that the
// sensor lives. A step of a four-hundredth is what 0.7 K do to the gas, and filling warms it by more.
func (h *Hold) neverMoved() bool {
	c := &h.clean
	return !h.byHand() && c.seen >= 60 && c.moves == 0 && math.Max(h.cfg.Step, h.saidStep) < h.lastP/400
}

// orElse is v, or w where v is not known.
func orElse(v, w float64) float64 {
	if math.IsNaN(v) {
		return w
	}
	return v
}

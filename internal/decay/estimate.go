package decay

import (
	"math"
	"slices"
)

// opinion is the bank whose word counts: the one with the thermometer, or the
// blind one when the thermometer is away, was for most of the hold, or misleads.
func (h *Hold) opinion() *bank {
	switch {
	case h.bank == nil:
		return nil
	case h.bank.hasRoom && (h.thermometerAway() || h.signs.astray()):
		return h.alone
	}
	return h.bank
}

// thermometerAway reports too few rows with a temperature. For a moment one can
// do without; what it missed before it came back is only a gap.
func (h *Hold) thermometerAway() bool {
	share := float64(h.bank.rows) / float64(h.alone.rows)
	return share < awayMost || share < awayNow && h.aloneAt-h.rowAt > awayFor
}

const (
	awayMost = 0.5   // of the rows have a temperature: with fewer, never mind when
	awayNow  = 0.8   // the same while the thermometer is silent or stuck
	awayFor  = 120.0 // s without it
)

// rate is the leak in 1/h of the start pressure with its standard uncertainty:
// the bank's, and what no bank can know: flow law and reference state, the
// reading eye, and how steady a sensor stays over hours.
func (h *Hold) rate() (r, sd float64) {
	// The leak is driven by moles: while the gas was hotter than the part, the same
	// leak took a smaller share of the pressure.
	hot := math.Exp(math.Min(math.Max(-h.level, -0.005), 0.04))
	r, sd = h.post.mean, h.post.sd
	if f := h.opened.upset; f != nil && h.opened.called == nil {
		r, sd = f.mean, math.Max(f.meanSD, sd)
	}
	r, sd = r*hot, sd*hot
	v := sd*sd + sq(lawError*r) + h.cfg.beyond(r, h.pStart)
	if h.byHand() {
		v += sq(handError * r)
	}
	return r, math.Sqrt(v)
}

// latest is the leak as it is now, in 1/h of the start pressure, with its standard
// uncertainty, and since when, in s, if it opened on the way; <0 = it did not.
func (h *Hold) latest() (r, sd, opened float64) {
	switch f := h.opened.called; {
	case f != nil:
		r, sd, opened = f.rate, f.sd, f.opened
	case h.gross.opened():
		r, sd = h.gross.rate(h.pStart, h.cfg.atmosphere())
		opened = h.gross.held.t
	default:
		r, sd = h.rate()
		return r, sd, -1
	}
	return r, math.Sqrt(sq(sd) + sq(openedError*r) + h.cfg.beyond(r, h.pStart)), opened
}

// scores are the leak over its uncertainty, in the whole bank and in the
// members that assume a part just brazed.
func (h *Hold) scores() (z, hot float64) {
	r, sd := h.rate()
	if sd == 0 {
		return 0, 0
	}
	extra := sd*sd - h.post.sd*h.post.sd
	return r / sd, h.post.hotMean / math.Sqrt(sq(h.post.hotSD)+extra)
}

// Estimate is what the hold says so far.
func (h *Hold) Estimate() Estimate {
	e := Estimate{Start: h.pStart, End: h.lastP, CalledAt: h.alarm.calledAt, CalledWhy: h.alarm.why, OpenedAt: -1, UpsetAt: -1, SettledAt: -1}
	e.Warnings = h.warnings()
	e.Steps = slices.Clone(h.jump.found)
	b := h.opinion()
	if b == nil || b.rows < minRows || h.det == nil {
		return e
	}
	e.Valid, e.At, e.Bins = true, h.lookedAt, b.rows
	r, sd, opened := h.latest()
	e.OpenedAt = opened
	unit := h.pStart / 3600 // 1/h to Pa/s
	e.Rate = Interval{r * unit, (r - 1.96*sd) * unit, (r + 1.96*sd) * unit}
	e.SE = sd * unit
	e.Z, e.ZHot = h.scores()
	h.signsOf(&e, b)
	h.shares(&e, sd)
	if d := h.shown; d != nil {
		move := d.without(&h.lastRow)
		if e.OpenedAt < 0 || d.late != nil { // else a steady leak was fitted to what is none
			e.Level = h.pStart * math.Exp(d.theta[0])
		}
		e.Corrected = h.pStart * math.Exp(h.lastRow[colY]-move)
		e.HeatRate = h.heatRate(d)
	}
	return e
}

// signsOf puts in what speaks for one explanation or another.
func (h *Hold) signsOf(e *Estimate, b *bank) {
	if h.byHand() || h.clean.coarse() {
		e.Coarse = math.Max(h.clean.step, math.Max(h.cfg.Step, h.saidStep))
	}
	e.Falling, e.Frozen = h.alarm.falling, h.isFrozen()
	if h.opened.called == nil {
		e.Changing, e.Slowed = h.changing(), h.opened.slowed(e.At)
	}
	if b.hasRoom {
		e.Blind = h.post.blind
	}
	if f := h.opened.upset; f != nil && h.opened.called == nil {
		e.UpsetAt = f.at
	}
	e.Follows, e.Held, e.Levelling = h.signs.follows, h.signs.held, h.signs.levelling
}

// heatRate is how fast the filling heat still moves the pressure, Pa/s.
func (h *Hold) heatRate(d *detail) float64 {
	sum := 0.0
	for k := range nTau {
		i := 1 + nLag + k
		if k >= nFast {
			i = n1 + 1 + k - nFast
		}
		sum += d.theta[i] * h.lastRow[colHeat+k] / tau[k]
	}
	return math.Abs(sum) * h.pStart
}

// minRows is how many rows an interval needs behind it.
const minRows = 3

// shares says which part of the variance comes from where.
func (h *Hold) shares(e *Estimate, sd float64) {
	d := h.det
	if d == nil || sd == 0 {
		return
	}
	total := sd * sd
	inside := h.post.within
	between := math.Max(h.post.sd*h.post.sd-inside, 0)
	sensor := d.sensor*inside + math.Max(total-h.post.sd*h.post.sd, 0) // since a leak opened, total is of that stretch alone
	heat := d.heat * inside
	temperature := d.temperature*inside + between
	sum := sensor + heat + temperature
	if sum <= 0 {
		return
	}
	e.WidthSensor, e.WidthSettling, e.WidthTemperature = sensor/sum, heat/sum, temperature/sum
}

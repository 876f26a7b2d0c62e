package hold

import (
	"cmp"
	"math"

	"example.org/holdfast/internal/decay"
	"example.org/holdfast/internal/units"
	"example.org/holdfast/internal/verdict"
)

// judge makes estimate, verdict and curve anew. Called when the fit has a new
// row or the rules of judging changed, not on every sample.
func (h *Hold) judge(t float64) {
	if h.vacuum() {
		h.judgeRise(t)
		return
	}
	in := verdict.Input{Unit: h.unit(), HoldFor: h.s.HoldFor, ByHand: h.byHand(), OnPart: h.s.HasSection, Estimate: h.s.Estimate}
	if h.fit == nil {
		h.s.Verdict = h.unfilled(in)
		return
	}
	e := h.fit.Estimate()
	start := units.Absolute(e.Start)
	in.Elapsed, in.Unread, in.Since = t-h.s.SegmentStart, h.unread.total, t-h.unread.ended
	in.Final = h.s.Ended || in.Elapsed >= h.s.HoldFor || h.s.Header.Settings.For == 0
	in.Limit = h.setup.rate(start, h.limitAt)
	in.VolumeSE = h.s.Header.Settings.VolumeSE()
	in.Figures = func(r units.PressureRate) verdict.Figures { return h.setup.figures(r, start, h.limitAt) }
	h.s.LimitRate = float64(in.Limit.Rate)
	h.s.PerPascal = in.Figures(1)
	e.SettledAt = h.settled(e)
	e, h.s.Blank = h.takeOff(blameDisplay(e))
	in.Blank = h.s.Blank
	h.s.Estimate, in.Estimate = e, e
	h.slowed = cmp.Or(h.slowed, e.Slowed)
	in.Leaked, in.Slowed, in.RangAt = h.leaked, h.slowed, h.s.RangAt
	h.s.Verdict = verdict.Judge(in)
	h.leaked = h.leaked || h.s.Verdict.Word == verdict.Leaking && e.Rate.Lo > h.s.LimitRate
	h.sizeBoiling()
	h.s.Service = h.setup.inService(h.s.Verdict, start, h.limitAt)
	h.s.Verdict.Warnings = append(h.s.Verdict.Warnings, h.doubts()...)
	if h.released {
		h.s.Verdict.Warnings = append(h.s.Verdict.Warnings, releasedText)
	}
	h.curve()
	h.nameEqualising()
	h.progress(t)
	h.ring(t)
	h.s.Recheck = h.recheck()
}

// blameDisplay puts what passes for air that no thermometer feels on the steps of
// the display, where they are so coarse that they look like it.
func blameDisplay(e decay.Estimate) decay.Estimate {
	if e.Coarse > 0 && e.Blind > 0.9 {
		e.WidthSensor, e.WidthTemperature = e.WidthSensor+e.WidthTemperature, 0
	}
	return e
}

// settled is when, in s since the filling, its heat stopped to matter: when it
// moves the pressure by less than a quarter of the limit, or of 0.4 % an hour
// where no limit is set.
func (h *Hold) settled(e decay.Estimate) float64 {
	if h.settledAt >= 0 || !e.Valid {
		return h.settledAt
	}
	limit := h.s.LimitRate
	if limit <= 0 {
		limit = 0.004 * e.Start / units.SecondsPerHour
	}
	if e.HeatRate < limit/4 {
		h.settledAt = e.At
	}
	return h.settledAt
}

// progress moves from settling to holding.
func (h *Hold) progress(t float64) {
	if h.s.Phase != Settling {
		return
	}
	if e := h.s.Estimate; e.SettledAt >= 0 || e.CalledAt >= 0 {
		h.phase(Holding, t)
	}
}

// ring raises the alarms that the verdict deserves, each once a segment.
func (h *Hold) ring(t float64) {
	v := h.s.Verdict
	if v.Word == verdict.Leaking && h.s.RangAt == 0 {
		h.s.RangAt = t - h.s.SegmentStart
		h.alarm(t, AlarmLeak, v.Phrase)
	}
	if v.Word == verdict.Tight && !h.tightRung {
		h.tightRung = true
		h.alarm(t, AlarmTight, v.Phrase)
	}
}

// curve draws what the screen shows.
func (h *Hold) curve() {
	h.s.Curve = h.fit.Curve()
	h.s.Projection, h.s.LimitLine = nil, nil
	end := math.Max(h.s.HoldFor, h.s.Elapsed-h.s.SegmentStart)
	for _, a := range h.fit.Project(end, projection) {
		h.s.Projection = append(h.s.Projection, Band(a))
	}
	if h.s.LimitRate <= 0 || !h.s.Estimate.Valid {
		return
	}
	for i := range projection {
		t := end * float64(i) / (projection - 1)
		h.s.LimitLine = append(h.s.LimitLine, XY{T: t, P: h.fit.AtLimit(h.s.LimitRate, t)})
	}
}

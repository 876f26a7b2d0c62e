package hold

import (
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
	in := verdict.Input{Unit: h.unit(), HoldFor: h.s.HoldFor, ByHand: h.byHand(), Estimate: h.s.Estimate}
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
	e, h.s.Blank = h.takeOff(e)
	in.Blank = h.s.Blank
	h.s.Estimate, in.Estimate = e, e
	in.Leaked = h.leaked
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
	if v.Word == verdict.Leaking && !h.rang(AlarmLeak) {
		h.alarm(t, AlarmLeak, v.Phrase)
	}
	if v.Word == verdict.Tight && !h.tightRung {
		h.tightRung = true
		h.alarm(t, AlarmTight, v.Phrase)
	}
}

// rang reports an alarm of the kind in this segment.
func (h *Hold) rang(k AlarmKind) bool {
	for _, a := range h.s.Alarms {
		if a.Kind == k && a.Elapsed >= h.s.SegmentStart {
			return true
		}
	}
	return false
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

package hold

import (
	"errors"
	"math"

	"example.org/holdfast/internal/decay"
	"example.org/holdfast/internal/gas"
	"example.org/holdfast/internal/holdlog"
	"example.org/holdfast/internal/units"
	"example.org/holdfast/internal/verdict"
)

const (
	fallBeyondHeat = 0.04 // of the pressure: neither room nor filling heat takes that much. Below it the fit has to say so
	toldApart      = 0.01 // of the pressure: what the two shapes must differ by
)

// takeCapillary reads what leads out of the section.
func (u *setup) takeCapillary(s holdlog.Settings) error {
	if s.Capillary == "" && s.Behind == 0 {
		return nil
	}
	if s.Capillary == "" || s.Behind <= 0 || s.Volume <= 0 {
		return errors.New("a capillary needs its bore and length (--capillary), the volume behind it (--behind) and that of the section (--volume)")
	}
	tube, err := gas.ParseTube(s.Capillary)
	if err != nil {
		return err
	}
	u.capillary, u.behind = tube, s.Behind
	return nil
}

// nameEqualising adds the capillary to the causes where the settings tell of
// one and the fall may be its doing.
func (h *Hold) nameEqualising() {
	if e, ok := h.equalising(); ok {
		h.s.Verdict = verdict.NameEqualising(h.s.Verdict, e, h.unit())
	}
}

// equalising compares the fall with that of two volumes joined by the capillary
// and with that of a leak: both go through the first and the last point, and what lies half way in time
// between them tells which. A small fall, which the fit found after taking off the heat, is
// too straight for that.
func (h *Hold) equalising() (e verdict.Equalising, ok bool) {
	if h.setup.capillary.Length == 0 || len(h.s.Curve) < 4 {
		return e, false
	}
	last := h.s.Curve[len(h.s.Curve)-1]
	p0, p1, out := h.s.Estimate.Start, last.Raw, float64(h.s.Atmosphere)
	section, behind := float64(h.setup.volume), float64(h.setup.behind)
	end := (p0*section + out*behind) / (section + behind)
	small := p0-p1 < fallBeyondHeat*p0
	if small {
		p1 = h.s.Estimate.Corrected
	}
	switch {
	case small && (!h.s.Estimate.Valid || h.s.Estimate.Rate.Lo <= 0 || p1 >= p0):
		return e, false
	case p1 < end-0.05*(p0-end): // below where it would end, it is something else
		return e, false
	}
	if h.clear.start != p0 {
		h.clear = h.setup.clearCurve(units.Absolute(p0))
	}
	gone := min((p0-p1)/(p0-end), lastShare)
	e = verdict.Equalising{EndsAt: units.Absolute(end).Gauge(h.s.Atmosphere), ClearIn: h.clear.time(lastShare), Behind: h.setup.behind, Complete: gone > 0.95}
	if !e.Complete {
		e.Passes = h.clear.time(gone) / last.T
	}
	if small {
		return e, true
	}
	mid := rawAt(h.s.Curve, last.T/2)
	equal, leak := equalHalfWay(p0, p1, end, behind/(section+behind)), leakHalfWay(p0, p1, out)
	apart := leak-equal > toldApart*p0
	e.Alike = apart && mid < (leak+equal)/2
	return e, e.Alike || !apart
}

// clearCurve is how the difference of the two volumes shrinks through a clear capillary.
type clearCurve struct {
	start float64      // Pa absolute; 0 = not reckoned yet
	at    [100]float64 // s, when so many hundredths of the difference are gone
}

const lastShare = 0.99

// clearCurve reckons it, a hundredth after the other.
func (u *setup) clearCurve(start units.Absolute) clearCurve {
	c := clearCurve{start: float64(start)}
	p1, p2, gap := start, u.atmosphere, start-u.atmosphere
	toFirst := u.behind / (u.volume + u.behind) // share of the lost difference that the first volume loses
	for i := 1; i < len(c.at); i++ {
		left := gap * units.Absolute(100-i) / 100
		s, err := u.capillary.EqualiseTime(u.volume, u.behind, p1, p2, units.PressureDiff(left), units.FromCelsius(20), u.gas)
		if err != nil {
			s = math.Inf(1)
		}
		c.at[i] = c.at[i-1] + s
		p1 = start - (gap-left)*units.Absolute(toFirst)
		p2 = p1 - left
	}
	return c
}

// time is when a share of the difference is gone, s.
func (c *clearCurve) time(share float64) float64 {
	i := min(int(100*share), len(c.at)-2)
	return c.at[i] + (100*share-float64(i))*(c.at[i+1]-c.at[i])
}

// equalHalfWay is where the filled volume stood in half the time it took from p0
// to p1, through a tube so narrowed that the flow in it is laminar. With both volumes at end ± their shares of the
// gap g between them, dg/dt = -k g (p1 + p2), so g/(2 end + (toFirst - toSecond) g) falls exponentially.
func equalHalfWay(p0, p1, end, toFirst float64) float64 {
	c := 2*toFirst - 1
	ratio := func(p float64) float64 {
		g := max(p-end, 0.01*(p0-end)) / toFirst
		return g / (2*end + c*g)
	}
	r := math.Sqrt(ratio(p0) * ratio(p1))
	return end + toFirst*2*end*r/(1-c*r)
}

// leakHalfWay is where a laminar leak from p0 to p1 stood in half the time: of
// the flow laws it slows down most. From dp/dt = -k (p² - out²), (p-out)/(p+out) falls exponentially.
func leakHalfWay(p0, p1, out float64) float64 {
	ratio := func(p float64) float64 { return (p - out) / (p + out) }
	if p1 <= out {
		return p0
	}
	r := math.Sqrt(ratio(p0) * ratio(p1))
	return out * (1 + r) / (1 - r)
}

// rawAt interpolates the measured pressure.
func rawAt(curve []decay.Point, t float64) float64 {
	for i, b := range curve {
		if b.T < t {
			continue
		}
		if i == 0 {
			return b.Raw
		}
		a := curve[i-1]
		return a.Raw + (b.Raw-a.Raw)*(t-a.T)/(b.T-a.T)
	}
	return curve[len(curve)-1].Raw
}

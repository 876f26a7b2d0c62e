package hold

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"time"

	"example.org/holdfast/internal/decay"
	"example.org/holdfast/internal/gas"
	"example.org/holdfast/internal/holdlog"
	"example.org/holdfast/internal/units"
	"example.org/holdfast/internal/verdict"
)

// A blank hold is one of hose, valve and sensor alone, on a plug. What they lose
// there, r' in their volume V' at p', is brought to the section of volume V
// that starts at p, and taken off its loss r:
//
//	q' = V' r' / s'                       throughput; s = (dp/dn)/(R T) of the real gas (gas.Throughput)
//	q  = q' f                             f = flow at p over flow at p' under one flow law (gas.Translate)
//	b  = s q / V                          the same leak as a loss of the section (gas.Rate)
//	u² = (b u'/r')² + b² (w_f²/3 + u_V² + u_V'²)
//	leak = r - b, with the standard uncertainty √(u_r² + u²)
//
// Nobody knows the flow law of a worn gasket: f is the middle between the least
// and the most of the three laws, and w_f half their distance over f: the
// half-width of a rectangle, hence the 3 (GUM, JCGM 100:2008, 4.3.7). u_V are the
// relative standard uncertainties of the volumes. All are independent, hence the
// squares (5.1.2).
//
// A blank whose interval reaches down to zero proves no leak of the hose, and
// must not make that of the section look smaller: then b = 0, and all that the
// blank leaves open counts as doubt, u = (max(b, 0) + 1.96 u)/1.96.

// looseVolume is the relative standard uncertainty of a volume that was stated
// without a tolerance: ±10 % (common practice, no source).
const looseVolume = 0.1 / twoSided95

// twoSided95 is half the width of a 95 % interval in standard uncertainties, the normal distribution's.
const twoSided95 = 1.96

// BlankOf takes from a finished hold of hose and valve alone what a later hold
// needs of it. File and fingerprint are the caller's.
func BlankOf(st *State) (holdlog.Blank, error) {
	set, e := st.Header.Settings, st.Estimate
	b := holdlog.Blank{
		Wall: st.StartWall, Gas: set.Gas, Volume: set.Volume, VolumeError: set.VolumeError,
		Rate: units.PressureRate(e.Rate.Value), Error: units.PressureRate(e.SE),
		Pressure: units.Absolute(e.Start), Temperature: units.FromCelsius(20),
	}
	if st.HasAmbient {
		b.Temperature = st.Ambient
	}
	never := slices.ContainsFunc(e.Warnings, func(w decay.Warning) bool { return w.Code == decay.NeverMoved })
	switch {
	case set.Kind == vacuumKind:
		return b, errors.New("it is a vacuum hold")
	case set.Blank != (holdlog.Blank{}):
		return b, errors.New("another blank hold was taken off it")
	case e.CalledWhy == "gross":
		return b, errors.New("the pressure ran out: mend hose or valve and hold them again")
	case st.Segment == 0:
		return b, errors.New("it was never filled")
	case !e.Valid || e.SE <= 0:
		return b, errors.New("it is too short to say what hose and valve lose")
	case never:
		return b, errors.New("its pressure never changed by a single step: the sensor may be stuck")
	case b.Pressure <= st.Atmosphere:
		return b, errors.New("it stood at no pressure")
	}
	return b, nil
}

// takeBlank takes the blank hold from the settings if it can be brought to the section.
func (u *setup) takeBlank(s holdlog.Settings) error {
	b := s.Blank
	switch {
	case b == (holdlog.Blank{}):
		return nil
	case s.Kind == vacuumKind:
		return errors.New("a blank hold can be taken off a pressure hold only")
	case b.SameVolume:
	case b.Volume <= 0 && s.Volume <= 0:
		return errors.New("the blank hold needs two volumes: of the section (--volume) and of hose and valve alone (--blank-volume)")
	case b.Volume <= 0:
		return errors.New("the blank hold needs the volume of hose and valve alone (--blank-volume)")
	case s.Volume <= 0:
		return errors.New("the blank hold needs the volume of the section, hose included (--volume)")
	}
	if b.Gas == "" {
		b.Gas = defaultGas
	}
	g, err := gas.Lookup(b.Gas)
	if err != nil {
		return fmt.Errorf("blank hold: %w", err)
	}
	u.blank, u.blankGas = b, g
	if !b.SameVolume {
		u.blankVolumes = sq(volumeSE(s)) + sq(volumeSE(holdlog.Settings{VolumeError: b.VolumeError}))
	}
	return nil
}

// blankLoss is what the blank loses in a section that starts at p and t, Pa/s, with its
// standard uncertainty, by the formula above, and what most of that comes from.
func (u *setup) blankLoss(p units.Absolute, t units.Temperature) (loss, sd float64, weakest verdict.BlankPart) {
	b := u.blank
	from := gas.State{Fluid: u.blankGas, Pressure: b.Pressure, Temperature: b.Temperature}
	to := gas.State{Fluid: u.gas, Pressure: p, Temperature: t}
	own, section := b.Volume, u.volume
	if b.SameVolume {
		own, section = 1, 1
	}
	// What one Pa/s of the blank is in the section, under each law.
	q := gas.Throughput(own, 1, b.Pressure, b.Temperature, u.blankGas)
	least, most := math.Inf(1), 0.0
	for _, law := range []gas.FlowLaw{gas.Viscous, gas.Molecular, gas.Choked} {
		k := float64(gas.Rate(gas.Translate(q, law, from, to, u.atmosphere), section, p, t, u.gas))
		least, most = math.Min(least, k), math.Max(most, k)
	}
	k, halfLaw := (least+most)/2, (most-least)/2
	loss = k * float64(b.Rate)
	byHold, byLaw, byVolumes := sq(k*float64(b.Error)), sq(halfLaw*float64(b.Rate))/3, sq(loss)*u.blankVolumes
	switch max(byHold, byLaw, byVolumes) {
	case byHold:
		weakest = verdict.BlankTime
	case byLaw:
		weakest = verdict.BlankPressure
	default:
		weakest = verdict.BlankVolumes
	}
	return loss, math.Sqrt(byHold + byLaw + byVolumes), weakest
}

// volumeSE is the relative standard uncertainty of a volume, also where none is stated.
func volumeSE(s holdlog.Settings) float64 {
	if s.VolumeError > 0 {
		return s.VolumeSE()
	}
	return looseVolume
}

func sq(v float64) float64 { return v * v }

// takeOff takes the blank hold off the estimate; nil = there is none.
func (h *Hold) takeOff(e decay.Estimate) (decay.Estimate, *verdict.Blank) {
	if !e.Valid || h.setup.blank == (holdlog.Blank{}) || e.SE <= 0 {
		return e, nil
	}
	loss, sd, weakest := h.setup.blankLoss(units.Absolute(e.Start), h.limitAt)
	floor := math.Max(loss, 0)
	b := &verdict.Blank{
		Loss:    decay.Interval{Value: loss, Lo: math.Max(loss-twoSided95*sd, 0), Hi: floor + twoSided95*sd},
		Proven:  loss > twoSided95*sd,
		Weakest: weakest,
		File:    h.setup.blank.File, SHA256: h.setup.blank.SHA256,
	}
	if !b.Proven {
		b.Loss.Value, sd = 0, b.Loss.Hi/twoSided95
	}
	b.Date, b.Stale = h.blankDay()
	se := math.Hypot(e.SE, sd)
	b.Share = sq(sd / se)
	e.WidthSensor *= 1 - b.Share
	e.WidthTemperature *= 1 - b.Share
	e.WidthSettling *= 1 - b.Share
	e.SE = se
	v := e.Rate.Value - b.Loss.Value
	e.Rate = decay.Interval{Value: v, Lo: v - twoSided95*se, Hi: v + twoSided95*se}
	return e, b
}

// blankDay is the day of the blank hold in the zone of this one, and whether it
// is another than this one's. Unknown days are "" and never another.
func (h *Hold) blankDay() (day string, other bool) {
	if h.setup.blank.Wall == 0 {
		return "", false
	}
	zone := time.UTC
	if t, err := time.Parse("Z07:00", h.s.Header.Zone); err == nil {
		zone = t.Location()
	}
	of := func(ms int64) string { return time.UnixMilli(ms).In(zone).Format(time.DateOnly) }
	day = of(h.setup.blank.Wall)
	return day, h.s.StartWall != 0 && of(h.s.StartWall) != day
}

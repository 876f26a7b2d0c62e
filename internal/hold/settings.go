package hold

import (
	"fmt"
	"math"
	"strings"

	"example.org/holdfast/internal/gas"
	"example.org/holdfast/internal/holdlog"
	"example.org/holdfast/internal/units"
	"example.org/holdfast/internal/verdict"
)

// Defaults where the person said nothing.
const (
	defaultFor      = 3600.0   // s
	defaultTolerate = "20%/1y" // share of the charge lost in that time
	defaultSafety   = 3.0      // divides the limit derived from the charge
	defaultGas      = "nitrogen"
)

// setup is what the settings come to: the gas, the limit, the conversions.
type setup struct {
	gas         gas.Gas
	refrigerant *gas.Refrigerant
	limit       units.Rate // as typed; zero = none
	charge      units.Mass // 0 = unknown
	share       float64    // of the charge that may be lost
	fromCharge  units.MassRate
	chargeText  string
	// toleranceLacks is what a typed tolerance needs to become a limit, with its
	// verb: "charge and volume are"; "" = nothing
	toleranceLacks string
	volume         units.Volume
	atmosphere     units.Absolute
	accept         Acceptance    // of a vacuum; zero = none
	blank          holdlog.Blank // zero = none
	blankGas       gas.Gas
	blankVolumes   float64      // variance of the ratio of the two volumes, relative
	capillary      gas.Tube     // from the section to what is behind; zero = none
	behind         units.Volume // that volume
}

// Check says what is wrong with the settings, if anything: the first thing in
// words for the person who typed them.
func Check(s holdlog.Settings) error {
	if err := leaveOut(settingsBounds(&s)); err != nil {
		return err
	}
	_, err := resolve(s)
	return err
}

// resolve reads the settings.
func resolve(s holdlog.Settings) (u setup, err error) {
	name := s.Gas
	if name == "" {
		name = defaultGas
	}
	if u.gas, err = gas.Lookup(name); err != nil {
		u.gas = gas.Nitrogen()
		return u, err
	}
	if s.Refrigerant != "" {
		r, err := gas.LookupRefrigerant(s.Refrigerant)
		if err != nil {
			return u, err
		}
		u.refrigerant = &r
	}
	u.volume = s.Volume
	if u.atmosphere, err = Atmosphere(s); err != nil {
		return u, err
	}
	if s.Accept != "" {
		if u.accept, err = ParseAcceptance(s.Accept); err != nil {
			return u, err
		}
	}
	u.charge = s.Charge
	err = u.takeBlank(s)
	if capillaryErr := u.takeCapillary(s); capillaryErr != nil {
		err = capillaryErr
	}
	if limitErr := u.takeLimit(s); limitErr != nil {
		err = limitErr
	}
	return u, err
}

// takeLimit reads the limit, or derives it.
func (u *setup) takeLimit(s holdlog.Settings) (err error) {
	fromCharge := u.limitFromCharge(s)
	if s.Limit == "" {
		return fromCharge
	}
	u.fromCharge, u.toleranceLacks = 0, ""
	if u.limit, err = units.ParseRate(s.Limit); err != nil {
		return fmt.Errorf("limit: %w", err)
	}
	if err = u.limitNeeds(); err != nil {
		u.limit = units.Rate{} // an edited log may say so: then there is no limit, and a warning
	}
	return err
}

// Atmosphere is the pressure around the gauge as far as the settings know it.
func Atmosphere(s holdlog.Settings) (units.Absolute, error) {
	if s.Barometer > 0 {
		return s.Barometer, nil
	}
	if s.Altitude != 0 {
		return units.AtmosphereAt(s.Altitude)
	}
	return units.StandardAtmosphere, nil
}

// limitNeeds refuses a limit that cannot be brought to a pressure rate.
func (u *setup) limitNeeds() error {
	switch {
	case u.limit.Kind == units.Throughput && u.volume <= 0:
		return fmt.Errorf("limit %q needs the volume of the section", u.limit.Text)
	case u.limit.Kind == units.MassPerTime && u.volume <= 0:
		return fmt.Errorf("limit %q needs the volume of the section", u.limit.Text)
	case u.limit.Kind == units.MassPerTime && u.refrigerant == nil:
		return fmt.Errorf("limit %q needs the refrigerant", u.limit.Text)
	}
	return nil
}

// limitFromCharge derives the limit from the charge and the share of it that
// may go: charge x share / (time x safety). Only where charge, refrigerant and
// volume are known.
func (u *setup) limitFromCharge(s holdlog.Settings) error {
	text := s.Tolerate
	if text == "" {
		text = defaultTolerate
	}
	share, span, err := units.ParseTolerance(text)
	if err != nil {
		return fmt.Errorf("tolerate: %w", err)
	}
	u.share = share
	var lacks []string
	for _, need := range []struct {
		name  string
		known bool
	}{{"charge", s.Charge > 0}, {"refrigerant", u.refrigerant != nil}, {"volume", u.volume > 0}} {
		if !need.known {
			lacks = append(lacks, need.name)
		}
	}
	if len(lacks) > 0 {
		if s.Tolerate != "" {
			u.toleranceLacks = missingWords(lacks)
		}
		return nil
	}
	safety := s.Safety
	if safety <= 0 {
		safety = defaultSafety
	}
	u.fromCharge = units.MassRate(float64(s.Charge) * share / span.Seconds() / safety)
	u.chargeText = fmt.Sprintf("%s (%s of the charge, safety %s)", units.FormatMassRate(u.fromCharge), text, units.Significant(safety, 2))
	return nil
}

// missingWords joins names with their verb: "charge is", "charge, refrigerant and volume are".
func missingWords(names []string) string {
	last := len(names) - 1
	if last == 0 {
		return names[0] + " is"
	}
	return strings.Join(names[:last], ", ") + " and " + names[last] + " are"
}

// rate brings the limit to a pressure rate for a section that starts at p and t.
func (u *setup) rate(p units.Absolute, t units.Temperature) verdict.Limit {
	l := verdict.Limit{Text: u.limit.Text}
	switch u.limit.Kind {
	case units.FractionPerTime:
		l.Rate = units.PressureRate(u.limit.Value * float64(p))
	case units.PressurePerTime:
		l.Rate = units.PressureRate(u.limit.Value)
	case units.Throughput:
		l.Rate = gas.Rate(units.LeakRate(u.limit.Value), u.volume, p, t, u.gas)
	case units.MassPerTime:
		l.Rate = u.massLimit(units.MassRate(u.limit.Value), p, t)
	default:
		if u.fromCharge > 0 {
			l.Text, l.Rate = u.chargeText, u.massLimit(u.fromCharge, p, t)
		}
	}
	l.Set = l.Rate > 0
	l.ByVolume = l.Set && u.limit.Kind != units.FractionPerTime && u.limit.Kind != units.PressurePerTime
	return l
}

func (u *setup) massLimit(m units.MassRate, p units.Absolute, t units.Temperature) units.PressureRate {
	r, err := gas.RateForLoss(m, u.volume, u.gas, p, t, *u.refrigerant, u.atmosphere)
	if err != nil {
		return 0
	}
	return r
}

// figures states a pressure rate in every unit the settings allow.
func (u *setup) figures(rate units.PressureRate, p units.Absolute, t units.Temperature) verdict.Figures {
	f := verdict.Figures{Rate: rate}
	if p > 0 {
		f.PercentPerHour = 100 * rate.PerHour() / float64(p)
	}
	if u.volume <= 0 {
		return f
	}
	f.Throughput, f.HasThroughput = gas.Throughput(u.volume, rate, p, t, u.gas), true
	if u.refrigerant == nil {
		return f
	}
	loss, err := gas.RefrigerantLoss(f.Throughput, gas.State{Fluid: u.gas, Pressure: p, Temperature: t}, *u.refrigerant, u.atmosphere)
	if err != nil {
		return f
	}
	f.Refrigerant, f.HasRefrigerant = loss.Worst(), true
	f.RefrigerantLow = min(loss.Viscous, loss.Molecular)
	return f
}

// HoldFor is how long the hold is meant to last, s.
func HoldFor(s holdlog.Settings) float64 {
	if s.For > 0 {
		return s.For
	}
	if s.Kind == vacuumKind {
		a, _ := ParseAcceptance(s.Accept) // one that is not understood asks for no time
		return math.Max(a.After, defaultFor)
	}
	return defaultFor
}

// unit is the pressure unit of the words.
func (h *Hold) unit() string {
	if u := h.s.Header.Settings.Display; u != "" {
		return u
	}
	return "bar"
}

// byHand reports readings made by eye.
func (h *Hold) byHand() bool {
	for _, d := range h.s.Header.Devices {
		if d.Name == "manual" {
			return true
		}
	}
	return h.s.Interval >= 30
}

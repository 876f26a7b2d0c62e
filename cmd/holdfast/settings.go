package main

import (
	"fmt"
	"strings"

	"example.org/holdfast/internal/gas"
	"example.org/holdfast/internal/hold"
	"example.org/holdfast/internal/holdlog"
	"example.org/holdfast/internal/units"
)

// settingsFlags are the flags shared by every command that judges. Each is also
// a field of the log's header, which a flag overrides. They are kept as typed
// and read in one place, so that their errors read alike.
type settingsFlags struct {
	Gas              string  `group:"settings" placeholder:"NAME" help:"Test gas (default nitrogen)."`
	Refrigerant      string  `group:"settings" placeholder:"R600A" help:"Refrigerant of the circuit."`
	Charge           string  `group:"settings" placeholder:"45g" help:"Charge of the circuit."`
	Volume           string  `group:"settings" placeholder:"0.3L" help:"Volume of the section, ±5% may follow."`
	Kind             string  `group:"settings" placeholder:"pressure" help:"Kind of hold: pressure or vacuum."`
	Accept           string  `group:"settings" placeholder:"80Pa@60min" help:"What a vacuum hold has to meet: at most this pressure for this time, or a published one by name; help lists them."`
	Barometer        string  `group:"settings" placeholder:"101.3kPa" help:"Air pressure at the gauge."`
	Altitude         string  `group:"settings" placeholder:"1400m" help:"Height above sea level, where the barometer is not known."`
	Limit            string  `group:"settings" placeholder:"0.4%/h" help:"Largest leak allowed: 3g/yr, 1e-5mbar.l/s, 500Pa/h, 0.4%/h."`
	Tolerate         string  `group:"settings" placeholder:"20%/1y" help:"Share of the charge that may be lost; sets the limit where charge, refrigerant and volume are known."`
	Safety           float64 `group:"settings" placeholder:"3" help:"Divides the limit that --tolerate gives."`
	Blank            string  `group:"settings" placeholder:"FILE" help:"A blank hold (hose, valve and sensor alone, on a plug) to take off; none leaves out that of the record."`
	BlankVolume      string  `group:"settings" placeholder:"20ml" help:"Volume of the blank hold, ±5% may follow; same = as large as the section."`
	PressureStep     string  `group:"settings" placeholder:"0.1bar" help:"Readable step of the gauge."`
	TemperatureStep  string  `group:"settings" placeholder:"0.5C" help:"Readable step of the thermometer."`
	PressureAccuracy string  `group:"settings" placeholder:"0.25%FS" help:"Stated accuracy of the gauge."`
	PressureRange    string  `group:"settings" placeholder:"25bar" help:"Span of the gauge."`
	Section          string  `group:"settings" placeholder:"NAME" help:"What is closed off, in your words."`
	Thermometer      string  `group:"settings" placeholder:"room" help:"Where the thermometer sits: room, part or none."`
	Brazed           bool    `group:"settings" help:"The part was brazed or heated just before."`
	Ceiling          string  `group:"settings" placeholder:"10bar" help:"Highest gauge pressure allowed in the section; rings above it."`
	OverCeiling      string  `group:"settings" placeholder:"REASON" help:"Why you go above the ceiling: noted in the record instead of ringing."`
	Capillary        string  `group:"settings" placeholder:"0.7mm:3m" help:"Bore and length of a capillary from the section to a volume behind it."`
	Behind           string  `group:"settings" placeholder:"1.2L" help:"That volume."`
	Unit             string  `group:"settings" placeholder:"bar" help:"Pressure unit of the words: bar, psi or kPa; for a vacuum Pa, mbar or micron."`
}

// override changes the settings in a header.
type override func(*holdlog.Header) error

// overrides reads the flags that were given. Long: the table of the flags.
func (f *settingsFlags) overrides() (override, error) {
	if f.Safety < 0 || f.Safety > 1000 {
		return nil, usage("Give a number above zero, such as 3.", "--safety: %v divides no limit", f.Safety)
	}
	var all []override
	for _, flag := range []struct {
		name, value string
		read        func(string) (override, error)
	}{
		{"gas", f.Gas, checked(gas.Lookup, func(s *holdlog.Settings) *string { return &s.Gas })},
		{"refrigerant", f.Refrigerant, checked(gas.LookupRefrigerant, func(s *holdlog.Settings) *string { return &s.Refrigerant })},
		{"limit", f.Limit, checked(units.ParseRate, func(s *holdlog.Settings) *string { return &s.Limit })},
		{"tolerate", f.Tolerate, checked(parseTolerance, func(s *holdlog.Settings) *string { return &s.Tolerate })},
		{"section", f.Section, keep(func(s *holdlog.Settings) *string { return &s.Section })},
		{"kind", f.Kind, oneOf(func(s *holdlog.Settings) *string { return &s.Kind }, "pressure", "vacuum")},
		{"accept", f.Accept, checked(hold.ParseAcceptance, func(s *holdlog.Settings) *string { return &s.Accept })},
		{"charge", f.Charge, read(units.ParseMass, func(s *holdlog.Settings) *units.Mass { return &s.Charge })},
		{"altitude", f.Altitude, readAltitude},
		{"barometer", f.Barometer, read(units.ParseBarometer, func(s *holdlog.Settings) *units.Absolute { return &s.Barometer })},
		{"pressure-step", f.PressureStep, read(positive(units.ParsePressureDiff), func(s *holdlog.Settings) *units.PressureDiff { return &s.PressureStep })},
		{"pressure-range", f.PressureRange, read(positive(units.ParsePressureDiff), func(s *holdlog.Settings) *units.PressureDiff { return &s.PressureRange })},
		{"temperature-step", f.TemperatureStep, read(positive(units.ParseTempDiff), func(s *holdlog.Settings) *units.TempDiff { return &s.TemperatureStep })},
		{"volume", f.Volume, readVolume},
		{"pressure-accuracy", f.PressureAccuracy, readAccuracy},
		{"ceiling", f.Ceiling, readCeiling},
		{"over-ceiling", strings.TrimSpace(f.OverCeiling), keep(func(s *holdlog.Settings) *string { return &s.OverCeiling })},
		{"capillary", f.Capillary, checked(gas.ParseTube, func(s *holdlog.Settings) *string { return &s.Capillary })},
		{"behind", f.Behind, read(units.ParseVolume, func(s *holdlog.Settings) *units.Volume { return &s.Behind })},
		{"thermometer", f.Thermometer, oneOf(func(s *holdlog.Settings) *string { return &s.Thermometer }, "room", "part", "none")},
		{"unit", f.Unit, oneOf(func(s *holdlog.Settings) *string { return &s.Display }, "bar", "psi", "kPa", "Pa", "mbar", "micron")},
	} {
		if flag.value == "" {
			continue
		}
		o, err := flag.read(flag.value)
		if err != nil {
			return nil, usage("", "--%s: %w", flag.name, err)
		}
		all = append(all, o)
	}
	blank, err := f.blank()
	if err != nil {
		return nil, err
	}
	all = append(all, f.numbers, blank)
	return func(h *holdlog.Header) error {
		for _, o := range all {
			if err := o(h); err != nil {
				return usage("", "%w", err)
			}
		}
		return nil
	}, nil
}

// numbers are the flags that are no text.
func (f *settingsFlags) numbers(h *holdlog.Header) error {
	if f.Safety > 0 {
		h.Settings.Safety = f.Safety
	}
	if f.Brazed {
		h.Settings.Brazed = true
	}
	return nil
}

// checked takes a text as it stands, so that the record shows what was typed, if it can be understood.
func checked[T any](parse func(string) (T, error), field func(*holdlog.Settings) *string) func(string) (override, error) {
	return func(text string) (override, error) {
		if _, err := parse(text); err != nil {
			return nil, err
		}
		return keep(field)(text)
	}
}

func parseTolerance(text string) (float64, error) {
	share, _, err := units.ParseTolerance(text)
	return share, err
}

// keep takes a text as it stands.
func keep(field func(*holdlog.Settings) *string) func(string) (override, error) {
	return func(text string) (override, error) {
		return func(h *holdlog.Header) error { *field(&h.Settings) = text; return nil }, nil
	}
}

// read takes a quantity.
func read[T any](parse func(string) (T, error), field func(*holdlog.Settings) *T) func(string) (override, error) {
	return func(text string) (override, error) {
		v, err := parse(text)
		return func(h *holdlog.Header) error { *field(&h.Settings) = v; return nil }, err
	}
}

// positive refuses what is not above zero.
func positive[T ~float64](parse func(string) (T, error)) func(string) (T, error) {
	return func(text string) (T, error) {
		v, err := parse(text)
		if err == nil && !(v > 0) {
			err = fmt.Errorf("%q is not above zero", text)
		}
		return v, err
	}
}

// oneOf takes one of a few words.
func oneOf(field func(*holdlog.Settings) *string, words ...string) func(string) (override, error) {
	return func(text string) (override, error) {
		for _, w := range words {
			if strings.EqualFold(text, w) {
				return keep(field)(w)
			}
		}
		return nil, fmt.Errorf("%q is none of %s", text, strings.Join(words, ", "))
	}
}

func readVolume(text string) (override, error) {
	v, relative, err := units.ParseVolumeTolerance(text)
	return func(h *holdlog.Header) error {
		h.Settings.Volume, h.Settings.VolumeError = v, relative
		return nil
	}, err
}

func readAltitude(text string) (override, error) {
	m, err := units.ParseAltitude(text)
	return func(h *holdlog.Header) error {
		h.Settings.Altitude, h.Settings.Barometer = m, 0
		return nil
	}, err
}

func readCeiling(text string) (override, error) {
	p, err := units.ParsePressure(text, "")
	if err == nil && p.Ref == units.AbsoluteRef {
		err = fmt.Errorf("%q is absolute; a ceiling is a gauge pressure", text)
	}
	if err == nil && p.Pa <= 0 {
		err = fmt.Errorf("%q is not above zero", text)
	}
	return func(h *holdlog.Header) error { h.Settings.Ceiling = units.Gauge(p.Pa); return nil }, err
}

// readAccuracy needs the span of the sensor, which only the header knows, for a share of it.
func readAccuracy(text string) (override, error) {
	a, err := units.ParseAccuracy(text)
	return func(h *holdlog.Header) error {
		span := h.Settings.PressureRange
		for _, d := range h.Devices {
			if span == 0 {
				span = d.PressureRange
			}
		}
		if a.FullScale > 0 && span == 0 {
			return fmt.Errorf("--pressure-accuracy %s needs the span of the gauge: add --pressure-range 25bar", text)
		}
		h.Settings.PressureAccuracy = a.Of(span)
		return nil
	}, err
}

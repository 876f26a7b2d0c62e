package start

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"example.org/holdfast/internal/hold"
	"example.org/holdfast/internal/units"
)

// Need is something that an instrument must be told.
type Need uint8

// The needs of instruments.
const (
	NeedStep    Need = iota // readable step, and how often a person is asked
	NeedPort                // where it is
	NeedCommand             // the program that prints its lines
	NeedBaud
	NeedParity
	NeedUnitID
	NeedSends  // gauge or absolute pressure, and then perhaps a temperature, in a line
	NeedFields // what it gives, and where
)

// Instrument is a way to get at a pressure that is offered.
type Instrument struct {
	Device  string // the driver's name
	Profile string // a file that says all of it; "" = none
	Label   string
	Needs   []Need
	Ports   []string // that were found; another may be typed
	Example string   // of its fields
}

// deviceHint is the help for the choice of the instrument.
const deviceHint = "A needle gauge needs no sensor: the screen asks for a reading and rings. Left, right: sensors on a wire, and the profiles found here."

// newHoldForm makes the form of a hold under pressure or of a rise under vacuum. Long: the table of the questions.
func newHoldForm(o Options, vacuum bool) *form {
	unit := choose(unitField, "unit", "The unit on your gauge.", option{"bar", "bar"}, option{"psi", "psi"})
	step, long := "0.1 bar", "1h"
	if vacuum {
		unit.options = []option{{"Pa", "Pa"}, {"micron", "micron"}, {"mbar", "mbar"}}
		step, long = "5 Pa", "2h"
	}
	section := typed(sectionField, "section", "What you closed off, in your own words: it goes into the record.", "section 1")
	f := &form{title: "New hold", end: "START", fields: slices.Concat([]field{unit, section}, instrumentFields(o, step), timeFields(long), limitFields(o))}
	if vacuum {
		f.title = "New rise under vacuum"
		f.get(endField).hint = "Enter starts. Pump down first, then close the valve to the pump: the rise begins by itself, or with c."
	}
	f.shown = func(n name) bool { return holdShows(f, o, vacuum, n) }
	f.read = func(n name, text string) (string, error) { return readHold(f, n, text) }
	if o.Unit == "psi" && !vacuum {
		f.get(unitField).pick = 1
		f.defaults("bar", "psi")
	}
	return f
}

// instrumentFields ask what reads the pressure and the temperature.
func instrumentFields(o Options, step string) []field {
	var instruments []option
	for i, x := range o.Instruments {
		instruments = append(instruments, option{fmt.Sprint(i), x.Label})
	}
	probes := []option{{"", "the sensor, with the pressure"}}
	for _, p := range o.Probes {
		probes = append(probes, option{p, "1-wire thermometer " + p})
	}
	port := typed(portField, "port", "Where the sensor is plugged in. Left, right: what was found; or type another.", "")
	port.free = true
	return []field{
		choose(deviceField, "instrument", deviceHint, instruments...),
		typed(stepField, "readable to", "The smallest step you can read off the gauge. It widens what could hide.", step),
		typed(askField, "ask every", "How often the screen asks for a reading: 5min, 10min.", "10min"),
		port,
		typed(commandField, "program", "The program that prints one line per reading; it is started again when it ends.", ""),
		typed(fieldsField, "gives", "", ""),
		choose(shownField, "it sends", "A line is pressure, then temperature in C. Vented to the air it reads near 0 when open; an absolute sensor reads about 1 bar (15 psi).",
			option{"gauge", "gauge pressure"}, option{"absolute", "absolute pressure"}),
		choose(baudField, "speed", "Baud rate of the port, as the sensor's maker says.",
			option{"9600", "9600 baud"}, option{"19200", "19200 baud"}, option{"57600", "57600 baud"}, option{"115200", "115200 baud"}),
		choose(parityField, "parity", "Of the port, as the sensor's maker says.", option{"none", "none"}, option{"even", "even"}, option{"odd", "odd"}),
		typed(unitIDField, "unit number", "Its number on the bus, 1 to 247.", "1"),
		choose(thermometerField, "thermometer", "Where it sits. Taped to the part is best; without one the hold must last much longer to prove the same.",
			option{"room", "in the air beside it"}, option{"part", "on the part itself"}, option{"none", "none"}),
		choose(probeField, "read by", "What gives the temperature.", probes...),
	}
}

// timeFields ask how high and how long, and end what must be answered.
func timeFields(long string) []field {
	return []field{
		typed(ceilingField, "never above", "Highest pressure allowed in this section (gauge): the weakest part decides, read the plate. It rings above it.", "10 bar"),
		typed(acceptField, "accepted", "At most this pressure for this time after the pump is shut off: 80Pa@60min.", "80Pa@60min"),
		typed(forField, "how long", "Length of the hold: 30min, 1h, 2h. It goes on recording after that.", long),
		{name: endField, hint: "Enter starts. Below: was it just brazed, and the limit, without which it never says tight."},
	}
}

// limitFields ask what makes a verdict of tight possible, and amounts of it.
func limitFields(o Options) []field {
	var gases []option
	for _, g := range o.Gases {
		gases = append(gases, option{g, g})
	}
	return []field{
		choose(heatedField, "just brazed", "Brazed or heated less than two hours ago? What cools falls like a leak; said here, it is allowed for.",
			option{"no", "no"}, option{"yes", "yes, it may be warm yet"}),
		choose(gasField, "gas", "What you fill with. Nitrogen unless you know why not.", gases...),
		typed(volumeField, "volume", "Gas volume of the section, if known: 0.3L, 0.3L +-5%. With it the leak comes in g/yr.", ""),
		typed(limitField, "limit", "Largest loss you accept: 0.4%/h, 5mbar/h, 0.2psi/h, or 3g/yr (needs the volume).", ""),
		typed(refrigerantField, "refrigerant", "What it will be charged with, as on the plate.", ""),
		typed(chargeField, "charge", "Charge on the plate: 45g. With volume and guarantee it gives the limit.", ""),
		typed(tolerateField, "guarantee", "Share of the charge that may be lost in a time: 20%/1y.", ""),
	}
}

// instrument is the one that was chosen.
func instrument(f *form, o Options) Instrument { return o.Instruments[f.get(deviceField).pick] }

// instrumentChosen offers what goes with the instrument.
func (f *form) instrumentChosen(o Options) {
	x := instrument(f, o)
	port, gives := f.get(portField), f.get(fieldsField)
	port.options = nil
	for _, p := range x.Ports {
		port.options = append(port.options, option{p, p})
	}
	port.pick = 0
	known := func(i Instrument) bool { return slices.Contains(i.Ports, port.text.value()) }
	if port.text.value() == "" || slices.ContainsFunc(o.Instruments, known) && !known(x) {
		port.text = newLine("")
		if len(x.Ports) > 0 {
			port.text = newLine(x.Ports[0])
		}
	}
	gives.hint = "What it gives, and where: " + x.Example + "."
	gives.note, gives.bad = "", false
}

// holdShows tells whether a question belongs to the answers so far.
func holdShows(f *form, o Options, vacuum bool, n name) bool {
	x := instrument(f, o)
	for _, q := range []struct {
		n    name
		need Need
	}{{stepField, NeedStep}, {askField, NeedStep}, {portField, NeedPort}, {commandField, NeedCommand}, {fieldsField, NeedFields},
		{shownField, NeedSends}, {baudField, NeedBaud}, {parityField, NeedParity}, {unitIDField, NeedUnitID}} {
		if q.n == n {
			return slices.Contains(x.Needs, q.need) && !(n == shownField && vacuum)
		}
	}
	switch n {
	case thermometerField:
		return x.Profile == ""
	case probeField:
		return len(o.Probes) > 0 && x.Profile == "" && x.Device != "manual" && f.get(thermometerField).value() != "none"
	case acceptField:
		return vacuum
	case ceilingField, heatedField, gasField, limitField, chargeField, tolerateField:
		return !vacuum
	}
	return true
}

// defaults turns the untouched defaults over to another unit: round values of about the same size.
func (f *form) defaults(was, now string) {
	for _, d := range []struct {
		n    name
		text map[string]string
	}{
		{ceilingField, map[string]string{"bar": "10 bar", "psi": "145 psi"}},
		{stepField, map[string]string{"bar": "0.1 bar", "psi": "2 psi", "Pa": "5 Pa", "micron": "50 micron", "mbar": "0.05 mbar"}},
	} {
		if q := f.get(d.n); q.text.value() == d.text[was] {
			q.text = newLine(d.text[now])
		}
	}
}

// readHold parses an answer as the command line would. Optional questions may stay empty.
func readHold(f *form, n name, text string) (echo string, err error) {
	unit := f.get(unitField).value()
	switch n {
	case ceilingField:
		p, err := units.ParsePressure(text, unit)
		if err == nil && (p.Ref != units.GaugeRef || p.Pa <= 0) {
			err = fmt.Errorf("%q is not a gauge pressure above zero", text)
		}
		return p.String(), err
	case stepField:
		d, err := units.ParsePressureDiff(withUnit(text, unit))
		if err == nil && d <= 0 {
			err = fmt.Errorf("a step of %q cannot be read", text)
		}
		return units.FormatPressureFine(float64(d), unit), err
	case forField, askField:
		d, err := units.ParseDuration(text)
		if err == nil && d <= 0 {
			err = fmt.Errorf("%q is no time to wait", text)
		}
		return units.FormatDuration(d), err
	case portField:
		if text == "" {
			return "", fmt.Errorf("no port: type one, for example /dev/ttyUSB0 or COM3")
		}
		return "", nil
	case acceptField:
		a, err := hold.ParseAcceptance(text)
		return fmt.Sprintf("at most %s for %s", units.FormatPressure(float64(a.Most), unit), units.FormatDuration(time.Duration(a.After*float64(time.Second)))), err
	case commandField, fieldsField:
		if text == "" {
			return "", fmt.Errorf("this must be said")
		}
		return "", nil
	}
	if text == "" {
		return "", nil
	}
	return readOptional(n, text)
}

func readOptional(n name, text string) (echo string, err error) {
	switch n {
	case volumeField:
		v, rel, err := units.ParseVolumeTolerance(text)
		echo = units.FormatVolume(v)
		if rel > 0 {
			echo += ", known to " + units.FormatShare(rel)
		}
		return echo, err
	case limitField:
		r, err := units.ParseRate(text)
		return r.String(), err
	case chargeField:
		c, err := units.ParseMass(text)
		return units.FormatMass(c), err
	case tolerateField:
		share, span, err := units.ParseTolerance(text)
		return units.FormatShare(share) + " in " + units.FormatSpan(span), err
	case ceilingField:
		p, err := units.ParsePressure(text, "bar")
		return p.String(), err
	case guaranteeField:
		d, err := units.ParseSpan(text)
		return units.FormatSpan(d), err
	}
	return "", nil
}

// withUnit adds the unit to a bare number.
func withUnit(text, unit string) string {
	if _, rest, err := units.ParseNumber(text); err == nil && strings.TrimSpace(rest) == "" {
		return text + " " + unit
	}
	return text
}

// hold gives the answers. Questions that were not asked stay empty.
func (m *Model) hold(f *form) Hold {
	x, v := instrument(f, m.opts), f.value
	h := Hold{Unit: v(unitField), Section: v(sectionField), Device: x.Device, Profile: x.Profile, AskEvery: v(askField), Step: v(stepField), Port: v(portField),
		Command: v(commandField), Fields: v(fieldsField), Absolute: v(shownField) == "absolute", Baud: v(baudField), Parity: v(parityField), UnitID: v(unitIDField),
		Thermometer: v(thermometerField), Probe: v(probeField), Ceiling: v(ceilingField), Accept: v(acceptField), For: v(forField), Gas: v(gasField),
		Volume: v(volumeField), Limit: v(limitField), Charge: v(chargeField), Refrigerant: v(refrigerantField), Tolerate: v(tolerateField),
		Heated: v(heatedField) == "yes", Vacuum: f == m.vacuumForm}
	if f == m.holdForm {
		h.Job, h.SectionID = m.ofJob.Job, m.ofJob.SectionID
	}
	if h.Step != "" {
		h.Step = withUnit(h.Step, h.Unit)
	}
	return h
}

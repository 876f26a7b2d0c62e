package start

import (
	"fmt"
	"slices"
	"strings"

	tea "github.com/charmbracelet/bubbletea"

	"example.org/holdfast/internal/units"
)

// name is the identity of a field.
type name uint8

const (
	unitField name = iota
	sectionField
	deviceField
	stepField
	askField
	portField
	shownField
	baudField
	thermometerField
	ceilingField
	forField
	startField // not a field: the place where Enter starts
	gasField
	volumeField
	limitField
	refrigerantField
	chargeField
	tolerateField
)

// option is one value of a field that is chosen, not typed.
type option struct{ value, show string }

// field is one question of the form.
type field struct {
	name    name
	label   string
	hint    string
	options []option // chosen with the arrows; nil = typed
	pick    int
	text    line
	note    string // how it was read, or what is wrong
	bad     bool
}

// form is the questions in their order, and where the keyboard is.
type form struct {
	fields  []field
	at      int
	job     string // the job file that the hold belongs to, and the section; "" = none
	section string
}

func newForm(o Options) form {
	var gases, ports []option
	for _, g := range o.Gases {
		gases = append(gases, option{g, g})
	}
	for _, p := range o.Ports {
		ports = append(ports, option{p, p})
	}
	port := field{name: portField, label: "port", hint: "Where the sensor is plugged in. Left, right: the ports found; or type another.", text: newLine("")}
	if len(ports) > 0 {
		port.text = newLine(ports[0].value)
		port.options = ports
	}
	f := form{fields: []field{
		choose(unitField, "unit", "The unit on your gauge.", option{"bar", "bar"}, option{"psi", "psi"}),
		typed(sectionField, "section", "What you closed off, in your own words: it goes into the record.", "section 1"),
		choose(deviceField, "instrument", "A needle gauge needs no sensor: the screen asks for a reading and rings.",
			option{"manual", "needle gauge, read by hand"}, option{"line", "sensor on a serial port"}),
		typed(stepField, "readable to", "The smallest step you can read off the needle. It widens what could hide.", "0.1 bar"),
		typed(askField, "ask every", "How often the screen asks for a reading: 5min, 10min.", "10min"),
		port,
		choose(shownField, "it sends", "A line is pressure, then temperature in C. Vented to the air it reads near 0 when open; an absolute sensor reads about 1 bar (15 psi).",
			option{"gauge", "gauge pressure"}, option{"absolute", "absolute pressure"}),
		choose(baudField, "speed", "Baud rate of the port, as the sensor's maker says.",
			option{"9600", "9600 baud"}, option{"19200", "19200 baud"}, option{"57600", "57600 baud"}, option{"115200", "115200 baud"}),
		choose(thermometerField, "thermometer", "Where it sits. Taped to the part is best; without one the hold must last much longer to prove the same.",
			option{"room", "beside the part, in the air"}, option{"part", "on the part itself"}, option{"none", "none"}),
		typed(ceilingField, "never above", "Highest pressure allowed in this section (gauge): the weakest part decides, read the plate. It rings above it.", "10 bar"),
		typed(forField, "how long", "Length of the hold: 30min, 1h, 2h. It goes on recording after that.", "1h"),
		{name: startField, label: "START", hint: "Enter starts. Without a limit below it can say leaking or unproven, never tight."},
		choose(gasField, "gas", "What you fill with. Nitrogen unless you know why not.", gases...),
		typed(volumeField, "volume", "Gas volume of the section, if known: 0.3L, 0.3L +-5%. With it the leak comes in g/yr.", ""),
		typed(limitField, "limit", "Largest loss you accept: 0.4%/h, 5mbar/h, 0.2psi/h, or 3g/yr (needs the volume).", ""),
		typed(refrigerantField, "refrigerant", "What it will be charged with, as on the plate.", ""),
		typed(chargeField, "charge", "Charge on the plate: 45g. With volume and guarantee it gives the limit.", ""),
		typed(tolerateField, "guarantee", "Share of the charge that may be lost in a time: 20%/1y.", ""),
	}}
	if o.Unit == "psi" {
		f.fields[0].pick = 1
		f.defaults("bar", "psi")
	}
	return f
}

func choose(n name, label, hint string, options ...option) field {
	return field{name: n, label: label, hint: hint, options: options, text: newLine("")}
}

func typed(n name, label, hint, text string) field {
	return field{name: n, label: label, hint: hint, text: newLine(text)}
}

func (f *form) get(n name) *field {
	for i := range f.fields {
		if f.fields[i].name == n {
			return &f.fields[i]
		}
	}
	return &field{}
}

// value is the answer to a question.
func (q *field) value() string {
	if q.options != nil && q.name != portField {
		return q.options[q.pick].value
	}
	return q.text.value()
}

// shown tells whether a question belongs to the answers so far.
func (f *form) shown(n name) bool {
	manual := f.get(deviceField).value() == "manual"
	switch n {
	case stepField, askField:
		return manual
	case portField, shownField, baudField:
		return !manual
	}
	return true
}

// move goes to the next shown field in a direction and stays at the ends.
func (f *form) move(dir int) {
	for i := f.at + dir; i >= 0 && i < len(f.fields); i += dir {
		if f.shown(f.fields[i].name) {
			f.at = i
			return
		}
	}
}

// keyForm is the keyboard in the form. Escape goes back; nothing typed is lost by it.
func (m *Model) keyForm(k tea.KeyMsg) tea.Cmd {
	f := &m.form
	q := &f.fields[f.at]
	switch k.Type {
	case tea.KeyEsc:
		m.page, m.at = menuPage, 0
	case tea.KeyUp, tea.KeyShiftTab:
		f.move(-1)
	case tea.KeyDown, tea.KeyTab:
		f.move(1)
	case tea.KeyCtrlS:
		return m.submit()
	case tea.KeyEnter:
		return m.enter(q)
	case tea.KeyLeft, tea.KeyRight:
		if q.options == nil {
			q.text.update(k)
			break
		}
		f.turn(q, k.Type == tea.KeyRight)
	case tea.KeySpace:
		if q.options != nil && q.name != portField {
			f.turn(q, true)
			break
		}
		f.typed(q, k)
	default:
		if (q.options == nil || q.name == portField) && q.name != startField {
			f.typed(q, k)
		}
	}
	return nil
}

func (f *form) typed(q *field, k tea.KeyMsg) {
	q.text.update(k)
	f.check(q)
}

// enter goes on to the next question, or starts; a wrong answer holds it.
func (m *Model) enter(q *field) tea.Cmd {
	if q.name == startField {
		return m.submit()
	}
	if m.form.check(q); !q.bad {
		m.form.move(1)
	}
	return nil
}

// submit checks every answer, goes to the first wrong one, else to the plan and the cautions.
func (m *Model) submit() tea.Cmd {
	f := &m.form
	for i := range f.fields {
		q := &f.fields[i]
		if !f.shown(q.name) {
			continue
		}
		if f.check(q); q.bad {
			f.at = i
			return nil
		}
	}
	m.page, m.scroll = cautionsPage, 0
	return m.reckon()
}

// turn chooses the next or the previous option.
func (f *form) turn(q *field, on bool) {
	if q.name == portField { // typed or chosen
		q.pick = max(slices.IndexFunc(q.options, func(o option) bool { return o.value == q.text.value() }), 0)
	}
	d := len(q.options) - 1
	if on {
		d = 1
	}
	was := q.options[q.pick].value
	q.pick = (q.pick + d) % len(q.options)
	now := q.options[q.pick].value
	switch q.name {
	case portField:
		q.text = newLine(now)
	case unitField:
		f.defaults(was, now)
	}
}

// defaults turns the untouched defaults over to another unit: round values of about the same size.
func (f *form) defaults(was, now string) {
	for _, d := range []struct {
		n    name
		text map[string]string
	}{
		{ceilingField, map[string]string{"bar": "10 bar", "psi": "145 psi"}},
		{stepField, map[string]string{"bar": "0.1 bar", "psi": "2 psi"}},
	} {
		if q := f.get(d.n); q.text.value() == d.text[was] {
			q.text = newLine(d.text[now])
		}
	}
}

// check reads the answer and keeps how it was read, or what is wrong.
func (f *form) check(q *field) {
	q.note, q.bad = "", false
	text := q.value()
	echo, err := f.read(q.name, text)
	if err != nil {
		q.note, q.bad = err.Error(), true
		return
	}
	if echo != "" {
		q.note = "read as " + echo
	}
}

// read parses an answer as the command line would. Optional questions may stay empty.
func (f *form) read(n name, text string) (echo string, err error) {
	switch n {
	case ceilingField:
		p, err := units.ParsePressure(text, f.get(unitField).value())
		if err == nil && (p.Ref != units.GaugeRef || p.Pa <= 0) {
			err = fmt.Errorf("%q is not a gauge pressure above zero", text)
		}
		return p.String(), err
	case stepField:
		d, err := units.ParsePressureDiff(withUnit(text, f.get(unitField).value()))
		if err == nil && d <= 0 {
			err = fmt.Errorf("a step of %q cannot be read", text)
		}
		return units.FormatPressureFine(float64(d), f.get(unitField).value()), err
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
func (f *form) hold() Hold {
	v := func(n name) string {
		if !f.shown(n) {
			return ""
		}
		return f.get(n).value()
	}
	h := Hold{Unit: v(unitField), Section: v(sectionField), Device: v(deviceField), AskEvery: v(askField), Step: v(stepField), Port: v(portField),
		Absolute: v(shownField) == "absolute", Baud: v(baudField),
		Thermometer: v(thermometerField), Ceiling: v(ceilingField), For: v(forField), Gas: v(gasField), Volume: v(volumeField), Limit: v(limitField),
		Charge: v(chargeField), Refrigerant: v(refrigerantField), Tolerate: v(tolerateField),
		Job: f.job, SectionID: f.section}
	if h.Step != "" {
		h.Step = withUnit(h.Step, h.Unit)
	}
	return h
}

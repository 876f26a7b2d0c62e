package start

import (
	"slices"

	"github.com/charmbracelet/bubbles/key"
	tea "github.com/charmbracelet/bubbletea"
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
	commandField
	fieldsField
	shownField
	baudField
	parityField
	unitIDField
	thermometerField
	probeField
	ceilingField
	acceptField
	forField
	endField // not a field: the place where Enter ends the form
	heatedField
	gasField
	volumeField
	limitField
	refrigerantField
	chargeField
	tolerateField
	jobField
	idField
	sideField
	applianceField
	guaranteeField
	ofField
	metalsField
	methodField
	stateField
	buriedField
)

// option is one value of a field that is chosen, not typed.
type option struct{ value, show string }

// field is one question of a form.
type field struct {
	name    name
	label   string
	hint    string
	options []option // chosen with the arrows; nil = typed
	free    bool     // may be typed as well as chosen
	pick    int
	text    line
	note    string // how it was read, or what is wrong
	bad     bool
}

// form is some questions in their order, and where the keyboard is. What was
// answered stays for as long as the program runs.
type form struct {
	title   string
	end     string // what Enter does at its end, in a word
	fields  []field
	at      int
	problem string                                    // what is wrong with all of it
	shown   func(n name) bool                         // the question belongs to the answers so far
	read    func(n name, text string) (string, error) // parses an answer, as the command line would; "" may be left out
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

// value is the answer to a question; of one that is not asked it is "".
func (f *form) value(n name) string {
	if !f.shown(n) {
		return ""
	}
	return f.get(n).value()
}

func (q *field) value() string {
	if q.options != nil && !q.free {
		return q.options[q.pick].value
	}
	return q.text.value()
}

// typable tells whether signs are text for the field.
func (q *field) typable() bool { return (q.options == nil || q.free) && q.name != endField }

// set gives an answer.
func (f *form) set(n name, text string) {
	q := f.get(n)
	if i := slices.IndexFunc(q.options, func(o option) bool { return o.value == text }); i >= 0 {
		q.pick = i
	}
	q.text = newLine(text)
	f.check(q)
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

// keyForm is the keyboard in a form. Escape goes back; nothing typed is lost by it.
func (m *Model) keyForm(f *form, k tea.KeyMsg) tea.Cmd {
	q := &f.fields[f.at]
	f.problem = ""
	switch {
	case key.Matches(k, m.keys.Back):
		m.page = m.before()
	case key.Matches(k, m.keys.Up):
		f.move(-1)
	case key.Matches(k, m.keys.Down):
		f.move(1)
	case key.Matches(k, m.keys.Send):
		return m.submit(f)
	case key.Matches(k, m.keys.On):
		if q.name == endField {
			return m.submit(f)
		}
		if f.check(q); !q.bad {
			f.move(1)
		}
	case key.Matches(k, m.keys.Turn) && q.options != nil:
		m.turn(f, q, k.Type == tea.KeyRight)
	case k.Type == tea.KeySpace && !q.typable() && q.options != nil:
		m.turn(f, q, true)
	case q.typable():
		q.text.update(k)
		f.check(q)
	}
	return nil
}

// submit checks every answer, goes to the first wrong one, else on with the form.
func (m *Model) submit(f *form) tea.Cmd {
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
	return m.filled(f)
}

// turn chooses the next or the previous option.
func (m *Model) turn(f *form, q *field, on bool) {
	if q.free { // typed or chosen
		q.pick = max(slices.IndexFunc(q.options, func(o option) bool { return o.value == q.text.value() }), 0)
	}
	d := len(q.options) - 1
	if on {
		d = 1
	}
	was := q.options[q.pick].value
	q.pick = (q.pick + d) % len(q.options)
	now := q.options[q.pick].value
	switch {
	case q.free:
		q.text = newLine(now)
		f.check(q)
	case q.name == unitField:
		f.defaults(was, now)
	case q.name == deviceField:
		f.instrumentChosen(m.opts)
	}
}

// check reads the answer and keeps how it was read, or what is wrong.
func (f *form) check(q *field) {
	q.note, q.bad = "", false
	echo, err := f.read(q.name, q.value())
	if err != nil {
		q.note, q.bad = err.Error(), true
		return
	}
	if echo != "" {
		q.note = "read as " + echo
	}
}

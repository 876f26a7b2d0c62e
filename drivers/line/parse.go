package line

import (
	"errors"
	"fmt"
	"strings"
	"unicode"
	"unicode/utf8"

	"example.org/holdfast/drivers"
	"example.org/holdfast/internal/units"
)

// read makes a Reading of a line; false = the line is empty.
func (l layout) read(line drivers.Line) (drivers.Reading, bool) {
	text := strings.TrimFunc(degrees(line.Text), func(r rune) bool { return unicode.IsSpace(r) || unicode.IsControl(r) })
	if text == "" {
		return drivers.Reading{}, false
	}
	r := drivers.Empty()
	if err := l.fill(&r, text, line.Long); err != nil {
		r = drivers.Empty()
		r.Doubt = err.Error()
	}
	r.Raw = drivers.Printable(text)
	return r, true
}

// degrees makes the degree sign of the old one-byte character sets UTF-8.
func degrees(text string) string {
	if utf8.ValidString(text) {
		return text
	}
	return strings.NewReplacer("\xb0C", "°C", "\xb0F", "°F", "\xf8C", "°C", "\xf8F", "°F").Replace(text)
}

// fill sets what the line says in r. Its error is the doubt about the line.
func (l layout) fill(r *drivers.Reading, text string, long bool) error {
	if long {
		return fmt.Errorf("line longer than %d characters", drivers.MaxLine)
	}
	if strings.ContainsFunc(text, garbled) {
		return errors.New("unreadable bytes in the line: check the baud rate and the cable")
	}
	values, err := l.values(text)
	if err != nil {
		return err
	}
	found := false
	for i, f := range l.fields {
		if f.Skip || values[i] == "" {
			continue
		}
		if err := l.set(r, f, values[i]); err != nil {
			return err
		}
		found = true
	}
	if !found {
		return errors.New("no value in the line")
	}
	return nil
}

// garbled characters come of a wrong baud rate or a bad line. A digit may
// have been one of them, so that the numbers around are not to be trusted.
func garbled(r rune) bool { return r == unicode.ReplacementChar || unicode.IsControl(r) && r != '\t' }

// set puts one value where it belongs.
func (l layout) set(r *drivers.Reading, f drivers.Field, text string) error {
	v, unit, err := units.ParseNumber(text)
	if err != nil {
		return fmt.Errorf("%s %q is no usable number", f.Name, drivers.Printable(text))
	}
	if unit != "" && !l.scaled(f) && !f.Agrees(unit) {
		return fmt.Errorf("%s %q is not in the unit that the fields state", f.Name, drivers.Printable(text))
	}
	return f.Put(r, f.Column.SI(v), l.cal)
}

// scaled reports whether the field's number is in the device's own unit, so that any word may stand behind it.
func (l layout) scaled(f drivers.Field) bool {
	return f.Column.Quantity == units.PressureQuantity && l.cal.Scale != 0 && l.cal.Scale != 1
}

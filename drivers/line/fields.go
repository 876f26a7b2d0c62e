package line

import (
	"errors"
	"fmt"
	"math"
	"strings"

	"example.org/holdfast/internal/units"
)

// layout says what the fields of a line are.
type layout struct {
	keyed  bool
	fields []field
	scale  float64 // of the pressure's number
	zero   float64 // Pa, taken off the pressure
}

// field is one number of a line.
type field struct {
	key    string       // in a keyed layout, as the device writes it
	name   string       // of the column, as the person wrote it
	skip   bool         // "-": the line has something here that nobody wants
	column units.Column // what the number is, unless skip
}

const fieldsHelp = `say what a line holds, such as "pressure_bar_abs,-,ambient_c" by position or "P=pressure_bar,T=ambient_c" by key`

func parseFields(text string) (layout, error) {
	var l layout
	if strings.TrimSpace(text) == "" {
		return l, fmt.Errorf("no fields given: %s", fieldsHelp)
	}
	names := strings.Split(text, ",")
	l.keyed = strings.Contains(text, "=")
	for _, name := range names {
		f, err := parseField(strings.TrimSpace(name), l.keyed)
		if err != nil {
			return l, err
		}
		l.fields = append(l.fields, f)
	}
	return l, l.check()
}

func parseField(text string, keyed bool) (field, error) {
	f := field{name: text}
	if keyed {
		key, name, found := strings.Cut(text, "=")
		f.key, f.name = strings.TrimSpace(key), strings.TrimSpace(name)
		if !found || f.key == "" {
			return f, fmt.Errorf("field %q has no key while others have: %s", text, fieldsHelp)
		}
		if strings.ContainsAny(f.key, "=:,;|{}\"") {
			return f, fmt.Errorf("key %q holds a separator", f.key)
		}
	}
	if f.name == "-" {
		f.skip = true
		return f, nil
	}
	column, err := units.ParseColumn(f.name)
	f.column = column
	return f, err
}

// check refuses a layout that could not give one clear reading.
func (l layout) check() error {
	quantities := make(map[units.Quantity]string)
	keys := make(map[string]bool)
	for _, f := range l.fields {
		if l.keyed && keys[strings.ToLower(f.key)] {
			return fmt.Errorf("key %q stands twice in the fields", f.key)
		}
		keys[strings.ToLower(f.key)] = true
		if f.skip {
			continue
		}
		if other, twice := quantities[f.column.Quantity]; twice {
			return fmt.Errorf("fields %q and %q are the same quantity", other, f.name)
		}
		quantities[f.column.Quantity] = f.name
	}
	if len(quantities) == 0 {
		return errors.New("every field is skipped: " + fieldsHelp)
	}
	return nil
}

// calibrate sets scale and zero of the pressure; a layout without a pressure takes none.
func (l *layout) calibrate(scale float64, zero units.PressureDiff) error {
	l.scale, l.zero = 1, float64(zero)
	if scale != 0 {
		l.scale = scale
	}
	if math.IsNaN(l.scale) || math.IsInf(l.scale, 0) || math.IsNaN(l.zero) || math.IsInf(l.zero, 0) {
		return fmt.Errorf("scale %v and zero %v must be finite", scale, zero)
	}
	if l.scale == 1 && l.zero == 0 {
		return nil
	}
	for _, f := range l.fields {
		if !f.skip && f.column.Quantity == units.PressureQuantity {
			return nil
		}
	}
	return errors.New("scale and zero belong to a pressure, and the fields hold none")
}

package units

import (
	"encoding/json"
	"fmt"
)

// Quantities that always carry their unit read themselves from flags, profiles
// and JSON strings. In JSON a plain number is SI, which is what they are
// written as; the method is needed because encoding/json refuses a number for
// a type that has only UnmarshalText.

// UnmarshalText reads a volume as ParseVolume does.
func (v *Volume) UnmarshalText(text []byte) error { return set(v, string(text), ParseVolume) }

// UnmarshalJSON reads cubic metres, or a string with a unit.
func (v *Volume) UnmarshalJSON(data []byte) error { return setJSON(v, data, ParseVolume) }

// UnmarshalText reads a mass as ParseMass does.
func (m *Mass) UnmarshalText(text []byte) error { return set(m, string(text), ParseMass) }

// UnmarshalJSON reads kilograms, or a string with a unit.
func (m *Mass) UnmarshalJSON(data []byte) error { return setJSON(m, data, ParseMass) }

// UnmarshalText reads a difference as ParsePressureDiff does.
func (d *PressureDiff) UnmarshalText(text []byte) error {
	return set(d, string(text), ParsePressureDiff)
}

// UnmarshalJSON reads pascal, or a string with a unit.
func (d *PressureDiff) UnmarshalJSON(data []byte) error { return setJSON(d, data, ParsePressureDiff) }

// UnmarshalText reads a difference as ParseTempDiff does.
func (d *TempDiff) UnmarshalText(text []byte) error { return set(d, string(text), ParseTempDiff) }

// UnmarshalJSON reads kelvin, or a string with a unit.
func (d *TempDiff) UnmarshalJSON(data []byte) error { return setJSON(d, data, ParseTempDiff) }

// UnmarshalText reads a rate as ParseRate does; an empty text is no rate.
func (r *Rate) UnmarshalText(text []byte) error {
	if len(text) == 0 {
		*r = Rate{}
		return nil
	}
	return set(r, string(text), ParseRate)
}

// MarshalText writes the rate as it was stated.
func (r Rate) MarshalText() ([]byte, error) { return []byte(r.Text), nil }

func set[T any](dst *T, text string, parse func(string) (T, error)) error {
	v, err := parse(text)
	if err == nil {
		*dst = v
	}
	return err
}

func setJSON[T ~float64](dst *T, data []byte, parse func(string) (T, error)) error {
	if string(data) == "null" {
		return nil // by the convention of encoding/json
	}
	if len(data) > 0 && data[0] == '"' {
		var text string
		if err := json.Unmarshal(data, &text); err != nil {
			return fmt.Errorf("quantity: %w", err)
		}
		return set(dst, text, parse)
	}
	var v float64
	if err := json.Unmarshal(data, &v); err != nil {
		return fmt.Errorf("quantity: %w", err)
	}
	*dst = T(v)
	return nil
}

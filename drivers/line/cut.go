package line

import (
	"encoding/json"
	"errors"
	"fmt"
	"strings"

	"example.org/holdfast/internal/units"
)

// values gives the text of each field of the layout, "" where the line has none.
func (l layout) values(text string) ([]string, error) {
	switch {
	case text[0] == '{':
		return l.fromJSON(text)
	case l.keyed:
		return l.fromKeys(text)
	}
	return l.fromPositions(text)
}

// fromJSON reads a flat object with numbers, or numbers in quotes.
func (l layout) fromJSON(text string) ([]string, error) {
	if !l.keyed {
		return nil, errors.New("line is a JSON object and the fields have no keys")
	}
	var object map[string]any
	d := json.NewDecoder(strings.NewReader(text))
	d.UseNumber()
	if d.Decode(&object) != nil || d.More() {
		return nil, errors.New("line is not the JSON object it begins as")
	}
	values := make([]string, len(l.fields))
	for i, f := range l.fields {
		v, err := member(object, f.Key)
		if err != nil {
			return nil, err
		}
		switch v := v.(type) {
		case nil:
		case json.Number:
			values[i] = v.String()
		case string:
			values[i] = strings.TrimSpace(v)
		default:
			return nil, fmt.Errorf("key %q does not hold a number", f.Key)
		}
	}
	return values, nil
}

// member finds a key of the object, letter case ignored as in lines with keys.
func member(object map[string]any, key string) (value any, err error) {
	found := 0
	for k, v := range object {
		if strings.EqualFold(k, key) {
			value = v
			found++
		}
	}
	if found > 1 {
		return nil, fmt.Errorf("key %q stands twice in the line", key)
	}
	return value, nil
}

// fromKeys looks for each key with = or : behind it, wherever it stands.
func (l layout) fromKeys(text string) ([]string, error) {
	values := make([]string, len(l.fields))
	for i, f := range l.fields {
		after, found := afterKey(text, f.Key)
		if !found {
			continue
		}
		if _, twice := afterKey(after, f.Key); twice {
			return nil, fmt.Errorf("key %q stands twice in the line", f.Key)
		}
		values[i] = firstValue(after)
		if values[i] == "" && !f.Skip {
			return nil, fmt.Errorf("key %q has no value", f.Key)
		}
	}
	return values, nil
}

// afterKey gives what follows "key=" or "key:" in text, letter case ignored.
func afterKey(text, key string) (after string, found bool) {
	for at := 0; at+len(key) <= len(text); at++ {
		if !strings.EqualFold(text[at:at+len(key)], key) || at > 0 && partOfKey(text[at-1]) {
			continue
		}
		rest := strings.TrimLeft(text[at+len(key):], " \t")
		if rest != "" && (rest[0] == '=' || rest[0] == ':') {
			return strings.TrimLeft(rest[1:], " \t"), true
		}
	}
	return "", false
}

func partOfKey(b byte) bool {
	return b == '_' || '0' <= b && b <= '9' || 'a' <= b && b <= 'z' || 'A' <= b && b <= 'Z' || b >= 0x80
}

// firstValue cuts a number with its unit, if any, off the start of text.
func firstValue(text string) string {
	value, rest := cutToken(text)
	if next, _ := cutToken(strings.TrimLeft(rest, " \t")); strings.HasPrefix(rest, " ") && isUnit(next) {
		return value + " " + next
	}
	return value
}

// cutToken cuts at white space, semicolon and bar, and at a comma that cannot be a decimal one.
func cutToken(text string) (token, rest string) {
	for i := 0; i < len(text); i++ {
		switch text[i] {
		case ' ', '\t', ';', '|':
			return text[:i], text[i:]
		case ',':
			if i+1 == len(text) || text[i+1] < '0' || text[i+1] > '9' {
				return text[:i], text[i:]
			}
		}
	}
	return text, ""
}

// fromPositions cuts the line at the first separator of this order that it
// holds: semicolon, tab, bar, comma, space. A comma yields to the space when
// only that gives the right number of fields: then it is a decimal comma.
func (l layout) fromPositions(text string) ([]string, error) {
	var values []string
	switch {
	case strings.Contains(text, ";"):
		values = cut(text, ";")
	case strings.Contains(text, "\t"):
		values = cut(text, "\t")
	case strings.Contains(text, "|"):
		values = cut(text, "|")
	case strings.Contains(text, ","):
		values = cut(text, ",")
		if spaced := words(text); len(values) != len(l.fields) && len(spaced) == len(l.fields) {
			values = spaced
		}
	default:
		values = words(text)
	}
	if n := len(l.fields); len(values) == n+1 && values[n] == "" {
		values = values[:n] // a separator that ends the last field
	}
	if len(values) != len(l.fields) {
		return nil, fmt.Errorf("line has %d fields, expected %d", len(values), len(l.fields))
	}
	return values, nil
}

func cut(text, sep string) []string {
	values := strings.Split(text, sep)
	for i := range values {
		values[i] = strings.TrimSpace(values[i])
	}
	return values
}

// words splits at white space and leaves each unit with its number.
func words(text string) []string {
	var values []string
	for _, word := range strings.Fields(text) {
		if last := len(values) - 1; last >= 0 && isUnit(word) && !isUnit(values[last]) {
			values[last] += " " + word
			continue
		}
		values = append(values, word)
	}
	return values
}

func isUnit(word string) bool {
	_, _, _, err := units.PressureUnit(word)
	return err == nil || isTemperatureUnit(word)
}

func isTemperatureUnit(word string) bool {
	_, err := units.ParseTemperature("300"+word, "")
	return word != "" && err == nil
}

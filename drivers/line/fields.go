package line

import (
	"fmt"
	"strings"

	"example.org/holdfast/drivers"
)

// layout says what the fields of a line are.
type layout struct {
	keyed  bool
	fields []drivers.Field
	cal    drivers.Calibration
}

const fieldsHelp = `say what a line holds, such as "pressure_bar_abs,-,ambient_c" by position or "P=pressure_bar,T=ambient_c" by key`

func parseFields(text string) (layout, error) {
	l := layout{keyed: strings.Contains(text, "=")}
	var err error
	if l.fields, err = drivers.ParseFields(text); err != nil {
		return l, fmt.Errorf("%w: %s", err, fieldsHelp)
	}
	for _, f := range l.fields {
		switch {
		case l.keyed && f.Key == "":
			return l, fmt.Errorf("field %q has no key while others have: %s", f.Name, fieldsHelp)
		case strings.ContainsAny(f.Key, "=:,;|{}\""):
			return l, fmt.Errorf("key %q holds a separator", f.Key)
		}
	}
	return l, nil
}

package hold

import (
	"fmt"
	"strings"

	"example.org/holdfast/internal/units"
	"example.org/holdfast/refdata"
)

// Acceptance is what a vacuum hold has to meet.
type Acceptance struct {
	Text  string         // as given
	Start units.Absolute // at most this when the valve closes; 0 = not asked for
	Most  units.Absolute // at most this until After
	After float64        // s
}

// ParseAcceptance reads a pressure and a time, such as 80Pa@60min, or the name
// of a published acceptance.
func ParseAcceptance(text string) (Acceptance, error) {
	var names []string
	for _, a := range refdata.VacuumAcceptances() {
		if strings.EqualFold(a.Name, strings.TrimSpace(text)) {
			return Acceptance{text, units.Absolute(a.Start), units.Absolute(a.Most), a.After}, nil
		}
		names = append(names, a.Name)
	}
	most, after, err := units.ParseAcceptance(text)
	if err != nil {
		return Acceptance{}, fmt.Errorf("%w; or one of %s", err, strings.Join(names, ", "))
	}
	return Acceptance{text, 0, most, after.Seconds()}, nil
}

package acquire

import (
	"math"
	"strings"

	"example.org/holdfast/drivers"
)

// newWords gives the words of a reading that becomes a sample, "" where its numbers can rebuild them.
func (p *pairing) newWords(device uint8, r drivers.Reading) string {
	if rebuilds(p.words[device], r) {
		return ""
	}
	p.words[device] = r.Raw
	return r.Raw
}

// rebuilds reports whether the words of a reading need not be kept: they are
// those of an earlier one, before, with other numbers in their places, and hold no more
// numbers than the reading has values.
func rebuilds(before string, r drivers.Reading) bool {
	values := 0
	for _, v := range []float64{r.Pressure, float64(r.Ambient), float64(r.Section), float64(r.Barometer)} {
		if !math.IsNaN(v) {
			values++
		}
	}
	now := r.Raw
	for numbers := 0; ; numbers++ {
		a, restBefore, foundBefore := cutNumber(before)
		b, rest, found := cutNumber(now)
		if a != b || found != foundBefore {
			return false
		}
		if !found {
			return numbers <= values
		}
		before, now = restBefore, rest
	}
}

// cutNumber cuts a text around its first number. What pads the number, blanks
// and its sign, belongs to it.
func cutNumber(text string) (before, after string, found bool) {
	first := strings.IndexAny(text, "0123456789")
	if first < 0 {
		return text, "", false
	}
	end := first
	for end < len(text) && ('0' <= text[end] && text[end] <= '9' || text[end] == '.') {
		end++
	}
	return strings.TrimRight(text[:first], " +-"), text[end:], true
}

package units

import (
	"fmt"
	"math"
	"strconv"
	"strings"
)

// quoteLimit keeps an error on one readable line whatever was pasted in.
const quoteLimit = 48

// ParseNumber reads the decimal number at the start of s and gives back what
// follows it, trimmed. Point and comma are both the decimal separator; there is
// no thousands separator, so "1.234,5" and "1 234" are errors and not a guess.
// A sign and an exponent are read; NaN, infinities and overflow are errors.
func ParseNumber(s string) (v float64, rest string, err error) {
	text := strings.TrimSpace(s)
	text = strings.Replace(text, "\u2212", "-", 1) // the typographic minus of a pasted text
	end := numberEnd(text)
	if end == 0 {
		return 0, "", fmt.Errorf("%s does not start with a number", quote(s))
	}
	number, rest := text[:end], strings.TrimSpace(text[end:])
	if rest != "" && (isDigit(rest[0]) || rest[0] == '.' && !startsProduct(rest) || rest[0] == ',' || rest[0] == '\'') {
		return 0, "", fmt.Errorf("%s has a second separator in its number: write one decimal point or comma and no thousands separators", quote(s))
	}
	v, err = strconv.ParseFloat(strings.Replace(number, ",", ".", 1), 64)
	if err != nil || math.IsInf(v, 0) {
		return 0, "", fmt.Errorf("%s is a number out of range", quote(s))
	}
	return v, rest, nil
}

// startsProduct reports whether a leading point belongs to a unit and not to a number.
func startsProduct(s string) bool { return len(s) > 1 && !isDigit(s[1]) }

// numberEnd gives the length of the number at the start of s, 0 when there is none.
func numberEnd(s string) int {
	i := 0
	if i < len(s) && (s[i] == '+' || s[i] == '-') {
		i++
	}
	start := i
	i = skipDigits(s, i)
	digits := i - start
	if i+1 < len(s) && (s[i] == '.' || s[i] == ',' && digits > 0) && isDigit(s[i+1]) {
		point := i
		i = skipDigits(s, i+1)
		digits += i - point - 1
	}
	if digits == 0 {
		return 0
	}
	return exponentEnd(s, i)
}

// exponentEnd gives the end of an exponent that starts at i, or i when there is none.
func exponentEnd(s string, i int) int {
	if i >= len(s) || s[i] != 'e' && s[i] != 'E' {
		return i
	}
	j := i + 1
	if j < len(s) && (s[j] == '+' || s[j] == '-') {
		j++
	}
	if end := skipDigits(s, j); end > j {
		return end
	}
	return i
}

func skipDigits(s string, i int) int {
	for i < len(s) && isDigit(s[i]) {
		i++
	}
	return i
}

func isDigit(c byte) bool { return '0' <= c && c <= '9' }

// No quantity beside a refrigeration circuit is larger than this in SI, and none that
// is not zero is smaller: 10 000 bar; a thousandth of a gram in a year is 3e-14 kg/s.
// What is beyond is a slip or a damaged file, and its square or product would not be a number any more.
const (
	mostSI  = 1e9
	leastSI = 1e-24
)

// scaled multiplies a typed number by a unit and refuses what no quantity can be.
func scaled(s string, v, factor float64) (float64, error) { return scaledTo(s, v, factor, mostSI) }

// scaledTo is scaled for a quantity whose largest is known.
func scaledTo(s string, v, factor, most float64) (float64, error) {
	si := v * factor
	switch size := math.Abs(si); {
	case !(size <= most):
		return 0, fmt.Errorf("%s is larger than anything in this trade: check the number and its unit", quote(s))
	case size < leastSI && v != 0:
		return 0, fmt.Errorf("%s is smaller than anything in this trade: check the number and its unit", quote(s))
	}
	return si, nil
}

// squeeze brings the ways to type one unit to one spelling: no spaces, ASCII
// for the raised digits, the product dot and the degree sign. Letter case stays.
func squeeze(unit string) string {
	ascii := strings.NewReplacer("²", "2", "³", "3", "^", "", "·", ".", "⋅", ".", "×", ".", "*", ".",
		"℃", "C", "℉", "F", "°", "", "º", "", "˚", "", "µ", "u", "μ", "u", "ℓ", "l")
	return strings.Join(strings.Fields(ascii.Replace(unit)), "")
}

// quote shows what was typed, shortened, control characters escaped.
func quote(s string) string {
	if runes := []rune(s); len(runes) > quoteLimit {
		s = string(runes[:quoteLimit]) + "..."
	}
	return strconv.Quote(s)
}

// unitError says that a number came with no unit or with one that is not known.
func unitError(what, s, unit, accepted string) error {
	if unit == "" {
		return fmt.Errorf("%s %s has no unit: write %s", what, quote(s), accepted)
	}
	return fmt.Errorf("%s %s has unknown unit %s: use %s", what, quote(s), quote(unit), accepted)
}

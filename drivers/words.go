package drivers

import (
	"strings"
	"unicode"
)

// maxRaw is how many characters of a device's words are kept.
const maxRaw = 160

// Printable is what of a device's words may reach a screen and a log: no
// control characters, and not more than 160 characters.
func Printable(text string) string {
	var b strings.Builder
	n := 0
	for _, r := range text {
		if r == '\t' {
			r = ' '
		}
		if r == unicode.ReplacementChar {
			r = '?'
		}
		if !unicode.IsPrint(r) {
			continue
		}
		if n++; n > maxRaw {
			break
		}
		b.WriteRune(r)
	}
	return b.String()
}

// Doubtful is a reading that carries the device's words and why they cannot be used.
func Doubtful(words, why string) Reading {
	r := Empty()
	r.Raw, r.Doubt = Printable(words), Printable(why)
	return r
}

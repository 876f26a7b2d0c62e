package main

import (
	"fmt"
	"io"
	"strings"
	"unicode"
	"unicode/utf8"

	"example.org/holdfast/internal/tui"
	"example.org/holdfast/internal/units"
)

const (
	textWidth  = 78
	leastWidth = 16 // cells; in a narrower terminal words are not kept whole
)

// oneLine makes a text fit for one line of a terminal: control bytes, and with
// them escape sequences of a device or a file, become spaces.
func oneLine(s string) string {
	s = strings.ToValidUTF8(s, "?")
	return strings.TrimSpace(strings.Map(func(r rune) rune {
		if unicode.IsControl(r) {
			return ' '
		}
		return r
	}, s))
}

// paragraph writes a text broken into lines, the first with its own indent; in a narrow terminal into shorter ones.
func paragraph(w io.Writer, first, rest, text string) {
	width := textWidth
	if t := tui.Width(w); t >= leastWidth {
		width = min(width, t-1)
	}
	wrapped(w, first, rest, text, width)
}

// wrapped is paragraph with lines of another width, in characters.
func wrapped(w io.Writer, first, rest, text string, width int) {
	line := first
	n := utf8.RuneCountInString(line)
	empty := true
	for _, word := range strings.Fields(oneLine(text)) {
		k := utf8.RuneCountInString(word)
		if !empty && n+1+k > width {
			fmt.Fprintln(w, line)
			line, n, empty = rest, utf8.RuneCountInString(rest), true
		}
		if !empty {
			line, n = line+" ", n+1
		}
		line, n, empty = line+word, n+k, false
	}
	fmt.Fprintln(w, line)
}

// duration says a number of seconds, to the second below an hour and to the minute above.
func duration(s float64) string { return units.FormatHeld(s) }

package ui

import (
	"strings"
	"unicode"
	"unicode/utf8"

	"github.com/charmbracelet/x/ansi"
)

// Clean makes text from a device, a file or a person safe to show on one line:
// escape sequences, control characters, invalid bytes and invisible format
// characters go, tabs and line ends become spaces, at most max runes stay.
func Clean(s string, max int) string {
	s = ansi.Strip(s)
	var b strings.Builder
	n := 0
	for _, r := range s {
		if n >= max {
			break
		}
		switch {
		case r == '\t' || r == '\n' || r == '\r':
			r = ' '
		case r == utf8.RuneError, unicode.IsControl(r), unicode.In(r, unicode.Cf, unicode.Co, unicode.Zl, unicode.Zp):
			continue
		}
		b.WriteRune(r)
		n++
	}
	return strings.TrimSpace(b.String())
}

// Width is the number of cells that s takes; escape sequences take none.
func Width(s string) int { return ansi.StringWidth(s) }

// Cut shortens s to at most w cells.
func Cut(s string, w int) string {
	if w <= 0 {
		return ""
	}
	if Width(s) <= w {
		return s
	}
	return ansi.Truncate(s, w, "")
}

// Pad cuts or fills s to exactly w cells.
func Pad(s string, w int) string {
	s = Cut(s, w)
	if n := w - Width(s); n > 0 {
		return s + strings.Repeat(" ", n)
	}
	return s
}

// Sides puts left and right text on one line of w cells; the left one is cut first.
func Sides(left, right string, w int) string {
	rw := Width(right)
	if rw >= w {
		return Cut(right, w)
	}
	return Pad(left, w-rw) + right
}

// Centre puts s in the middle of w cells.
func Centre(s string, w int) string {
	n := w - Width(s)
	if n <= 0 {
		return Cut(s, w)
	}
	return Pad(strings.Repeat(" ", n/2)+s, w)
}

// Wrap breaks plain text at spaces into lines of at most w cells, at most max lines.
func Wrap(s string, w, max int) []string {
	if w <= 0 || max <= 0 {
		return nil
	}
	lines := strings.Split(ansi.Wrap(s, w, ""), "\n")
	if len(lines) > max {
		lines = lines[:max]
		last := lines[max-1]
		lines[max-1] = Cut(last, w-2) + ".."
	}
	for i := range lines {
		lines[i] = Cut(strings.TrimRight(lines[i], " "), w)
	}
	return lines
}

// Block cuts lines to w cells and to exactly h lines.
func Block(lines []string, w, h int) []string {
	out := make([]string, 0, max(h, 0))
	for i := range h {
		if i < len(lines) {
			out = append(out, Cut(lines[i], w))
		} else {
			out = append(out, "")
		}
	}
	return out
}

// Beside joins two blocks side by side; the left one is padded to lw cells.
func Beside(left []string, lw int, right []string) []string {
	n := max(len(left), len(right))
	out := make([]string, n)
	for i := range n {
		var l, r string
		if i < len(left) {
			l = left[i]
		}
		if i < len(right) {
			r = right[i]
		}
		out[i] = Pad(l, lw) + r
	}
	return out
}

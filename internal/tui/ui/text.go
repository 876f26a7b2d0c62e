package ui

import (
	"strings"
	"unicode"
	"unicode/utf8"

	"github.com/charmbracelet/x/ansi"
)

// The smallest terminal in which the screens have all they need.
const (
	LeastWidth  = 40
	LeastHeight = 12
)

// TooSmall is what a screen says below that, in lines of w cells.
func TooSmall(w, h int) []string {
	return Block(Wrap("The window is too small: make it at least 40 by 12.", w, max(h, 0)), w, h)
}

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
//
// A frame is measured many times while it is put together, and nearly all of
// it is plain: that is counted here. What is not goes by the rules for every script.
func Width(s string) int {
	n := 0
	for i := 0; i < len(s); {
		step, cells := plainAt(s[i:])
		if step == 0 {
			return ansi.StringWidth(s)
		}
		i, n = i+step, n+cells
	}
	return n
}

// plainAt tells how many bytes of s are its first plain sign, and the cells it
// takes: printable ASCII, a sign of Latin-1 from the degree on, a line, a block
// or a pattern of dots, or a sequence that sets colours. 0 bytes = none of these.
func plainAt(s string) (bytes, cells int) {
	switch c := s[0]; {
	case c >= ' ' && c < 0x7f:
		return 1, 1
	case c == 0x1b:
		return colourSequence(s), 0
	case c < utf8.RuneSelf:
		return 0, 0
	}
	switch r, size := utf8.DecodeRuneInString(s); {
	case r >= '°' && r <= 'ÿ', r >= '─' && r <= '▟', r >= '\u2800' && r <= '\u28ff':
		return size, 1
	}
	return 0, 0
}

// colourSequence is the length of the sequence ESC [ numbers m that s begins with, else 0.
func colourSequence(s string) int {
	if len(s) < 2 || s[1] != '[' {
		return 0
	}
	for i := 2; i < len(s); i++ {
		switch c := s[i]; {
		case c == 'm':
			return i + 1
		case c != ';' && (c < '0' || c > '9'):
			return 0
		}
	}
	return 0
}

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
	switch n := w - Width(s); {
	case n > 0:
		return s + strings.Repeat(" ", n)
	case n < 0:
		return Pad(Cut(s, w), w) // a sign of two cells may not fit any more
	}
	return s
}

// Sides puts left and right text on one line of w cells with a gap between
// them; the left one is cut first.
func Sides(left, right string, w int) string {
	rw := Width(right)
	if rw >= w {
		return Cut(right, w)
	}
	if rw == 0 {
		return Pad(left, w)
	}
	return Pad(Cut(left, w-rw-1), w-rw) + right
}

// Joined is as many of the parts as fit into w cells, whole, the first ones
// first; only the very first one is cut if it must be.
func Joined(parts []string, between string, w int) string {
	s := ""
	for _, p := range parts {
		switch {
		case p == "":
		case s == "":
			s = Cut(p, w)
		case Width(s)+Width(between)+Width(p) <= w:
			s += between + p
		}
	}
	return s
}

// Centre puts s in the middle of w cells.
func Centre(s string, w int) string {
	n := w - Width(s)
	if n <= 0 {
		return Cut(s, w)
	}
	return Pad(strings.Repeat(" ", n/2)+s, w)
}

// Wrap breaks plain text at spaces into lines of at most w cells, at most max
// lines. It does not break at hyphens: that would tear a minus from its number.
func Wrap(s string, w, max int) []string {
	if w <= 0 || max <= 0 {
		return nil
	}
	var lines []string
	line := ""
	for _, word := range strings.Fields(s) {
		if line != "" && Width(line)+1+Width(word) <= w {
			line += " " + word
			continue
		}
		if line != "" {
			lines = append(lines, line)
		}
		for line = word; Width(line) > w; {
			head := Cut(line, w)
			if head == "" { // one letter is wider than w
				return lines
			}
			lines, line = append(lines, head), line[len(head):]
		}
	}
	if lines = append(lines, line); len(lines) <= max {
		return lines
	}
	lines = lines[:max]
	lines[max-1] = Cut(lines[max-1], w-2) + Cut("..", w)
	return lines
}

// Short is the beginning of a text in w cells: whole words, and dots where some were left out.
func Short(s string, w int) string {
	return strings.Join(Wrap(s, w, 1), "")
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

package ui

import "strings"

// Big draws text in large characters: each pixel of the font is px cells wide
// and py rows high. The font is 5 pixels high, or 7 for digits with tall set.
// Characters without a picture become spaces. Every line has the same width.
func Big(th Theme, text string, px, py int, tall bool) []string {
	font := small
	rows := 5
	if tall {
		font, rows = high, 7
	}
	on, off := strings.Repeat(string(th.Pick('█', '#')), px), strings.Repeat(" ", px)
	lines := make([]string, 0, rows*py)
	for y := range rows {
		var b strings.Builder
		for i, r := range text {
			if i > 0 {
				b.WriteString(off)
			}
			for _, p := range font(r)[y] {
				if p == '#' {
					b.WriteString(on)
				} else {
					b.WriteString(off)
				}
			}
		}
		for range py {
			lines = append(lines, b.String())
		}
	}
	return lines
}

// BigWidth is the width in cells of Big's lines.
func BigWidth(text string, px int, tall bool) int {
	font := small
	if tall {
		font = high
	}
	n := 0
	for i, r := range text {
		if i > 0 {
			n++
		}
		n += len(font(r)[0])
	}
	return n * px
}

// Half draws text in the small font with half blocks: 3 rows, one cell per pixel.
func Half(text string) []string {
	lines := make([]string, 3)
	for y := range lines {
		var b strings.Builder
		for i, r := range text {
			if i > 0 {
				b.WriteByte(' ')
			}
			g := small(r)
			for x := range len(g[0]) {
				up := g[2*y][x] == '#'
				down := 2*y+1 < len(g) && g[2*y+1][x] == '#'
				b.WriteRune(halfBlock(up, down))
			}
		}
		lines[y] = b.String()
	}
	return lines
}

func halfBlock(up, down bool) rune {
	switch {
	case up && down:
		return '█'
	case up:
		return '▀'
	case down:
		return '▄'
	}
	return ' '
}

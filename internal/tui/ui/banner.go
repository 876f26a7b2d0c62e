package ui

import (
	"strings"

	"github.com/charmbracelet/lipgloss"
)

// Shape is the outline that says the verdict without colour and without words.
type Shape uint8

// The shapes.
const (
	Dotted Shape = iota // not known yet
	Boxed               // good
	Solid               // a bar across the screen: act now
)

// Banner draws a word in its shape with lines of text at its right, in exactly
// w by h cells. From 7 rows the word is written in 5 rows, from 5 in 3 rows of
// half blocks (spaced out in ASCII), else in plain letters.
func Banner(th Theme, shape Shape, word string, side []string, w, h int) []string {
	if w <= 0 || h <= 0 {
		return nil
	}
	if h < 3 || w < 12 {
		return Block(bannerLine(th, shape, word, side, w), w, h)
	}
	inner := w - 2*margin(shape)
	letters := letter(th, word, inner, h-2)
	lw := Width(letters[0])
	body := make([]string, h-2)
	at := (h - 2 - len(letters)) / 2
	texts := wrapSide(side, inner-lw-gap, h-2)
	top := (h - 2 - len(texts)) / 2
	for i := range body {
		l, r := "", ""
		if i >= at && i-at < len(letters) {
			l = letters[i-at]
		}
		if i >= top && i-top < len(texts) {
			r = texts[i-top]
		}
		body[i] = Pad(Pad(l, lw+gap)+r, inner)
	}
	return frame(th, shape, body, w)
}

// gap is the space between the word and the text.
const gap = 3

// BannerRoom is the width of the text that Banner puts at the right of the word.
func BannerRoom(th Theme, shape Shape, word string, w, h int) int {
	inner := w - 2*margin(shape)
	return max(inner-gap-Width(letter(th, word, inner, h-2)[0]), 0)
}

// SignRoom is the width that Sign leaves to the letters.
func SignRoom(shape Shape, w int) int { return w - 2*margin(shape) }

// margin is the cells that a shape takes at each side.
func margin(shape Shape) int {
	if shape == Solid {
		return 3
	}
	return 2
}

// letter picks the largest lettering for rows rows of w cells that leaves room for text beside it.
func letter(th Theme, word string, w, rows int) []string {
	wide := w - 24
	switch {
	case rows >= 5 && BigWidth(word, 2, false) <= wide:
		return Big(th, word, 2, 1, false)
	case rows >= 5 && BigWidth(word, 1, false) <= wide:
		return Big(th, word, 1, 1, false)
	case rows >= 3 && !th.ASCII && BigWidth(word, 1, false) <= wide:
		return Half(word)
	case 2*len(word)-1 <= wide:
		return []string{strings.Join(strings.Split(word, ""), " ")}
	}
	return []string{Cut(word, w)}
}

// wrapSide folds the lines into rows rows of w cells; the first line may take what the others leave.
func wrapSide(side []string, w, rows int) []string {
	var out []string
	for i, s := range side {
		left := rows - len(out) - (len(side) - 1 - i)
		out = append(out, Wrap(s, w, max(left, 1))...)
	}
	if len(out) > rows {
		out = out[:rows]
	}
	return out
}

func bannerLine(th Theme, shape Shape, word string, side []string, w int) []string {
	var l string
	switch shape {
	case Boxed:
		l = "[" + word + "]"
	case Solid:
		l = "!! " + word + " !!"
	default:
		l = ".. " + word + " .."
	}
	if Width(l) > w {
		l = word
	}
	rest := ""
	if len(side) > 0 {
		rest = " " + side[0]
	}
	if shape == Solid {
		return []string{th.Shout.Render(Pad(l+rest, w))}
	}
	return []string{Cut(l+rest, w)}
}

// frame puts the outline of a shape around lines that are its margins narrower than w.
func frame(th Theme, shape Shape, body []string, w int) []string {
	out := make([]string, 0, len(body)+2)
	switch shape {
	case Solid:
		edge := strings.Repeat(string(th.Pick('█', '#')), w)
		side := strings.Repeat(string(th.Pick('█', '#')), 2)
		out = append(out, th.Alarm.Render(edge))
		for _, b := range body {
			out = append(out, th.Alarm.Render(side)+th.Shout.Render(" "+b+" ")+th.Alarm.Render(side))
		}
		return append(out, th.Alarm.Render(edge))
	case Boxed:
		return outline(th, th.Calm, body, w, [...]string{"┌", "─", "┐", "│", "└", "┘"}, [...]string{"+", "-", "+", "|", "+", "+"})
	}
	return outline(th, th.Plain, body, w, [...]string{"·", " ·", " ", "·", "·", " "}, [...]string{".", " .", " ", ".", ".", " "})
}

// outline draws corners, edges and sides: top left, edge, top right, side, bottom left, bottom right.
func outline(th Theme, st lipgloss.Style, body []string, w int, fancy, ascii [6]string) []string {
	p := fancy
	if th.ASCII {
		p = ascii
	}
	run := Cut(strings.Repeat(p[1], w), w-2)
	out := []string{st.Render(p[0] + run + p[2])}
	for _, b := range body {
		out = append(out, st.Render(p[3])+" "+b+" "+st.Render(p[3]))
	}
	return append(out, st.Render(p[4]+run+p[5]))
}

// Hatch is a bar of w cells for something that must be seen without any colour;
// of the texts, from the longest to the shortest, the first that fits.
func Hatch(th Theme, w int, texts ...string) string {
	text := ""
	for _, text = range texts {
		if Width(text)+3 <= w {
			break
		}
	}
	t := " " + text + " "
	n := w - Width(t)
	if n < 6 {
		return th.Bar.Render(Pad(Cut("// "+text, w), w))
	}
	return th.Bar.Render(Pad(strings.Repeat("/", n/2)+t+strings.Repeat("/", n-n/2), w))
}

// Sign draws large letters alone in the middle of a shape, in exactly w by h cells.
func Sign(th Theme, shape Shape, letters []string, w, h int) []string {
	if w < 6 || h < 3 {
		return Block(letters, w, h)
	}
	body := make([]string, h-2)
	top := max((h-2-len(letters))/2, 0)
	for i := range body {
		l := ""
		if i >= top && i-top < len(letters) {
			l = letters[i-top]
		}
		body[i] = Centre(l, w-2*margin(shape))
	}
	return frame(th, shape, body, w)
}

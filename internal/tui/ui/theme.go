package ui

import (
	"io"

	"github.com/charmbracelet/lipgloss"
	"github.com/muesli/termenv"
)

// Look is what the person or the terminal asked for.
type Look struct {
	ASCII   bool // 7-bit characters only: no braille, no line drawing
	NoColor bool // no SGR sequence at all
}

// Theme holds the styles by meaning. The terminal's own background and
// foreground are never replaced, so that light and dark both work.
type Theme struct {
	Look
	Plain  lipgloss.Style
	Dim    lipgloss.Style // things that matter less
	Strong lipgloss.Style // headings, keys
	Calm   lipgloss.Style // what speaks for tight; the fit
	Alarm  lipgloss.Style // what speaks for a leak; the limit
	Bar    lipgloss.Style // a full-width bar that must be seen
	Shout  lipgloss.Style // Bar in the alarm colour
}

// NewTheme makes the styles for a look.
//
// The two hues are the blue and the vermilion of Okabe and Ito's palette for
// colour-blind eyes (from memory), both of middle lightness, so that each
// keeps a contrast near 4 on black and on white; on 16 colours, of which nobody
// knows the ground, bright blue and bright red, which keep one above 3 on both.
func NewTheme(l Look) Theme {
	r := lipgloss.DefaultRenderer()
	if l.NoColor {
		r = lipgloss.NewRenderer(io.Discard)
		r.SetColorProfile(termenv.Ascii)
	}
	calm := lipgloss.CompleteColor{TrueColor: "#0072B2", ANSI256: "32", ANSI: "12"}
	alarm := lipgloss.CompleteColor{TrueColor: "#D55E00", ANSI256: "166", ANSI: "9"}
	s := r.NewStyle()
	return Theme{
		Look:   l,
		Plain:  s,
		Dim:    s.Faint(true),
		Strong: s.Bold(true),
		Calm:   s.Foreground(calm),
		Alarm:  s.Foreground(alarm),
		Bar:    s.Reverse(true),
		Shout:  s.Foreground(alarm).Reverse(true),
	}
}

// Pick returns the first rune, or the second in ASCII mode.
func (t Theme) Pick(fancy, ascii rune) rune {
	if t.ASCII {
		return ascii
	}
	return fancy
}

// Say returns the first text, or the second in ASCII mode.
func (t Theme) Say(fancy, ascii string) string {
	if t.ASCII {
		return ascii
	}
	return fancy
}

package tui

import (
	"os"

	"github.com/charmbracelet/x/term"
)

// IsTerminal reports whether a stream is a terminal: whether there is anybody
// to look at a screen, or to press a key.
func IsTerminal(stream any) bool {
	f, ok := stream.(*os.File)
	return ok && term.IsTerminal(f.Fd())
}

// Width is how many cells a line of a terminal has now; 0 = it is no terminal, or does not say.
func Width(stream any) int {
	f, ok := stream.(*os.File)
	if !ok {
		return 0
	}
	w, _, err := term.GetSize(f.Fd())
	if err != nil {
		return 0
	}
	return w
}

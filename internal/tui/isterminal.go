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

package tui

import (
	"fmt"
	"io"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/charmbracelet/x/term"
)

// rawMode has keys come one by one and unechoed, where they come from a
// terminal; back undoes it.
func rawMode(in io.Reader, out *Terminal) (back func(), err error) {
	drawn, err := drawingMode(out)
	if err != nil {
		return nil, err
	}
	keys, ok := in.(term.File)
	if !ok || !term.IsTerminal(keys.Fd()) {
		return drawn, nil
	}
	before, err := term.MakeRaw(keys.Fd())
	if err != nil {
		drawn()
		return nil, fmt.Errorf("terminal: %w", err)
	}
	return func() {
		_ = term.Restore(keys.Fd(), before) // a terminal that is gone needs nothing
		drawn()
	}, nil
}

// sendSize tells the size of the terminal, if it has one.
func sendSize(out *Terminal, send func(tea.Msg)) {
	if w, h, err := term.GetSize(out.Fd()); err == nil {
		send(tea.WindowSizeMsg{Width: w, Height: h})
	}
}

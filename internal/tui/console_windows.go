package tui

import (
	"context"
	"fmt"

	tea "github.com/charmbracelet/bubbletea"
	"golang.org/x/sys/windows"
)

// drawingMode has the console carry out escape sequences.
func drawingMode(out *Terminal) (back func(), err error) {
	console := windows.Handle(out.Fd())
	var before uint32
	if err := windows.GetConsoleMode(console, &before); err != nil {
		return nil, fmt.Errorf("console: %w", err)
	}
	if err := windows.SetConsoleMode(console, before|windows.ENABLE_VIRTUAL_TERMINAL_PROCESSING); err != nil {
		return nil, fmt.Errorf("console: %w", err)
	}
	return func() { _ = windows.SetConsoleMode(console, before) }, nil // a console that is gone needs nothing
}

// sendSizes tells the console's size at the beginning; a later one comes with
// the keys, and no shell stops programs here.
func sendSizes(_ context.Context, out *Terminal, send func(tea.Msg), _ func()) { sendSize(out, send) }

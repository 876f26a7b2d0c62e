//go:build unix

package tui

import (
	"context"
	"os"
	"os/signal"
	"syscall"

	tea "github.com/charmbracelet/bubbletea"
)

// drawingMode has nothing to do: a terminal here knows escape sequences.
func drawingMode(*Terminal) (back func(), err error) { return func() {}, nil }

// sendSizes tells the terminal's size until ctx ends: now, whenever it changes,
// and after a stop of the program, when the terminal must be taken again first.
func sendSizes(ctx context.Context, out *Terminal, send func(tea.Msg), takeAgain func()) {
	resized, continued := make(chan os.Signal, 1), make(chan os.Signal, 1)
	signal.Notify(resized, syscall.SIGWINCH)
	defer signal.Stop(resized)
	signal.Notify(continued, syscall.SIGCONT)
	defer signal.Stop(continued)
	for {
		sendSize(out, send)
		select {
		case <-resized:
		case <-continued:
			takeAgain()
		case <-ctx.Done():
			return
		}
	}
}

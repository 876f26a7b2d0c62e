//go:build unix

package tui

import (
	"context"
	"os"
	"os/signal"
	"syscall"
	"time"

	tea "github.com/charmbracelet/bubbletea"
	"golang.org/x/sys/unix"
)

// drawingMode has nothing to do: a terminal here knows escape sequences.
func drawingMode(*Terminal) (back func(), err error) { return func() {}, nil }

// sendSizes tells the terminal's size until ctx ends: now, whenever it changes,
// and after a stop of the program, when the terminal must be taken again first. Who
// goes on in the background has none to take, and would be stopped for trying: he
// looks now and then whether he is in front again.
func sendSizes(ctx context.Context, out *Terminal, send func(tea.Msg), takeAgain func()) {
	resized, continued := make(chan os.Signal, 1), make(chan os.Signal, 1)
	signal.Notify(resized, syscall.SIGWINCH)
	defer signal.Stop(resized)
	signal.Notify(continued, syscall.SIGCONT)
	defer signal.Stop(continued)
	var look <-chan time.Time
	for {
		sendSize(out, send)
		select {
		case <-resized:
		case <-continued:
			look = time.After(0)
		case <-look:
			if look = nil; !inFront(out) {
				look = time.After(time.Second / 2)
				continue
			}
			takeAgain()
		case <-ctx.Done():
			return
		}
	}
}

// inFront reports that the terminal is this program's, not left to the shell.
func inFront(out *Terminal) bool {
	group, err := unix.IoctlGetInt(int(out.Fd()), unix.TIOCGPGRP)
	return err != nil || group == unix.Getpgrp()
}

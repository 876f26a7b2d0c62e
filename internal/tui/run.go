package tui

import (
	"context"
	"io"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/charmbracelet/x/ansi"
)

// Screen is what Run shows.
type Screen = tea.Model

// What the terminal is told before the first frame and after the last one: what
// was on it comes back, and what is pasted is marked as such.
const (
	takeTerminal = ansi.SetModeAltScreenSaveCursor + ansi.EraseEntireScreen + ansi.HideCursor + ansi.SetModeBracketedPaste
	giveTerminal = ansi.ResetModeBracketedPaste + ansi.ShowCursor + ansi.ResetModeAltScreenSaveCursor
)

// The terminal keeps its title on a stack of its own (xterm control sequences, CSI Ps t).
const (
	pushTitle = "\x1b[22;0t"
	popTitle  = "\x1b[23;0t"
)

// Run shows a screen until it quits or ctx ends and returns the screen as it
// was then. The caller handles signals: it closes the log first, then ends ctx,
// and does not wait for Run for ever, because a terminal that takes no more
// bytes stalls its end. The error of a ctx that ended is tea.ErrProgramKilled.
//
// The terminal library reads the keys and carries the messages; the painter
// writes the frames.
func Run(ctx context.Context, screen Screen, in io.Reader, out *Terminal) (Screen, error) {
	ctx, end := context.WithCancel(ctx)
	defer end()
	back, err := rawMode(in, out)
	if err != nil {
		return screen, err
	}
	defer back()
	if _, err := out.WriteString(pushTitle + takeTerminal); err != nil {
		return screen, err
	}
	takeAgain := func() { // a shell has used the terminal meanwhile; what fails now would have failed before
		_, _ = rawMode(in, out)
		_, _ = out.WriteString(takeTerminal)
	}
	g := &guard{screen: screen, paint: newPainter(out)}
	p := tea.NewProgram(g, tea.WithContext(ctx), tea.WithInput(in), tea.WithOutput(out), tea.WithoutRenderer(), tea.WithoutSignalHandler())
	go sendSizes(ctx, out, p.Send, takeAgain)
	_, err = p.Run()
	g.paint.stop()
	if _, werr := out.WriteString(giveTerminal + popTitle); err == nil {
		err = werr
	}
	return g.screen, err
}

package tui

import (
	"context"
	"io"
	"os"
	"os/signal"

	tea "github.com/charmbracelet/bubbletea"
)

// fps is how often a changed screen is written at most. The library wakes up that
// often, changed or not, which at 60 costs more than all the drawing; a hold
// changes a few times a second, and keys are answered soon enough.
const fps = 15

// Screen is what Run shows.
type Screen = tea.Model

// Run shows a screen until it quits or ctx ends and returns the screen as it
// was then. The caller handles signals: it closes the log first, then ends ctx,
// and does not wait for Run for ever, because a terminal that takes no more
// bytes stalls it. The error of a ctx that ended is tea.ErrProgramKilled.
func Run(ctx context.Context, screen Screen, in io.Reader, out *Terminal) (Screen, error) {
	g := &guard{screen: screen}
	p := tea.NewProgram(g, tea.WithContext(ctx), tea.WithInput(in), tea.WithOutput(out),
		tea.WithAltScreen(), tea.WithoutSignalHandler(), tea.WithFPS(fps))
	if _, err := out.WriteString(pushTitle); err != nil {
		return screen, err
	}
	goesOn := make(chan os.Signal, 1)
	catchContinued(goesOn)
	go func() {
		for range goesOn {
			p.Send(continued{})
		}
	}()
	_, err := p.Run()
	signal.Stop(goesOn)
	close(goesOn)
	if _, perr := out.WriteString(popTitle); err == nil {
		err = perr
	}
	return g.screen, err
}

// continued says that the program had been stopped and goes on: a shell has used
// the terminal meanwhile, and left it without the modes that a screen needs.
type continued struct{}

// handOver is a program that does nothing. The library gives the terminal back
// to it and takes it anew, with modes, alternate screen and all.
type handOver struct{}

func (handOver) Run() error          { return nil }
func (handOver) SetStdin(io.Reader)  {}
func (handOver) SetStdout(io.Writer) {}
func (handOver) SetStderr(io.Writer) {}

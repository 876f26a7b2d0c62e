package tui

import (
	"fmt"
	"strings"
	"time"

	tea "github.com/charmbracelet/bubbletea"

	"example.org/holdfast/internal/tui/ui"
)

// guard stands between bubbletea and a screen. It keeps the frame inside the
// terminal, has it painted anew when the size is told and every few minutes (a
// stray byte from the system would stay for hours otherwise), swallows ctrl-z,
// which would stop the sampling with the screen, takes apart keys that came
// together, and turns a panic of the drawing into a line of text: the recording
// must not die of a picture.
type guard struct {
	screen tea.Model
	paint  *painter
	w, h   int
	anew   bool // the terminal may show anything: paint the next frame whole
}

// refresh is the time between two full repaints.
const refresh = 5 * time.Minute

type repaint struct{}

func nextRepaint() tea.Cmd { return tea.Tick(refresh, func(time.Time) tea.Msg { return repaint{} }) }

// Init starts the screen.
func (g *guard) Init() tea.Cmd { return tea.Batch(g.screen.Init(), nextRepaint()) }

// Update hands the message on and has painted what the screen is then.
func (g *guard) Update(msg tea.Msg) (tea.Model, tea.Cmd) {
	cmd := g.handle(msg)
	if g.w > 0 && g.h > 0 {
		g.paint.show(g.frame(), g.anew)
		g.anew = false
	}
	return g, cmd
}

// View is empty: the painter has the frame already.
func (g *guard) View() string { return "" }

func (g *guard) handle(msg tea.Msg) tea.Cmd {
	switch msg := msg.(type) {
	case repaint:
		g.anew = true
		return nextRepaint()
	case ui.Title:
		g.paint.name(string(msg))
		return nil
	case tea.KeyMsg:
		switch msg.Type {
		case tea.KeyCtrlZ:
			return nil
		case tea.KeyCtrlL:
			g.anew = true
			return nil
		}
		return g.keys(msg)
	case tea.WindowSizeMsg:
		g.w, g.h = msg.Width, msg.Height
		g.anew = true
	}
	return g.pass(msg)
}

// keys hands on each character of its own: what is typed while the terminal is
// slow arrives as one message, and a screen would know none of its keys in it.
func (g *guard) keys(k tea.KeyMsg) tea.Cmd {
	if k.Type != tea.KeyRunes || k.Paste || len(k.Runes) < 2 {
		return g.pass(k)
	}
	var cmds []tea.Cmd
	for _, r := range k.Runes {
		cmds = append(cmds, g.pass(tea.KeyMsg{Type: tea.KeyRunes, Runes: []rune{r}, Alt: k.Alt}))
	}
	return tea.Sequence(cmds...)
}

func (g *guard) pass(msg tea.Msg) tea.Cmd {
	m, cmd := g.screen.Update(msg)
	g.screen = m
	return cmd
}

// frame draws the screen and crops it.
func (g *guard) frame() (lines []string) {
	defer func() {
		if r := recover(); r != nil {
			lines = []string{ui.Cut(ui.Clean(fmt.Sprintf("the screen cannot be drawn (%v); the recording goes on", r), 200), g.w)}
		}
	}()
	lines = strings.Split(g.screen.View(), "\n")
	return ui.Block(lines, g.w, min(len(lines), g.h))
}

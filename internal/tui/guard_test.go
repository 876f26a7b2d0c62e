package tui

import (
	"bytes"
	"io"
	"os"
	"strings"
	"sync"
	"testing"
	"testing/synctest"
	"time"

	tea "github.com/charmbracelet/bubbletea"
)

// stub is a screen that shows what it is told to and keeps the keys it gets.
type stub struct {
	view  func() string
	keys  []string
	sizes int
}

func (s *stub) Init() tea.Cmd { return nil }
func (s *stub) View() string  { return s.view() }
func (s *stub) Update(msg tea.Msg) (tea.Model, tea.Cmd) {
	switch msg := msg.(type) {
	case tea.KeyMsg:
		s.keys = append(s.keys, msg.String())
	case tea.WindowSizeMsg:
		s.sizes++
	}
	return s, nil
}

func guarded(view func() string) (*guard, *stub) {
	s := &stub{view: view}
	g := &guard{screen: s, paint: newPainter(io.Discard)}
	g.Update(tea.WindowSizeMsg{Width: 10, Height: 3})
	return g, s
}

func TestTheGuardCropsAnyView(t *testing.T) {
	g, _ := guarded(func() string { return strings.Repeat(strings.Repeat("w", 50)+"\n", 20) })
	if v := strings.Join(g.frame(), "\n"); v != "wwwwwwwwww\nwwwwwwwwww\nwwwwwwwwww" {
		t.Errorf("view %q", v)
	}
}

func TestAPanicOfTheDrawingIsTextAndNotTheEnd(t *testing.T) {
	g, _ := guarded(func() string { panic("no chart\x1b[2J") })
	g.Update(tea.WindowSizeMsg{Width: 80, Height: 3})
	if v := strings.Join(g.frame(), "\n"); !strings.Contains(v, "no chart") || !strings.Contains(v, "recording goes on") || strings.Contains(v, "\x1b") {
		t.Errorf("view %q", v)
	}
}

func TestTheGuardKeepsCtrlZFromTheScreenAndRepaintsOnCtrlL(t *testing.T) {
	out := make(writes)
	s := &stub{view: func() string { return "same" }}
	g := &guard{screen: s, paint: newPainter(out)}
	g.Update(tea.WindowSizeMsg{Width: 10, Height: 3})
	first := <-out
	g.Update(tea.KeyMsg{Type: tea.KeyCtrlZ})
	g.Update(tea.KeyMsg{Type: tea.KeyRunes, Runes: []rune("q")})
	g.Update(tea.KeyMsg{Type: tea.KeyCtrlL})
	if again := <-out; again != first || !strings.Contains(first, "same") {
		t.Errorf("ctrl-l paints %q, the first frame was %q", again, first)
	}
	g.paint.stop()
	if len(s.keys) != 1 || s.keys[0] != "q" {
		t.Errorf("keys %v", s.keys)
	}
	if s.sizes != 1 {
		t.Errorf("the screen heard of %d sizes, want 1", s.sizes)
	}
}

// A frame that was made for the size before, painted whole after the size has changed, would be wider
// than the terminal, scroll it, and leave the next frame to be painted on what is not there.
func TestNothingIsPaintedBetweenANewSizeAndItsFrame(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		out := make(writes)
		g := &guard{screen: &stub{view: func() string { return "same" }}, paint: newPainter(out)}
		g.Update(tea.WindowSizeMsg{Width: 10, Height: 3})
		first := <-out
		g.handle(tea.WindowSizeMsg{Width: 2, Height: 1})
		time.Sleep(time.Second) // until the painter has done all it wants to
		synctest.Wait()
		select {
		case b := <-out:
			t.Errorf("painted before the new frame is known: %q", b)
		default:
		}
		g.Update(nil)
		if b := <-out; b != strings.Replace(first, "same", "sa", 1) {
			t.Errorf("the frame of the new size is painted as %q, the first one was %q", b, first)
		}
		g.paint.stop()
	})
}

// Over a slow line two keys arrive as one message; both count.
func TestKeysThatComeTogetherAreTakenApart(t *testing.T) {
	g, s := guarded(func() string { return "" })
	g.Update(tea.KeyMsg{Type: tea.KeyRunes, Runes: []rune("wz")})
	if len(s.keys) != 2 || s.keys[0] != "w" || s.keys[1] != "z" {
		t.Errorf("keys %q", s.keys)
	}
}

// A bell must ring between two frames, never inside one.
func TestWritesToTheTerminalStayWhole(t *testing.T) {
	r, w, err := os.Pipe()
	if err != nil {
		t.Fatal(err)
	}
	term := NewTerminal(w)
	got := make(chan []byte)
	go func() {
		var b bytes.Buffer
		_, _ = b.ReadFrom(r)
		got <- b.Bytes()
	}()
	frame := strings.Repeat("f", 8191) + "\n" // larger than a pipe takes at once
	var all sync.WaitGroup
	for range 20 {
		all.Go(func() {
			if _, err := term.WriteString(frame); err != nil {
				t.Error(err)
			}
		})
		all.Go(term.Bell)
	}
	all.Wait()
	if err := term.Close(); err != nil {
		t.Fatal(err)
	}
	out := string(<-got)
	if n := strings.Count(out, "\a"); n != 20 {
		t.Errorf("%d bells, want 20", n)
	}
	for _, f := range strings.Split(strings.ReplaceAll(out, "\n\a", "\n"), "\n") {
		if strings.Contains(strings.Trim(f, "\a"), "\a") {
			t.Fatal("a bell inside a frame")
		}
	}
	if term.Fd() == 0 {
		t.Error("the descriptor is hidden")
	}
}

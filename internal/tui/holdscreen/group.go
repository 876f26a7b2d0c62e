package holdscreen

import (
	"fmt"

	"github.com/charmbracelet/bubbles/key"
	tea "github.com/charmbracelet/bubbletea"

	"example.org/holdfast/internal/tui/ui"
)

// Group shows several holds at once: a line for each, and one of them in full
// below. Each keeps its own actions and bell; keys go to the one in full. It
// implements tea.Model.
type Group struct {
	holds    []*Model
	gone     []bool // recording ended from this screen
	focus    int
	w, h     int
	next     key.Binding
	stopping bool // ctrl-c was pressed once
}

// NewGroup makes the screen of several holds, at least one.
func NewGroup(holds []*Model) *Group {
	g := &Group{holds: holds, gone: make([]bool, len(holds)), next: bind([]string{"tab"}, "tab", "next hold", true)}
	for _, m := range holds {
		m.keys.Next = g.next
	}
	return g
}

// Stopped tells whether the person ended all recordings from this screen.
func (g *Group) Stopped() bool { return g.left() == 0 }

func (g *Group) left() (n int) {
	for _, gone := range g.gone {
		if !gone {
			n++
		}
	}
	return n
}

// leaving says that a hold's recording was ended by its person.
type leaving struct{}

// addressed is a message for one of the holds.
type addressed struct {
	to  int
	msg tea.Msg
}

// Init starts the looking.
func (g *Group) Init() tea.Cmd { return nextTick() }

// Update handles one message.
func (g *Group) Update(msg tea.Msg) (tea.Model, tea.Cmd) {
	switch msg := msg.(type) {
	case tea.WindowSizeMsg:
		g.w, g.h = msg.Width, msg.Height
		for _, m := range g.holds {
			m.w, m.h = msg.Width, max(msg.Height-g.listed()-1, 0)
		}
		return g, nil
	case tick:
		cmds := []tea.Cmd{nextTick()}
		for i, m := range g.holds {
			if i == g.focus {
				cmds = append(cmds, g.address(i, m.onTick()))
			} else {
				cmds = append(cmds, g.address(i, m.behind()))
			}
		}
		return g, tea.Batch(cmds...)
	case addressed:
		return g, g.deliver(msg)
	case tea.KeyMsg:
		return g, g.onKey(msg)
	}
	return g, nil
}

// deliver hands a message to its hold; one that leaves takes the screen along if it is the last.
func (g *Group) deliver(a addressed) tea.Cmd {
	if _, ok := a.msg.(leaving); !ok {
		_, cmd := g.holds[a.to].Update(a.msg)
		return g.address(a.to, cmd)
	}
	g.gone[a.to] = true
	if g.left() == 0 {
		return tea.Quit
	}
	if a.to == g.focus {
		g.turn()
	}
	return nil
}

func (g *Group) onKey(k tea.KeyMsg) tea.Cmd {
	m := g.holds[g.focus]
	stopping := g.stopping
	g.stopping = false
	switch {
	case k.String() == "ctrl+c" && stopping:
		return g.stopAll()
	case k.String() == "ctrl+c":
		g.stopping = true
		return nil
	case stopping && (k.String() == "y" || k.String() == "Y"):
		return g.stopAll()
	case stopping:
		return nil
	case key.Matches(k, g.next) && m.mode != typingMark && m.mode != typingReading && m.mode != typingLimit:
		g.turn()
		return nil
	}
	_, cmd := m.Update(k)
	return g.address(g.focus, cmd)
}

// turn goes to the next hold that is still recorded, or just the next.
func (g *Group) turn() {
	g.holds[g.focus].keepTyped()
	g.holds[g.focus].mode = watching
	for range g.holds {
		g.focus = (g.focus + 1) % len(g.holds)
		if !g.gone[g.focus] || g.left() == 0 {
			return
		}
	}
}

func (g *Group) stopAll() tea.Cmd {
	var cmds []tea.Cmd
	for i, m := range g.holds {
		if !g.gone[i] {
			cmds = append(cmds, g.address(i, m.stop()))
		}
	}
	return tea.Batch(cmds...)
}

// address makes what a hold's command answers come back to that hold.
func (g *Group) address(to int, cmd tea.Cmd) tea.Cmd {
	if cmd == nil {
		return nil
	}
	return func() tea.Msg {
		switch msg := cmd().(type) {
		case tea.BatchMsg:
			for i := range msg {
				msg[i] = g.address(to, msg[i])
			}
			return msg
		case said, entered, kept, supposed, leaving:
			return addressed{to, msg}
		default:
			return msg // for the terminal
		}
	}
}

// View draws the lines and the hold in full into exactly the size of the terminal.
func (g *Group) View() string {
	if g.w <= 0 || g.h <= 0 {
		return ""
	}
	m := g.holds[g.focus]
	n := g.listed()
	first := min(max(g.focus-n/2, 0), len(g.holds)-n)
	var lines []string
	for i := first; i < first+n; i++ {
		lines = append(lines, g.line(i))
	}
	rule := m.th.Say("─", "-")
	for ui.Width(rule) < g.w {
		rule += m.th.Say("─", "-")
	}
	lines = append(lines, m.th.Dim.Render(rule))
	lines = append(lines, m.frame()...)
	if g.stopping {
		lines[len(lines)-1] = m.ask(fmt.Sprintf("stop all %d recordings? y/n", g.left()))
	}
	return join(ui.Block(lines, g.w, g.h))
}

// listed is how many of the holds have a line: all, or as many as leave seven rows for the one in full.
func (g *Group) listed() int { return min(len(g.holds), max(g.h-8, 1)) }

// line is one hold: number, section, verdict, pressure, time left, and what is wrong or could hide.
func (g *Group) line(i int) string {
	m := g.holds[i]
	name := "hold"
	if m.st != nil && m.st.Header.Settings.Section != "" {
		name = clean(m.st.Header.Settings.Section)
	}
	mark := " "
	if i == g.focus {
		mark = m.th.Say("▶", ">")
	}
	wide := max(min(g.w/4, 30)-3, 8)
	press, _ := m.pressure(plain)
	left, what := m.timeLeft()
	parts := []string{fmt.Sprintf("%s %d %s %s", mark, i+1, ui.Pad(name, wide), ui.Pad(m.verdictWord(), 8))}
	if t := m.trouble(); len(t) > 0 { // goes before what is old
		parts = append(parts, t[len(t)-1])
	}
	parts = append(parts, ui.Pad(press+" "+m.unit().Name, 10), ui.Pad(left+" "+what, 14))
	s := ui.Joined(parts, " ", g.w)
	if room := g.w - ui.Width(s) - 1; room >= 10 {
		s += " " + ui.Short(m.phrase(), room)
	}
	switch {
	case g.gone[i]:
		return m.th.Dim.Render(s)
	case len(m.trouble()) > 0 || m.shape() == ui.Solid:
		return m.th.Shout.Render(ui.Pad(s, g.w))
	case i == g.focus:
		return m.th.Strong.Render(s)
	}
	return s
}

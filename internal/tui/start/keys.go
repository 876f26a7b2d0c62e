package start

import (
	"github.com/charmbracelet/bubbles/key"
	tea "github.com/charmbracelet/bubbletea"

	"example.org/holdfast/internal/tui/ui"
)

// keymap holds the bindings of all the pages; the foot of each and the help are made from it.
type keymap struct{ Up, Down, Turn, On, Send, Back, Help, Ask, Leave key.Binding }

func newKeymap() keymap {
	b := func(show, does string, keys ...string) key.Binding {
		return key.NewBinding(key.WithKeys(keys...), key.WithHelp(show, does))
	}
	return keymap{
		Up:    b("up", "back by one line", "up", "shift+tab"),
		Down:  b("down", "on by one line", "down", "tab"),
		Turn:  b("left, right", "choose", "left", "right"),
		On:    b("Enter", "next", "enter"),
		Send:  b("ctrl-s", "straight to the end of a form", "ctrl+s"),
		Back:  b("Esc", "back", "esc"),
		Help:  b("F1", "help", "f1"),
		Ask:   b("?", "help, where nothing is typed", "?"),
		Leave: b("ctrl-c", "leave holdfast", "ctrl+c"),
	}
}

func (k keymap) all() []key.Binding {
	return []key.Binding{k.Up, k.Down, k.Turn, k.On, k.Send, k.Back, k.Help, k.Ask, k.Leave}
}

// foot is the keys of a page as texts, each under what it does there.
func foot(bindings ...key.Binding) (out []string) {
	for _, b := range bindings {
		out = append(out, b.Help().Key+": "+b.Help().Desc)
	}
	return out
}

// as is a binding under another word.
func as(b key.Binding, does string) key.Binding {
	b.SetHelp(b.Help().Key, does)
	return b
}

// asksHelp tells whether a key asks for the help; a question mark may be typed text.
func (m *Model) asksHelp(k tea.KeyMsg) bool {
	if key.Matches(k, m.keys.Help) {
		return true
	}
	if !key.Matches(k, m.keys.Ask) {
		return false
	}
	switch m.page {
	case menuPage, logPage, cautionsPage:
		return true
	}
	f := m.form()
	return f != nil && !f.fields[f.at].typable()
}

// keyHelp scrolls the help; any other key goes back to where it was asked for.
func (m *Model) keyHelp(k tea.KeyMsg) tea.Cmd {
	switch {
	case key.Matches(k, m.keys.Up):
		m.scroll--
	case key.Matches(k, m.keys.Down):
		m.scroll++
	default:
		m.page, m.scroll = m.helpFor, 0
	}
	return nil
}

// helpView is the keys, the menu, and how things are typed.
func (m *Model) helpView() []string {
	all := append([]string{m.th.Strong.Render("HELP")}, ui.KeyPage(m.th, m.w, m.keys.all())...)
	all = append(all, "", m.th.Strong.Render("On the first page"))
	for _, e := range m.menu() {
		all = append(all, "  "+e.in(m.w-2))
	}
	all = append(all, "", m.th.Strong.Render("How to type"))
	for _, s := range []string{
		"Pressure: 20 bar, 20,5bar, 290 psi, 2 MPa; in a vacuum 80 Pa or 500 micron. A number alone is in the unit of the form.",
		"Time: 90min, 1h30, 2 h. Volume: 0.3L, 300 ml " + m.th.Say("±", "+-") + "5%. Limit: 0.4%/h, 5mbar/h, 3g/yr. Mass: 45g, 1.6 oz.",
		"What you typed is read as you type, and stands beside it as it was understood. Escape loses nothing: the answers are there when you come back.",
	} {
		all = append(all, ui.Wrap(s, min(m.w, 100), 4)...)
	}
	return m.scrolled(all, as(m.keys.Back, "back, as any other key"))
}

// scrolled shows as much of a long text as there is room for, from m.scroll on, above the keys of the page.
func (m *Model) scrolled(all []string, keys ...key.Binding) []string {
	room := max(m.h-1, 1)
	m.scroll = max(min(m.scroll, len(all)-room), 0)
	texts := foot(keys...)
	if len(all) > room {
		texts = append(texts, "up, down: more")
	}
	return m.foot(all[m.scroll:min(m.scroll+room, len(all))], texts...)
}

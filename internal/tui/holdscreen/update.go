package holdscreen

import (
	"fmt"

	"github.com/charmbracelet/bubbles/key"
	tea "github.com/charmbracelet/bubbletea"

	"example.org/holdfast/internal/tui/ui"
)

// entered is the answer to a reading or a limit that was typed.
type entered struct {
	in         mode // typingReading or typingLimit
	text, echo string
	err        error
}

// said is a short notice that an action was done.
type said string

// Update handles one message.
func (m *Model) Update(msg tea.Msg) (tea.Model, tea.Cmd) {
	switch msg := msg.(type) {
	case tea.WindowSizeMsg:
		m.w, m.h = msg.Width, msg.Height
	case tick:
		return m, tea.Batch(nextTick(), m.onTick())
	case said:
		m.tell(string(msg))
	case entered:
		m.onEntered(msg)
	case kept:
		m.kept = msg
	case supposed:
		return m, m.onSupposed(msg)
	case leaving:
		return m, tea.Quit
	case tea.KeyMsg:
		m.bell.heard()
		return m, m.onKey(msg)
	}
	return m, nil
}

// onTick looks at the feed, asks for a reading that is due and rings where there is a reason.
func (m *Model) onTick() tea.Cmd {
	m.look()
	if m.noticed > 0 {
		m.noticed--
	}
	cmds := []tea.Cmd{m.windowTitle()}
	due := m.due()
	if due && m.mode == watching && !m.bell.asked {
		m.openReading()
	}
	if m.mode == showingDetails {
		cmds = append(cmds, m.askRecord())
	}
	return tea.Batch(append(cmds, m.ringing(due)...)...)
}

// behind is onTick for a hold that is not shown: it looks and rings, and asks nothing.
func (m *Model) behind() tea.Cmd {
	m.look()
	return tea.Batch(m.ringing(m.due())...)
}

// ringing is what to ring and to tell the desktop now.
func (m *Model) ringing(due bool) (cmds []tea.Cmd) {
	ring, news := m.bell.rings(m.st, due, m.unsaved() != "")
	if ring && !m.quiet() {
		cmds = append(cmds, do(m.act.Bell))
	}
	if news != "" && m.act.Notify != nil {
		text := m.section() + ": " + clean(news)
		cmds = append(cmds, do(func() { m.act.Notify(text) }))
	}
	return cmds
}

// do runs an action beside the screen.
func do(f func()) tea.Cmd {
	return func() tea.Msg { f(); return nil }
}

// tell shows a notice for about four seconds.
func (m *Model) tell(s string) { m.notice, m.noticed = ui.Clean(s, 200), 16 }

func (m *Model) onKey(k tea.KeyMsg) tea.Cmd {
	switch {
	case k.String() == "ctrl+c" && m.mode == confirmStop:
		return m.stop()
	case k.String() == "ctrl+c":
		return m.askStop()
	}
	switch m.mode {
	case choosingMark:
		return m.keyMarkMenu(k)
	case typingMark, typingReading, typingLimit:
		return m.keyTyping(k)
	case confirmRefill, confirmClose, confirmStop:
		return m.keyConfirm(k)
	case showingHelp, showingDetails, showingPhone:
		return m.keyPage(k)
	case supposing:
		return m.keySuppose(k)
	}
	return m.keyWatching(k)
}

func (m *Model) keyWatching(k tea.KeyMsg) tea.Cmd {
	if m.lens.on && m.keyLens(k) || m.keyView(k) {
		return nil
	}
	switch {
	case key.Matches(k, m.keys.Mark):
		m.mode = choosingMark
	case key.Matches(k, m.keys.Refill):
		m.mode = confirmRefill
	case key.Matches(k, m.keys.Close):
		m.mode = confirmClose
	case key.Matches(k, m.keys.Enter):
		m.openReading()
	case key.Matches(k, m.keys.Limit):
		m.openLine(typingLimit)
	case key.Matches(k, m.keys.Bell):
		m.muted = !m.muted
		m.tell(map[bool]string{true: "bell off", false: "bell on"}[m.muted])
	case key.Matches(k, m.keys.Details):
		m.mode, m.scroll = showingDetails, 0
		return m.askRecord()
	case key.Matches(k, m.keys.WhatIf):
		m.mode = supposing
		return m.judgeSupposed()
	case key.Matches(k, m.keys.Stop):
		return m.askStop()
	case key.Matches(k, m.keys.Digit): // who has the gauge before the eyes types, and does not think of e
		m.input.kept[typingReading] = ""
		m.openReading()
		return m.keyTyping(k)
	default:
		return m.keyPlayer(k)
	}
	return nil
}

// keyView changes what is shown; false = the key is for something else.
func (m *Model) keyView(k tea.KeyMsg) bool {
	switch {
	case key.Matches(k, m.keys.Zoom):
		m.openLens()
	case key.Matches(k, m.keys.Far):
		m.far, m.lens = !m.far, lens{}
	case key.Matches(k, m.keys.Raw):
		m.raw = !m.raw
	case key.Matches(k, m.keys.Help):
		m.mode, m.scroll = showingHelp, 0
	case key.Matches(k, m.keys.Phone):
		m.mode, m.scroll = showingPhone, 0
	default:
		return false
	}
	return true
}

func (m *Model) keyPage(k tea.KeyMsg) tea.Cmd {
	page := max(m.h-3, 1)
	switch k.String() {
	case "up", "k":
		m.scroll--
	case "down", "j":
		m.scroll++
	case "pgup":
		m.scroll -= page
	case "pgdown", " ":
		m.scroll += page
	default:
		m.mode = watching
		if key.Matches(k, m.keys.Far) {
			m.far = true
		}
	}
	m.scroll = max(m.scroll, 0)
	return nil
}

func (m *Model) keyConfirm(k tea.KeyMsg) tea.Cmd {
	was := m.mode
	m.mode = watching
	if s := k.String(); s != "y" && s != "Y" {
		return nil
	}
	switch was {
	case confirmStop:
		return m.stop()
	case confirmClose:
		return m.run(m.act.Close, "closed off: the rise begins now")
	}
	return m.run(m.act.Refill, "refill: a new segment begins")
}

// run does an action and tells about it.
func (m *Model) run(f func(), notice string) tea.Cmd {
	if f == nil {
		return nil
	}
	return func() tea.Msg { f(); return said(notice) }
}

// askStop asks first while something is being recorded; a replay is left at once.
func (m *Model) askStop() tea.Cmd {
	if m.act.Player != nil || m.act.Stop == nil {
		return leave
	}
	m.keepTyped()
	m.mode = confirmStop
	return nil
}

func (m *Model) stop() tea.Cmd {
	m.stopped = true
	if m.act.Stop == nil {
		return leave
	}
	return func() tea.Msg { m.act.Stop(); return leave() }
}

// leave ends the screen, or in a Group this hold's part of it.
func leave() tea.Msg { return leaving{} }

// marks are the usual things that move the pressure or find the leak; any other is typed.
func (m *Model) marks() []string {
	if m.vacuum() {
		return []string{"door opened", "warmed", "valve turned", "hose moved", "nitrogen let in", "thermometer moved"}
	}
	return []string{"door opened", "joint soaped", "tapped", "heated", "thermometer moved", "wind or draught"}
}

func (m *Model) keyMarkMenu(k tea.KeyMsg) tea.Cmd {
	m.mode = watching
	s := k.String()
	if s == "t" || s == "enter" || s == "0" {
		m.openLine(typingMark)
		return nil
	}
	if len(s) != 1 || s[0] < '1' || int(s[0]-'1') >= len(m.marks()) {
		return nil
	}
	return m.mark(m.marks()[s[0]-'1'])
}

func (m *Model) mark(text string) tea.Cmd {
	return m.run(func() { m.act.Mark(text) }, "marked: "+text)
}

// keyTyping edits the line; Enter sends it, Escape leaves it, with what was typed kept for the next time.
func (m *Model) keyTyping(k tea.KeyMsg) tea.Cmd {
	switch k.Type {
	case tea.KeyEsc:
		m.keepTyped()
		m.mode = watching
		return nil
	case tea.KeyEnter:
		return m.send()
	case tea.KeyCtrlZ:
		return nil
	}
	m.input.update(k)
	m.input.say, m.input.bad = "", false
	if check, text := m.checker(), m.input.text.Value(); check != nil && text != "" {
		m.echo(check(text))
	}
	return nil
}

// checker reads what is being typed without doing anything; nil = nothing to read.
func (m *Model) checker() func(string) (string, error) {
	switch m.mode {
	case typingReading:
		return m.act.Check
	case typingLimit:
		return m.act.Limits
	}
	return nil
}

func (m *Model) echo(echo string, err error) {
	m.input.say, m.input.bad = ui.Clean(echo, 200), err != nil
	if err != nil {
		m.input.say = ui.Clean(err.Error(), 200)
	}
}

func (m *Model) keepTyped() {
	switch m.mode {
	case typingMark, typingReading, typingLimit:
		m.input.kept[m.mode] = m.input.text.Value()
	}
}

func (m *Model) send() tea.Cmd {
	text := ui.Clean(m.input.text.Value(), 120)
	if text == "" {
		return nil
	}
	in, enter := m.mode, m.act.Enter
	switch in {
	case typingMark:
		m.mode, m.input.kept[typingMark] = watching, ""
		return m.mark(text)
	case typingLimit:
		enter = m.act.Limit
	}
	return func() tea.Msg {
		echo, err := enter(text)
		return entered{in: in, text: text, echo: echo, err: err}
	}
}

// onEntered closes the line after a good answer; after a bad one the text stays, with the error.
func (m *Model) onEntered(e entered) {
	if e.err != nil {
		if m.mode != e.in {
			m.input.kept[e.in] = e.text
			m.tell(fmt.Sprintf("%q was not taken: %v", e.text, e.err))
			return
		}
		m.echo("", e.err)
		return
	}
	m.input.kept[e.in] = ""
	if m.mode == e.in {
		m.mode = watching
	}
	m.tell("read as " + e.echo)
}

// openReading opens the line for a reading, with what was typed before.
func (m *Model) openReading() {
	m.bell.asked = true
	m.openLine(typingReading)
}

// openLine opens the line for typing, with what was left half typed before.
func (m *Model) openLine(in mode) {
	m.mode = in
	m.input.open(m.input.kept[in])
}

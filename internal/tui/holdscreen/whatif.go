package holdscreen

import (
	"slices"
	"strings"

	tea "github.com/charmbracelet/bubbletea"

	"example.org/holdfast/internal/hold"
	"example.org/holdfast/internal/tui/ui"
)

// WhatIf judges a saved hold again with something supposed to be different. The
// record is never changed by it.
type WhatIf struct {
	Asks  []Ask
	Was   func(*hold.State) []string                        // the answers as recorded, of the whole hold
	Read  func(i int, text string) (echo string, err error) // how an answer is understood; answers at once
	Judge func(answers []string) (*hold.State, error)       // of the whole hold; an empty answer = as recorded; may take long
}

// Ask is one thing that may be supposed.
type Ask struct{ Label, Hint string }

// suppose is the panel of a WhatIf.
type suppose struct {
	*WhatIf
	answers []input
	at      int      // the answer that has the keyboard
	asked   []string // answers that are judged, or being judged
	busy    bool
	was     *hold.State // the whole hold as recorded; nil = not judged yet
	known   []string    // its answers
	now     *hold.State // with the answers
	err     error
}

// supposed is the outcome of a judging.
type supposed struct {
	asked []string
	state *hold.State
	err   error
}

func newSuppose(w *WhatIf) suppose {
	s := suppose{WhatIf: w}
	if w == nil {
		return s
	}
	for range w.Asks {
		in := newInput()
		in.open("")
		s.answers = append(s.answers, in)
	}
	return s
}

// texts are the answers as they stand.
func (s *suppose) texts() (out []string) {
	for i := range s.answers {
		out = append(out, ui.Clean(s.answers[i].text.Value(), 120))
	}
	return out
}

// keySuppose is the keyboard in the panel. Escape leaves it; the answers stay.
func (m *Model) keySuppose(k tea.KeyMsg) tea.Cmd {
	s := &m.suppose
	switch k.Type {
	case tea.KeyEsc:
		m.mode = watching
		return nil
	case tea.KeyEnter, tea.KeyDown, tea.KeyTab:
		s.at = (s.at + 1) % len(s.answers)
		return m.judgeSupposed()
	case tea.KeyUp, tea.KeyShiftTab:
		s.at = (s.at + len(s.answers) - 1) % len(s.answers)
		return m.judgeSupposed()
	}
	in := &s.answers[s.at]
	in.update(k)
	in.say, in.bad = "", false
	if text := s.texts()[s.at]; text != "" {
		echo, err := s.Read(s.at, text)
		in.say, in.bad = ui.Clean(echo, 200), err != nil
		if err != nil {
			in.say = ui.Clean(err.Error(), 200)
		}
	}
	return nil
}

// judgeSupposed judges the hold with the answers, if they are others than the
// last ones and none is under way; first of all as it was recorded.
func (m *Model) judgeSupposed() tea.Cmd {
	s := &m.suppose
	asked := s.texts()
	if s.was == nil {
		asked = make([]string, len(asked))
	}
	bad := slices.ContainsFunc(s.answers, func(i input) bool { return i.bad })
	if s.busy || bad || slices.Equal(asked, s.asked) {
		return nil
	}
	s.busy, s.asked = true, asked
	judge := s.Judge
	return func() tea.Msg {
		st, err := judge(asked)
		return supposed{asked, st, err}
	}
}

// onSupposed takes an outcome, and judges on if the answers have changed meanwhile.
func (m *Model) onSupposed(o supposed) tea.Cmd {
	s := &m.suppose
	s.busy, s.err = false, o.err
	if o.err == nil {
		s.now = o.state
		if s.was == nil {
			s.was, s.known = o.state, s.Was(o.state)
		}
	}
	return m.judgeSupposed()
}

// supposeView is the panel: the answers, then the verdict as recorded beside the supposed one.
func (m *Model) supposeView() []string {
	s := &m.suppose
	lines := []string{m.th.Strong.Render("WHAT IF") + "   the record stays as it is"}
	for i := range s.answers {
		if m.h < len(s.answers)+12 && i != s.at {
			continue // a small screen shows the one in hand
		}
		lines = append(lines, m.askLine(i))
	}
	lines = append(lines, "  "+m.supposeNote(), "")
	lines = append(lines, m.verdicts()...)
	for len(lines) < m.h-1 {
		lines = append(lines, "")
	}
	foot := []string{"Enter: judge, next", "Esc: back", "up, down: move"}
	if s.busy {
		foot = append([]string{"judging ..."}, foot...)
	}
	return append(lines[:max(min(len(lines), m.h-1), 0)], ui.Joined(foot, "   ", m.w))
}

// supposeNote is what is wrong with the answer in hand, or how it was read where that has no room beside it, else the hint.
func (m *Model) supposeNote() string {
	s := &m.suppose
	in := &s.answers[s.at]
	switch {
	case in.bad:
		return ui.Short("! "+in.say, m.w-2)
	case in.say != "" && m.w < 70:
		return ui.Short("read as "+in.say, m.w-2)
	}
	return ui.Short(s.Asks[s.at].Hint, m.w-2)
}

func (m *Model) askLine(i int) string {
	s := &m.suppose
	in, ask := &s.answers[i], s.Asks[i]
	text, was := clean(in.text.Value()), "..."
	if s.was != nil {
		was = clean(s.known[i])
	}
	head := "  "
	if i == s.at {
		head, text = m.th.Say("› ", "> "), in.show(max(m.w-34, 8))
	}
	note := ""
	if in.say != "" && !in.bad {
		note = "read as " + in.say
	}
	line := ui.Joined([]string{head + ui.Pad(ask.Label, 13) + ui.Pad(was, 14) + "  " + text, note}, "   ", m.w)
	if in.bad {
		line = ui.Cut(line+"   ! "+in.say, m.w)
	}
	if i == s.at {
		line = m.th.Strong.Render(ui.Cut(line, m.w))
	}
	return line
}

// verdicts is the two verdicts beside each other, or under each other where it is narrow.
func (m *Model) verdicts() []string {
	s := &m.suppose
	if s.err != nil {
		return ui.Wrap("! "+clean(s.err.Error()), m.w, 3)
	}
	if s.was == nil {
		return nil
	}
	if m.w < 70 {
		each := max((m.h-5)/2, 1) // beside the head, the answer in hand with its hint, and the foot
		was, now := m.outcome("as recorded: ", s.was, m.w), m.outcome("what if: ", s.now, m.w)
		return append(was[:min(each, len(was))], now[:min(each, len(now))]...)
	}
	half := m.w/2 - 1
	return ui.Beside(m.outcome("as recorded: ", s.was, half-1), half, m.outcome("what if: ", s.now, half))
}

// outcome is what a State says, in w cells.
func (m *Model) outcome(head string, st *hold.State, w int) []string {
	other := *m
	other.st = st
	out := []string{m.th.Strong.Render(ui.Cut(head+other.verdictWord(), w))}
	for _, text := range []string{other.phrase(), other.leakText(w), other.hidesText(w), strings.TrimSpace(other.moreText())} {
		if text != "" {
			out = append(out, ui.Wrap(text, w, 2)...)
		}
	}
	return out
}

package holdscreen

import (
	"github.com/charmbracelet/bubbles/key"
	tea "github.com/charmbracelet/bubbletea"
)

// speeds are the steps of a replay's speed.
func speeds() []float64 { return []float64{1, 10, 60, 100, 1000, 10000} }

// nextSpeed is the step above (dir > 0) or below the speed v.
func nextSpeed(v float64, dir int) float64 {
	s := speeds()
	if dir > 0 {
		for _, x := range s {
			if x > v*1.001 {
				return x
			}
		}
		return s[len(s)-1]
	}
	for i := len(s) - 1; i >= 0; i-- {
		if s[i] < v*0.999 {
			return s[i]
		}
	}
	return s[0]
}

// keyPlayer steers a replay: the arrows jump by a fortieth of it, the digits to tenths.
func (m *Model) keyPlayer(k tea.KeyMsg) tea.Cmd {
	p := m.act.Player
	if p == nil {
		return nil
	}
	at := p.Status()
	jump := func(t float64) tea.Cmd { return do(func() { p.Jump(min(max(t, 0), at.End)) }) }
	switch {
	case key.Matches(k, m.keys.Pause):
		return do(p.Pause)
	case key.Matches(k, m.keys.Faster):
		return do(func() { p.Speed(nextSpeed(at.Speed, 1)) })
	case key.Matches(k, m.keys.Slower):
		return do(func() { p.Speed(nextSpeed(at.Speed, -1)) })
	case key.Matches(k, m.keys.Step):
		return do(func() { p.Step(1) })
	case key.Matches(k, m.keys.Back):
		return jump(at.At - at.End/40)
	case key.Matches(k, m.keys.On):
		return jump(at.At + at.End/40)
	case key.Matches(k, m.keys.First):
		return jump(0)
	case key.Matches(k, m.keys.Last):
		return jump(at.End)
	case key.Matches(k, m.keys.Tenth):
		return jump(at.End * float64(k.Runes[0]-'0') / 10)
	}
	return nil
}

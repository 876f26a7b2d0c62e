package holdscreen

import "github.com/charmbracelet/bubbles/key"

// keymap holds the bindings; the key line and the help page are made from it.
type keymap struct {
	Mark, Next, Refill, Close, Enter, Limit, Bell, Far, Details, Raw, Zoom, Phone, Help, Redraw, Stop key.Binding
	WhatIf, Pause, Slower, Faster, Step, Back, On                                                     key.Binding
}

func bind(keys []string, show, does string, on bool) key.Binding {
	b := key.NewBinding(key.WithKeys(keys...), key.WithHelp(show, does))
	b.SetEnabled(on)
	return b
}

func newKeymap(a Actions) keymap {
	play := a.Player != nil
	stop := bind([]string{"q", "ctrl+c"}, "q", "stop", true)
	if play {
		stop.SetHelp("q", "leave")
	}
	return keymap{
		Mark:    bind([]string{"m"}, "m", "mark", a.Mark != nil),
		Refill:  bind([]string{"r"}, "r", "refill", a.Refill != nil),
		Close:   bind([]string{"c"}, "c", "valve closed", a.Close != nil),
		Enter:   bind([]string{"e"}, "e", "enter reading", a.Enter != nil),
		Limit:   bind([]string{"l"}, "l", "limit", a.Limit != nil),
		Bell:    bind([]string{"b"}, "b", "silence bell", !play),
		Far:     bind([]string{"w"}, "w", "wall view", true),
		Details: bind([]string{"d"}, "d", "why, numbers", true),
		Raw:     bind([]string{"v"}, "v", "raw pressure on, off", true),
		Zoom:    bind([]string{"z"}, "z", "closer look", true),
		Phone:   bind([]string{"p"}, "p", "phone page", false),
		Next:    bind(nil, "", "", false), // of a Group
		Help:    bind([]string{"?"}, "?", "help", true),
		Redraw:  bind([]string{"ctrl+l"}, "ctrl-l", "redraw", true),
		Stop:    stop,
		WhatIf:  bind([]string{"i"}, "i", "what if", a.WhatIf != nil),
		Pause:   bind([]string{" "}, "space", "pause", play),
		Slower:  bind([]string{"-"}, "-", "slower", play),
		Faster:  bind([]string{"+", "="}, "+", "faster", play),
		Step:    bind([]string{"."}, ".", "one record", play),
		Back:    bind([]string{"left"}, "left", "jump back", play),
		On:      bind([]string{"right"}, "right", "jump on", play),
	}
}

// all lists the bindings in the order of the help page.
func (k keymap) all() []key.Binding {
	return []key.Binding{k.WhatIf, k.Pause, k.Slower, k.Faster, k.Step, k.Back, k.On,
		k.Mark, k.Enter, k.Refill, k.Close, k.Limit, k.Bell, k.Far, k.Details, k.Raw, k.Zoom, k.Phone, k.Next, k.Redraw, k.Help, k.Stop}
}

// line lists the bindings in the order of the key line: where it is narrow, the last ones go.
func (k keymap) line() []key.Binding {
	return []key.Binding{k.Help, k.Stop, k.Next, k.Pause, k.WhatIf, k.Mark, k.Enter, k.Refill, k.Close, k.Details, k.Far, k.Zoom, k.Bell,
		k.Limit, k.Slower, k.Faster, k.Back, k.On, k.Step, k.Raw, k.Phone}
}

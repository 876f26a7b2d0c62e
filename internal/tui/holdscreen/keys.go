package holdscreen

import (
	"strings"

	"github.com/charmbracelet/bubbles/key"
)

// keymap holds the bindings; the key line and the help page are made from it.
type keymap struct {
	Mark, Next, Refill, Close, Enter, Limit, Bell, Far, Details, Raw, Zoom, Phone, Help, Redraw, Stop key.Binding
	WhatIf, Pause, Slower, Faster, Step, Back, On, First, Last, Tenth                                 key.Binding
	Digit                                                                                             key.Binding // a reading is typed straight away
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
		First:   bind([]string{"home"}, "home", "to the beginning", play),
		Last:    bind([]string{"end"}, "end", "to the end", play),
		Tenth:   bind(digits(), "0-9", "to that tenth", play),
		Digit:   bind(digits(), "0-9", "begins to type a reading", a.Enter != nil),
	}
}

func digits() []string { return strings.Split("0123456789", "") }

// all lists the bindings in the order of the help page.
func (k keymap) all() []key.Binding {
	return []key.Binding{k.WhatIf, k.Pause, k.Slower, k.Faster, k.Step, k.Back, k.On, k.First, k.Last, k.Tenth,
		k.Mark, k.Enter, k.Digit, k.Refill, k.Close, k.Limit, k.Bell, k.Far, k.Details, k.Raw, k.Zoom, k.Phone, k.Next, k.Redraw, k.Help, k.Stop}
}

// line lists the bindings in the order of the key line: where it is narrow, the last ones go.
func (k keymap) line() []key.Binding {
	return []key.Binding{k.Help, k.Stop, k.Next, k.Pause, k.WhatIf, k.Mark, k.Enter, k.Refill, k.Close, k.Details, k.Far, k.Zoom, k.Bell,
		k.Limit, k.Slower, k.Faster, k.Back, k.On, k.Step, k.Raw, k.Phone}
}

// lenskeys are the bindings while the chart is looked at closely.
type lenskeys struct{ Before, After, FarBefore, FarAfter, First, Last, Less, More, Whole key.Binding }

func newLenskeys() lenskeys {
	return lenskeys{
		Before:    bind([]string{"left"}, "left", "reads off the place before", true),
		After:     bind([]string{"right"}, "right", "reads off the place after", true),
		FarBefore: bind([]string{"pgup"}, "page up", "ten places before", true),
		FarAfter:  bind([]string{"pgdown"}, "page down", "ten places after", true),
		First:     bind([]string{"home"}, "home", "the first place", true),
		Last:      bind([]string{"end"}, "end", "the newest place", true),
		Less:      bind([]string{"up"}, "up", "shows half as much, twice as large", true),
		More:      bind([]string{"down"}, "down", "shows twice as much", true),
		Whole:     bind([]string{"z", "esc"}, "z, Esc", "shows the whole again", true),
	}
}

// all lists the bindings in the order of the help page.
func (k lenskeys) all() []key.Binding {
	return []key.Binding{k.Before, k.After, k.FarBefore, k.FarAfter, k.First, k.Last, k.Less, k.More, k.Whole}
}

package main

import (
	"context"
	"os"
	"strings"

	"example.org/holdfast/internal/tui"
	"example.org/holdfast/internal/tui/holdscreen"
)

// screen shows the hold in the full screen. stopped = the person ended the recording there.
func (s *session) screen(ctx context.Context) (stopped bool, err error) {
	out := tui.NewTerminal(s.a.out.(*os.File)) // fullScreen has looked
	act := holdscreen.Actions{Mark: s.mark, Refill: s.refill, Stop: s.stop, Bell: out.Bell}
	if s.plan.header.Settings.Kind == "vacuum" {
		act.Refill, act.Close = nil, s.closedOff
	}
	if m := s.plan.manual(); m != nil {
		check := func(text string) (string, error) {
			_, echo, err := m.Enter(text)
			return strings.TrimPrefix(echo, "read as "), err
		}
		act.Check = check
		act.Enter = func(text string) (string, error) {
			r, echo, err := m.Enter(text)
			if err != nil {
				return "", err
			}
			m.Submit(r, s.a.now())
			return strings.TrimPrefix(echo, "read as "), nil
		}
	}
	v := s.plan.view
	model := holdscreen.New(s, act, holdscreen.Options{Look: s.a.look(v.ascii), Quiet: v.quiet, Title: v.title, Phone: s.phone.lines()})
	_, err = tui.Run(ctx, model, s.a.in, out)
	return model.Stopped(), err
}

package main

import (
	"context"
	"os"
	"strings"

	"example.org/holdfast/internal/tui"
	"example.org/holdfast/internal/tui/holdscreen"
)

// screen shows the holds in the full screen. stopped = the person ended the recordings there.
func (r *running) screen(ctx context.Context) (stopped bool, err error) {
	out := tui.NewTerminal(r.a.out.(*os.File)) // fullScreen has looked
	var models []*holdscreen.Model
	for _, s := range r.sessions {
		models = append(models, s.model(out, r.phone.lines()))
	}
	if len(models) == 1 {
		_, err = tui.Run(ctx, models[0], r.a.in, out)
		return models[0].Stopped(), err
	}
	group := holdscreen.NewGroup(models)
	_, err = tui.Run(ctx, group, r.a.in, out)
	return group.Stopped(), err
}

// model is the screen of one hold.
func (s *session) model(out *tui.Terminal, phone []string) *holdscreen.Model {
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
	return holdscreen.New(s, act, holdscreen.Options{Look: s.a.look(v.ascii), Quiet: v.quiet, Title: v.title, Phone: phone})
}

package main

import (
	"context"
	"fmt"
	"os"
	"strings"
	"time"

	"example.org/holdfast/internal/hold"
	"example.org/holdfast/internal/holdlog"
	"example.org/holdfast/internal/tui"
	"example.org/holdfast/internal/tui/holdscreen"
	"example.org/holdfast/internal/units"
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
			echo, err := m.Try(text, s.a.now())
			return strings.TrimPrefix(echo, "read as "), err
		}
	}
	act.Limit = func(text string) (string, error) { return s.limit(text, true) }
	act.Limits = func(text string) (string, error) { return s.limit(text, false) }
	v := s.plan.view
	if v.notify == tui.OSC9 || v.notify == tui.OSC777 {
		act.Notify = func(text string) { out.Notify(v.notify, text) }
	}
	return holdscreen.New(s, act, holdscreen.Options{Look: s.a.look(v.ascii), Quiet: v.quiet, Title: v.title, Phone: phone, Record: s.kept, Unsaved: s.unsaved})
}

// limit reads another limit, of a vacuum another acceptance, and says how it
// was read; with set it holds from now on, and the log says so.
func (s *session) limit(text string, set bool) (echo string, err error) {
	st := s.State()
	h := st.Header
	if h.Settings.Kind == "vacuum" {
		h.Settings.Accept = text
		a, err := hold.ParseAcceptance(text)
		if err != nil {
			return "", err
		}
		echo = fmt.Sprintf("at most %s for %s", units.FormatPressure(float64(a.Most), or(h.Settings.Display, "Pa")), units.FormatDuration(time.Duration(a.After*float64(time.Second))))
	} else {
		h.Settings.Limit = text
		r, err := units.ParseRate(text)
		if err != nil {
			return "", err
		}
		terms, err := hold.Resolve(h.Settings)
		if err != nil {
			return "", err
		}
		echo = r.String()
		if l := terms.Limit(st.Pressure, st.Ambient); st.HasPressure && st.HasAmbient && l.Set {
			echo += ", here " + units.FormatPressureRate(l.Rate, units.RateUnit(or(h.Settings.Display, "bar")))
		}
	}
	if set {
		h.Version = holdlog.Version
		rec := event(holdlog.EventSettings, "limit "+oneLine(text))
		rec.Header = &h
		s.acq.Inject(rec)
	}
	return echo, nil
}

// kept says where the record is and how far it is safe.
func (s *session) kept() []string {
	if s.plan.closing != nil {
		return []string{"this record is thrown away at the end"}
	}
	out := []string{"the log is " + s.log.Path()}
	if c := s.log.LastCheck(); c.SHA256 != "" {
		out = append(out, fmt.Sprintf("last checkpoint after %s, SHA-256 %s", units.FormatCount(c.Samples, "reading"), c.SHA256))
	}
	if err := s.log.Err(); err != nil {
		out = append(out, fmt.Sprintf("NOT WRITTEN: %v; %s wait for the disk", err, units.FormatCount(s.log.Pending(), "record")))
	}
	return out
}

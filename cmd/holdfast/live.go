package main

import (
	"context"
	"errors"
	"fmt"
	"math"
	"os"
	"time"

	"example.org/holdfast/internal/acquire"
	"example.org/holdfast/internal/hold"
	"example.org/holdfast/internal/holdlog"
)

// session is a live hold under way.
type session struct {
	*recording
	a      *app
	plan   livePlan
	phone  *phone
	ended  chan struct{} // closed when nothing is recorded any more
	cancel context.CancelFunc
}

// live records a hold to its end and shows it.
func (a *app) live(p livePlan) (int, error) {
	page, err := openPhone(p.view.serve)
	if err != nil {
		return exitIO, err
	}
	defer page.stop()
	s, err := a.begin(p)
	if err != nil {
		return exitIO, err
	}
	s.phone = page
	page.start(s)
	if p.closing != nil {
		defer p.closing()
	}
	ui, endUI := context.WithCancel(context.Background())
	defer endUI()
	sig := a.onSignal(func(sig os.Signal) { s.endBySignal(sig); endUI() })
	defer sig.stop()
	s.notes()
	s.show(ui)
	if code, ok := sig.code(); ok {
		return code, nil
	}
	s.stop()
	s.await(5 * time.Second)
	st := s.State()
	err = s.close(holdlog.Record{Kind: holdlog.KindVerdict, Text: string(st.Verdict.Word)})
	if code, ok := sig.code(); ok {
		return code, nil
	}
	s.summary(st)
	if err != nil {
		return exitIO, err
	}
	if s.plan.closing == nil {
		fmt.Fprintln(a.err, "the record is", s.plan.path)
	}
	return st.Verdict.Word.ExitCode(), nil
}

// begin opens the devices, then the log, and starts to record.
func (a *app) begin(p livePlan) (*session, error) {
	r := &recording{hold: hold.New(), endAtTime: p.view.plain}
	var devices []acquire.Device
	for _, ins := range p.instruments {
		devices = append(devices, ins.device)
	}
	acq, err := acquire.New(acquire.Config{Devices: devices, Emit: r.emit, Offset: p.offset})
	if err != nil {
		return nil, err
	}
	r.acq = acq
	if p.resume {
		acq.Start() // the offset holds for this moment
	}
	ctx, cancel := context.WithCancel(context.Background())
	if err := acq.Open(ctx); err != nil {
		cancel()
		return nil, err
	}
	wall, _ := acq.Start()
	if err := r.open(p, wall, a.now()); err != nil {
		acq.Close()
		cancel()
		return nil, err
	}
	s := &session{recording: r, a: a, plan: p, ended: make(chan struct{}), cancel: cancel}
	go s.record(ctx)
	return s, nil
}

// open starts the log, or goes on with one, and brings the hold to where it stands.
func (r *recording) open(p livePlan, wall int64, now time.Time) (err error) {
	if !p.resume {
		header := holdlog.HeaderRecord(p.header, wall)
		if r.log, err = holdlog.Create(p.path, header); err != nil {
			return err
		}
		r.hold.Apply(header)
		r.state.Store(r.hold.State())
		return nil
	}
	if r.log, _, err = holdlog.Continue(p.path, now); err != nil {
		return err
	}
	src := source{}
	if _, err := src.each(p.path, func(rec holdlog.Record) error { r.hold.Apply(rec); return nil }); err != nil {
		return errors.Join(err, r.log.Close())
	}
	r.state.Store(r.hold.State())
	if p.changed {
		rec := event(holdlog.EventSettings, "")
		rec.Header = &p.header
		rec.Header.Version = holdlog.Version
		rec.Wall, rec.Elapsed = r.acq.Now()
		r.take(rec)
	}
	return nil
}

// record runs until the devices or somebody ends it.
func (s *session) record(ctx context.Context) {
	defer close(s.ended)
	err := s.acq.Run(ctx)
	if errors.Is(err, acquire.ErrEnded) { // no more readings will be typed: that is an end on purpose
		rec := event(holdlog.EventStop, "")
		rec.Wall, rec.Elapsed = s.acq.Now()
		s.take(rec)
	}
}

// await waits for the recording to end, not for ever: a device may hang.
func (s *session) await(most time.Duration) {
	select {
	case <-s.ended:
	case <-time.After(most):
	}
	s.cancel()
}

// endBySignal closes the log whole before anything else is tried.
func (s *session) endBySignal(sig os.Signal) {
	s.cancel()
	s.await(time.Second)
	_ = s.close(event(holdlog.EventSignal, sig.String())) // the program ends with the signal's code either way
}

// notes says what the person should know before the hold begins.
func (s *session) notes() {
	say := func(format string, args ...any) { fmt.Fprintf(s.a.err, format+"\n", args...) }
	if s.plan.closing == nil { // else the log goes away with the program
		say("recording to %s", s.plan.path)
	}
	for _, line := range s.phone.lines() {
		say("%s", line)
	}
	if !s.plan.hasThermometer() {
		say("note: no thermometer. In simulated holds of 1 h that makes the interval about nine times wider; a room thermometer beside the part, read along, costs little.")
	}
}

// show shows the hold until it ends or somebody ends it. Where the screen
// breaks, the recording goes on with lines.
func (s *session) show(ctx context.Context) {
	if !s.plan.view.plain {
		stopped, err := s.screen(ctx)
		if stopped || ctx.Err() != nil {
			return
		}
		fmt.Fprintf(s.a.err, "the screen ended (%v); the recording goes on, end it with ctrl-c\n", err)
	}
	s.lines(ctx)
}

// look is how often the lines look for news.
const lookEvery = 100 * time.Millisecond

// lines writes the hold as lines until it ends.
func (s *session) lines(ctx context.Context) {
	p := &plainLines{out: s.a.out, every: s.plan.view.every}
	if s.plan.resume {
		p.startAt(s.State(), s.plan.offset)
	}
	ask := s.asker()
	tick := time.NewTicker(lookEvery)
	defer tick.Stop()
	for {
		select {
		case <-ctx.Done():
			return
		case <-s.ended:
			p.look(s.State())
			return
		case <-tick.C:
			p.look(s.State())
			ask()
			if s.plan.view.plain && s.overdue() {
				s.stop()
			}
		}
	}
}

// longestFilling is how long a hold without a screen waits for its filling to end, s; longer holds wait as long as they last.
const longestFilling = 900.0

// overdue reports that the set time is over though no record comes to say so,
// or that a filling that nobody watches does not end.
func (s *session) overdue() bool {
	st, now := s.State(), s.Now()
	if st.Phase == hold.Waiting || st.Phase == hold.Filling {
		return now-st.PhaseSince >= math.Max(st.HoldFor, longestFilling)
	}
	return now-st.SegmentStart >= st.HoldFor
}

// asker feeds the typed lines to the manual device, if there is one, and gives
// the function that asks for a reading when it is due.
func (s *session) asker() func() {
	m := s.plan.manual()
	if m == nil {
		return func() {}
	}
	go func() {
		err := m.Feed(s.a.in, s.a.now, func(echo string, err error) {
			if err != nil {
				echo = "not taken: " + err.Error()
			}
			fmt.Fprintln(s.a.err, oneLine(echo))
		})
		if err != nil {
			fmt.Fprintln(s.a.err, "typed readings ended:", oneLine(err.Error()))
		}
	}()
	asked := false
	return func() {
		in, asks := m.Due(s.a.now())
		due := asks && in <= 0
		if due && !asked {
			bell := "\a"
			if s.plan.view.quiet {
				bell = ""
			}
			fmt.Fprintf(s.a.err, "%sreading? (pressure, and the temperature behind it: 19.8bar 21.5C)\n", bell)
		}
		asked = due
	}
}

// summary says how it ended.
func (s *session) summary(st *hold.State) {
	fmt.Fprintln(s.a.out)
	paragraph(s.a.out, "", "  ", fmt.Sprintf("%s: %s", upper(st), st.Verdict.Phrase))
	writeVerdict(s.a.out, st, false)
}

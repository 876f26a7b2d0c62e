package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"math"
	"os"
	"sync"
	"time"

	"example.org/holdfast/internal/acquire"
	"example.org/holdfast/internal/hold"
	"example.org/holdfast/internal/holdlog"
	"example.org/holdfast/internal/serve"
	"example.org/holdfast/internal/tui"
	"example.org/holdfast/refdata"
)

// session is a live hold under way.
type session struct {
	*recording
	a      *app
	plan   livePlan
	ended  chan struct{} // closed when nothing is recorded any more
	cancel context.CancelFunc
}

// running are the live holds of this program: each has its own devices, log
// and goroutines, and nothing but the screen in common with the others.
type running struct {
	a        *app
	sessions []*session
	view     view
	phone    *phone
	awake    awake
}

// live records holds to their ends and shows them, all in the view of the first.
func (a *app) live(plans ...livePlan) (int, error) {
	r := &running{a: a, view: plans[0].view}
	page, err := openPhone(r.view.serve)
	if err != nil {
		return exitIO, &notBegun{err}
	}
	defer page.stop()
	r.awake = stayAwake(plans)
	defer r.awake.release()
	for i := range plans {
		plans[i].header.KeptAwake = r.awake.by
	}
	if err := r.begin(plans); err != nil {
		return exitIO, &notBegun{err}
	}
	r.phone = page
	page.start(r.feeds()...)
	ui, endUI := context.WithCancel(context.Background())
	defer endUI()
	sig := a.onSignal(func(sig os.Signal) { r.endBySignal(sig); endUI() })
	defer sig.stop()
	defer r.goOnAtCtrlZ()()
	r.notes()
	r.show(ui)
	if code, ok := sig.code(); ok {
		r.lastWords()
		return code, nil
	}
	code, err := r.finish()
	if r.sessions[0].plan.closing == nil && !r.vacuum() {
		sayCautions(r.a.err, refdata.Venting)
	}
	if code, ok := sig.code(); ok {
		return code, nil
	}
	return code, err
}

// begin starts to record all the holds, or none.
func (r *running) begin(plans []livePlan) error {
	for _, p := range plans {
		s, err := r.a.begin(p)
		if err != nil {
			for _, s := range r.sessions {
				s.stop()
				s.await(time.Second)
				_ = s.close() // the error of the other hold is the one to be told
			}
			return err
		}
		r.sessions = append(r.sessions, s)
	}
	return nil
}

// feeds are the holds as the phone page sees them.
func (r *running) feeds() (out []serve.Feed) {
	for _, s := range r.sessions {
		out = append(out, s)
	}
	return out
}

// finish ends what is still recorded; the code is the worst of all the holds.
func (r *running) finish() (code int, err error) {
	for _, s := range r.sessions {
		one, e := s.finish()
		code, err = worse(code, one), errors.Join(err, e)
	}
	return code, err
}

// finish ends a recording, closes its log and says how it ended.
func (s *session) finish() (int, error) {
	s.stop()
	s.await(5 * time.Second)
	st := s.State()
	err := s.close(holdlog.Record{Kind: holdlog.KindVerdict, Text: string(st.Verdict.Word)})
	s.summary(st)
	if s.plan.closing != nil {
		s.plan.closing()
	}
	if err != nil {
		return exitIO, err
	}
	if s.plan.closing == nil {
		fmt.Fprintln(s.a.err, "the record is", s.log.Path())
	}
	return st.Verdict.Word.ExitCode(), nil
}

// begin opens the devices, then the log, and starts to record.
func (a *app) begin(p livePlan) (*session, error) {
	r := &recording{hold: hold.New(), endAtTime: p.view.plain, elsewhere: a.elsewhere(p.path)}
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
	var found holdlog.Resumed
	if r.log, found, err = holdlog.Continue(p.path, now); err != nil {
		return err
	}
	r.acq.NotBefore(found.ElapsedAt(now.UnixMilli()))
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

// endBySignal closes the logs whole before anything else is tried.
func (r *running) endBySignal(sig os.Signal) {
	for _, s := range r.sessions {
		s.cancel()
	}
	for _, s := range r.sessions {
		s.await(time.Second / time.Duration(len(r.sessions)))
		_ = s.close(event(holdlog.EventSignal, sig.String())) // the program ends with the signal's code either way
		s.sayMoved()
		if s.plan.closing != nil {
			s.plan.closing()
		}
	}
}

// sayMoved says where the record is if it is not where it was begun.
func (s *session) sayMoved() {
	if at := s.log.Path(); at != s.plan.path {
		fmt.Fprintln(s.a.err, "the record is", at)
	}
}

// notes says what the person should know before the holds begin.
func (r *running) notes() {
	for _, s := range r.sessions {
		s.notes()
	}
	switch {
	case r.awake.by != "":
		fmt.Fprintf(r.a.err, "this machine does not go to sleep meanwhile (%s)\n", r.awake.by)
	case r.awake.wanted:
		paragraph(r.a.err, "", "  ", "note: nothing keeps this machine from going to sleep. "+awakeAdvice+" A sleep is a gap in the record.")
	}
	if first := r.sessions[0].plan; !first.resume && first.closing == nil { // nobody fills a demo
		sayCautions(r.a.err, map[bool]refdata.Step{true: refdata.Vacuum, false: refdata.Filling}[r.vacuum()])
	}
	for _, line := range r.phone.lines() {
		fmt.Fprintln(r.a.err, line)
	}
}

func (s *session) notes() {
	say := func(format string, args ...any) { fmt.Fprintf(s.a.err, format+"\n", args...) }
	if s.plan.closing == nil { // else the log goes away with the program
		say("recording to %s", s.plan.path)
	}
	if !s.plan.hasThermometer() {
		paragraph(s.a.err, "", "  ", "note: no thermometer. In simulated holds of 1 h that makes the interval about nine times wider; a room thermometer beside the part, read along, costs little.")
	}
}

// vacuum reports that the first hold, and with it all, is one under vacuum.
func (r *running) vacuum() bool { return r.sessions[0].plan.header.Settings.Kind == "vacuum" }

// show shows the holds until they end or somebody ends them. Where the screen
// breaks, the recording goes on with lines.
func (r *running) show(ctx context.Context) {
	if !r.view.plain {
		stopped, err := r.screen(ctx)
		if stopped || ctx.Err() != nil {
			return
		}
		fmt.Fprintf(r.a.err, "the screen ended (%v); the recording goes on, end it with ctrl-c\n", err)
	}
	r.listen()
	var all sync.WaitGroup
	out := &lineWriter{to: r.a.out}
	for i, s := range r.sessions {
		p := &plainLines{out: out, every: r.view.every, width: r.a.width, ring: r.ring}
		if len(r.sessions) > 1 {
			p.which = fmt.Sprintf("%d %s  ", i+1, oneLine(s.plan.section))
		}
		all.Go(func() { s.lines(ctx, p) })
	}
	all.Wait()
}

// ring rings the bell of the terminal beside the words, for who has walked away. Into a file go words alone.
func (r *running) ring() {
	if !r.view.quiet && tui.IsTerminal(r.a.err) {
		fmt.Fprint(r.a.err, "\a")
	}
}

// lastWords says how it stood when a signal ended it: with lines, ctrl-c is the way to end.
func (r *running) lastWords() {
	if !r.view.plain {
		return
	}
	for _, s := range r.sessions {
		s.summary(s.State())
	}
}

// lineWriter keeps whole what each hold writes at once.
type lineWriter struct {
	mu sync.Mutex
	to io.Writer
}

func (w *lineWriter) Write(b []byte) (int, error) {
	w.mu.Lock()
	defer w.mu.Unlock()
	return w.to.Write(b)
}

// look is how often the lines look for news.
const lookEvery = 100 * time.Millisecond

// lines writes the hold as lines until it ends.
func (s *session) lines(ctx context.Context, p *plainLines) {
	if s.plan.resume {
		p.startAt(s.State(), s.plan.offset)
	}
	ask := s.asker(p.ring)
	tick := time.NewTicker(lookEvery)
	defer tick.Stop()
	for {
		select {
		case <-ctx.Done():
			return
		case <-s.ended:
			p.look(s.State(), s.Now())
			return
		case <-tick.C:
			p.look(s.State(), s.Now())
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

// takeReadings feeds typed lines to the manual device.
func (s *session) takeReadings(lines io.Reader) {
	err := s.plan.manual().Feed(lines, s.a.now, func(echo string, err error) {
		if err != nil {
			echo = "not taken: " + err.Error()
		}
		paragraph(s.a.err, "", "  ", echo)
	})
	if err != nil {
		fmt.Fprintln(s.a.err, "typed readings ended:", oneLine(err.Error()))
	}
}

// asker gives the function that asks for a reading when one is due.
func (s *session) asker(ring func()) func() {
	m := s.plan.manual()
	if m == nil {
		return func() {}
	}
	asked := false
	return func() {
		in, asks := m.Due(s.a.now())
		due := asks && in <= 0
		if due && !asked {
			ring()
			fmt.Fprintln(s.a.err, "reading? (pressure, and the temperature behind it: 19.8bar 21.5C)")
		}
		asked = due
	}
}

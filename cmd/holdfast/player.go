package main

import (
	"context"
	"math"
	"sync"
	"sync/atomic"
	"time"

	"example.org/holdfast/internal/hold"
	"example.org/holdfast/internal/holdlog"
	"example.org/holdfast/internal/tui/holdscreen"
)

// player plays the records of a saved hold. Its controls only say where the
// replay shall be; the goroutine of run brings the hold there, so that no key
// waits for a long reduction.
type player struct {
	tape  *tape
	state atomic.Pointer[hold.State]
	kick  chan struct{} // has an element when something was asked

	hold *hold.Hold // run's own, as are reel and next
	reel reel       // the records that it knows of
	next int        // first record that is not applied

	mu     sync.Mutex
	at     float64 // s, where the replay is
	speed  float64
	paused bool
	jump   float64 // s, where it shall be; <0 = no jump is asked
	steps  int     // records still to step
}

// playEvery is the time between two moves of a replay.
const playEvery = 50 * time.Millisecond

// applyAtOnce is how many records are applied between two looks at the controls.
const applyAtOnce = 2000

// newPlayer starts at the first record of a tape that has begun.
func newPlayer(t *tape, speed float64) *player {
	p := &player{tape: t, reel: t.so(), speed: speed, jump: -1, kick: make(chan struct{}, 1)}
	p.rewind()
	p.publish()
	return p
}

// State is the picture after the last record that was played.
func (p *player) State() *hold.State { return p.state.Load() }

// Now is where the replay is, s since the first record.
func (p *player) Now() float64 {
	p.mu.Lock()
	defer p.mu.Unlock()
	return p.at
}

// run plays until the context ends.
func (p *player) run(ctx context.Context) {
	tick := time.NewTicker(playEvery)
	defer tick.Stop()
	last := time.Now()
	for {
		select {
		case <-ctx.Done():
			return
		case <-tick.C:
		case <-p.kick:
		}
		now := time.Now()
		passed := now.Sub(last)
		last = now
		p.obey(passed.Seconds())
	}
}

// obey moves on by some real seconds, or to where the controls want it.
func (p *player) obey(passed float64) {
	p.reel = p.tape.so()
	p.mu.Lock()
	target, steps := p.at, p.steps
	p.steps = 0
	switch {
	case p.jump >= 0:
		target, p.jump = p.jump, -1
	case steps == 0 && !p.paused:
		target = math.Max(p.at, math.Min(p.at+passed*p.speed, p.tape.ends()))
	}
	back := target < p.at
	p.mu.Unlock()
	if back {
		p.rewind()
	}
	for ; steps > 0 && p.forward(1); steps-- {
		target = math.Max(target, p.reel.at(p.next-1).Elapsed)
	}
	for p.due(target) && p.forward(applyAtOnce, target) && !p.asked() {
		p.publish()
	}
	p.mu.Lock()
	p.at = target
	if p.due(target) { // a control came in between: from where it is
		p.at = p.reel.at(p.next).Elapsed
	}
	p.mu.Unlock()
	p.publish()
}

// due reports that records up to the time t are not applied yet.
func (p *player) due(t float64) bool {
	return p.next < p.reel.n && p.reel.at(p.next).Elapsed <= t
}

// asked reports that a jump came in.
func (p *player) asked() bool {
	p.mu.Lock()
	defer p.mu.Unlock()
	return p.jump >= 0
}

// forward applies up to n records, none later than until if that is given, and reports whether it applied any.
func (p *player) forward(n int, until ...float64) bool {
	begin := p.next
	for ; n > 0 && p.next < p.reel.n; n-- {
		if len(until) > 0 && !p.due(until[0]) {
			break
		}
		p.hold.Apply(*p.reel.at(p.next))
		p.next++
	}
	return p.next > begin
}

// rewind starts over: a State knows only what came before it.
func (p *player) rewind() {
	p.hold, p.next = hold.New(), 0
	for p.next < p.reel.n && p.reel.at(p.next).Kind == holdlog.KindHeader {
		p.forward(1)
	}
}

func (p *player) publish() *hold.State {
	st := p.hold.State()
	p.state.Store(st)
	return st
}

// ask changes the controls and wakes run.
func (p *player) ask(change func()) {
	p.mu.Lock()
	change()
	p.mu.Unlock()
	select {
	case p.kick <- struct{}{}:
	default: // it is awake already
	}
}

// controls are the player's keys.
func (p *player) controls() *holdscreen.Player {
	return &holdscreen.Player{
		Pause: func() { p.ask(func() { p.paused = !p.paused }) },
		Speed: func(times float64) { p.ask(func() { p.speed = math.Min(math.Max(times, 1), 10000) }) },
		Step:  func(records int) { p.ask(func() { p.paused, p.steps = true, p.steps+max(records, 0) }) },
		Jump:  func(elapsed float64) { p.ask(func() { p.jump = math.Min(math.Max(elapsed, 0), p.tape.ends()) }) },
		Status: func() holdscreen.PlayStatus {
			p.mu.Lock()
			defer p.mu.Unlock()
			s := holdscreen.PlayStatus{Paused: p.paused, Speed: p.speed, At: p.at, End: p.tape.ends()}
			if p.tape.reading() {
				s.Reading = p.tape.so().n
			}
			return s
		},
	}
}

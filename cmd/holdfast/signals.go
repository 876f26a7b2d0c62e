package main

import (
	"os"
	"os/signal"
	"sync/atomic"
	"syscall"
	"time"
)

// hardExit is how long a program that was told to end may take over it.
const hardExit = 1500 * time.Millisecond

// signals waits for the system to end the program.
type signals struct {
	got     atomic.Int32 // number of the signal; 0 = none
	ch      chan os.Signal
	ignored chan os.Signal
	handled chan struct{} // closed when end has returned
}

// onSignal calls end, once, when the system wants the program to end, and makes
// sure that it does end soon, even where a terminal that takes no more bytes
// stalls everything else. A broken pipe to a reader of our output is no reason to end.
func (a *app) onSignal(end func(os.Signal)) *signals {
	s := &signals{ch: make(chan os.Signal, 1), ignored: make(chan os.Signal, 1), handled: make(chan struct{})}
	signal.Notify(s.ch, syscall.SIGHUP, syscall.SIGINT, syscall.SIGTERM)
	signal.Notify(s.ignored, syscall.SIGPIPE)
	go func() {
		sig, ok := <-s.ch
		if !ok {
			return
		}
		n, _ := sig.(syscall.Signal)
		s.got.Store(int32(n))
		time.AfterFunc(hardExit, func() { a.exit(exitKill + int(n)) })
		end(sig)
		close(s.handled)
	}()
	return s
}

// stop ends the waiting.
func (s *signals) stop() {
	signal.Stop(s.ch)
	signal.Stop(s.ignored)
	close(s.ch)
}

// code gives the exit code of a program that a signal ended, after the handling is over.
func (s *signals) code() (int, bool) {
	n := int(s.got.Load())
	if n == 0 {
		return 0, false
	}
	<-s.handled
	return exitKill + n, true
}

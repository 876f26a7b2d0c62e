package main

import (
	"context"
	"iter"
	"math"
	"sync"

	"example.org/holdfast/internal/holdlog"
)

// tape is the records of a saved hold. They are read in a goroutine of its own,
// so that what is there can be looked at while the rest of a long one comes.
type tape struct {
	begun chan struct{} // closed when there is a record, or never will be
	done  chan struct{} // closed when all is read, or reading failed; then integrity and err stay as they are

	mu   sync.Mutex
	reel reel
	end  float64 // s, of the last record

	integrity holdlog.Integrity
	err       error
}

// reel is the records of a tape up to some moment. It does not change; the tape
// goes on in pieces of its own, since moving a million records would take long.
type reel struct {
	pieces []*piece
	n      int
}

// piece is a part of a tape; where a reel ends in it, the tape may still be writing behind.
type piece [1 << 12]holdlog.Record

func (r reel) at(i int) *holdlog.Record {
	p := r.pieces[i/len(piece{})]
	return &p[i%len(p)]
}

// all gives the records in order.
func (r reel) all() iter.Seq[holdlog.Record] {
	return func(yield func(holdlog.Record) bool) {
		for i := range r.n {
			if !yield(*r.at(i)) {
				return
			}
		}
	}
}

// tape begins to read a file. It stops when ctx ends.
func (s *source) tape(ctx context.Context, file string) *tape {
	t := &tape{begun: make(chan struct{}), done: make(chan struct{})}
	go func() {
		t.integrity, t.err = s.each(file, func(r holdlog.Record) error {
			t.add(r)
			return ctx.Err()
		})
		if t.so().n == 0 {
			close(t.begun)
		}
		close(t.done)
	}()
	return t
}

// add puts a record at the end. The place that it is written to is in no reel yet.
func (t *tape) add(r holdlog.Record) {
	next := t.reel
	if next.n%len(piece{}) == 0 {
		next.pieces = append(next.pieces, new(piece))
	}
	next.n++
	*next.at(next.n - 1) = r
	t.mu.Lock()
	t.reel, t.end = next, math.Max(t.end, r.Elapsed)
	t.mu.Unlock()
	if next.n == 1 {
		close(t.begun)
	}
}

// so is what is read so far.
func (t *tape) so() reel {
	t.mu.Lock()
	defer t.mu.Unlock()
	return t.reel
}

// ends is the time of the last record read so far, s.
func (t *tape) ends() float64 {
	t.mu.Lock()
	defer t.mu.Unlock()
	return t.end
}

// whole waits for the end and gives all.
func (t *tape) whole() (reel, error) {
	<-t.done
	return t.so(), t.err
}

// reading tells whether records still come.
func (t *tape) reading() bool {
	select {
	case <-t.done:
		return false
	default:
		return true
	}
}

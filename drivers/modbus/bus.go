package modbus

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"sync"
	"time"

	"example.org/holdfast/drivers"
)

// Bus is an open port that the units on it share: one question is on the line
// at a time, and silence goes before each. The last source to close closes the port.
type Bus struct {
	port  io.ReadWriteCloser
	clock drivers.Clock
	quiet time.Duration // silence before a question
	turn  chan struct{} // holds one element; who takes it may use what follows

	last  time.Duration // when the line was last busy
	late  bool          // an answer to a question given up may still come
	heard []byte
	chunk [256]byte

	mu    sync.Mutex
	users int
	err   error // why the port is of no use any more
}

// NewBus takes an open port and its baud rate; 0 = 9600.
func NewBus(port io.ReadWriteCloser, baud int, clock drivers.Clock) *Bus {
	b := &Bus{port: port, clock: clock, quiet: silence(baud), turn: make(chan struct{}, 1), last: clock.Now()}
	b.turn <- struct{}{}
	return b
}

// silence is the least time between two frames: 3.5 characters of 11 bits, and
// 1.75 ms above 19200 baud (Serial Line V1.02, 2.5.1.1).
func silence(baud int) time.Duration {
	if baud <= 0 {
		baud = 9600
	}
	if baud > 19200 {
		return 1750 * time.Microsecond
	}
	return time.Duration(3.5 * 11 / float64(baud) * float64(time.Second))
}

// errDone says that the last source was closed, and the port with it.
var errDone = errors.New("modbus: the bus is closed")

// join counts a source in.
func (b *Bus) join() error {
	b.mu.Lock()
	defer b.mu.Unlock()
	if b.err != nil {
		return b.err
	}
	b.users++
	return nil
}

// leave counts a source out; the last one closes the port.
func (b *Bus) leave() error {
	b.mu.Lock()
	b.users--
	last := b.users == 0
	if last && b.err == nil {
		b.err = errDone
	}
	b.mu.Unlock()
	if last {
		return b.port.Close()
	}
	return nil
}

// fail notes that the port is gone, so that nobody joins any more.
func (b *Bus) fail(err error) error {
	b.mu.Lock()
	defer b.mu.Unlock()
	if b.err == nil {
		b.err = err
	}
	return b.err
}

// errNoAnswer and errGarbled are no errors of the port: the unit may answer the next question.
var (
	errNoAnswer = errors.New("no answer; check the unit's number, the baud rate and parity, and whether A and B are swapped")
	errGarbled  = errors.New("no answer that can be read; check the baud rate and parity, and whether two units have one number")
)

// ask puts one question and waits for its answer.
func (b *Bus) ask(ctx context.Context, unit byte, what block, patience time.Duration) ([]byte, error) {
	select {
	case <-ctx.Done():
		return nil, ctx.Err()
	case <-b.turn:
	}
	defer func() { b.turn <- struct{}{} }()
	if err := b.await(ctx); err != nil {
		return nil, err
	}
	if _, err := b.port.Write(what.question(unit)); err != nil {
		return nil, b.fail(fmt.Errorf("modbus: %w", err))
	}
	b.heard = b.heard[:0]
	for asked := b.clock.Now(); ; {
		if err := b.listen(); err != nil {
			return nil, err
		}
		if data, exception, found := what.findAnswer(b.heard, unit); found {
			return bytes.Clone(data), exception
		}
		if err := ctx.Err(); err != nil {
			b.late = true
			return nil, err
		}
		if b.clock.Now()-asked > patience {
			b.late = true
			if len(b.heard) > 0 {
				return nil, errGarbled
			}
			return nil, errNoAnswer
		}
	}
}

// await waits for the silence that goes before a question.
func (b *Bus) await(ctx context.Context) error {
	for end := b.clock.Now() + lateMost; b.late && b.clock.Now() < end; {
		b.heard = b.heard[:0]
		if err := b.listen(); err != nil {
			return err
		}
		b.late = len(b.heard) > 0
		if err := ctx.Err(); err != nil {
			return err
		}
	}
	if wait := b.last + b.quiet - b.clock.Now(); wait > 0 {
		return b.clock.Sleep(ctx, wait)
	}
	return ctx.Err()
}

const (
	lateMost = 2 * time.Second // to wait for the silence after a late answer
	heardMax = 1024            // bytes kept of what is no answer; the longest has 255
)

// listen reads the port once.
func (b *Bus) listen() error {
	n, err := b.port.Read(b.chunk[:])
	if n > 0 {
		b.last = b.clock.Now()
		if len(b.heard) > heardMax {
			b.heard = append(b.heard[:0], b.heard[heardMax/2:]...)
		}
		b.heard = append(b.heard, b.chunk[:n]...)
		return nil
	}
	if err != nil {
		return b.fail(fmt.Errorf("modbus: %w", err))
	}
	return nil
}

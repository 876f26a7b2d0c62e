package main

import (
	"errors"
	"fmt"
	"io"
	"os"
	"os/exec"
	"strings"
	"sync"
	"time"

	"example.org/holdfast/drivers"
)

// child is a program whose lines are read. It looks like a port.
type child struct {
	cmd   *exec.Cmd
	out   *os.File
	said  lastWords // on stderr
	once  sync.Once
	ended error
}

// startCommand starts a program as the shell would, without one: words apart by
// spaces, no quoting. A script holds whatever needs more.
func startCommand(command string) (io.ReadWriteCloser, error) {
	words := strings.Fields(command)
	if len(words) == 0 {
		return nil, usage("Give the program and its arguments.", "--command is empty")
	}
	out, in, err := os.Pipe()
	if err != nil {
		return nil, err
	}
	c := &child{cmd: exec.Command(words[0], words[1:]...), out: out}
	c.cmd.Stdout, c.cmd.Stderr = in, &c.said
	c.cmd.WaitDelay = childPatience // of what the program leaves behind
	err = c.cmd.Start()
	in.Close() // the program has its own
	if err != nil {
		out.Close()
		return nil, trouble(fmt.Errorf("program %q does not start: %w", words[0], err), "Check its name and that it may be run.")
	}
	return c, nil
}

// childPatience is how long a program may take to end.
const childPatience = 2 * time.Second

// Read waits for lines, and returns with nothing now and then, as a port does.
func (c *child) Read(b []byte) (int, error) {
	if err := c.out.SetReadDeadline(time.Now().Add(readTimeout)); err != nil && !errors.Is(err, os.ErrNoDeadline) {
		return 0, err
	}
	n, err := c.out.Read(b)
	switch {
	case n > 0 || errors.Is(err, os.ErrDeadlineExceeded):
		return n, nil
	case errors.Is(err, io.EOF):
		return 0, c.end()
	}
	return n, err
}

// end says how the program ended. It is not io.EOF: a program that ends is
// started again, as an instrument that was lost.
func (c *child) end() error {
	c.once.Do(func() {
		c.ended = fmt.Errorf("program %q has ended", c.cmd.Path)
		if err := c.cmd.Wait(); err != nil {
			c.ended = fmt.Errorf("program %q has ended: %w", c.cmd.Path, err)
		}
		if last := c.said.String(); last != "" {
			c.ended = fmt.Errorf("%w: it said %q", c.ended, last)
		}
	})
	return c.ended
}

// Write has nowhere to go: programs are only listened to.
func (c *child) Write(b []byte) (int, error) { return len(b), nil }

// Close ends the program.
func (c *child) Close() error {
	c.cmd.Process.Kill() // an error means that it has ended already
	c.out.Close()
	c.end()
	return nil
}

// lastWords keeps the end of what a program complains of.
type lastWords struct {
	mu   sync.Mutex
	text string
}

const wordsKept = 160

func (w *lastWords) Write(b []byte) (int, error) {
	w.mu.Lock()
	defer w.mu.Unlock()
	w.text += string(b)
	if over := len(w.text) - wordsKept; over > 0 {
		w.text = w.text[over:]
	}
	return len(b), nil
}

func (w *lastWords) String() string {
	w.mu.Lock()
	defer w.mu.Unlock()
	return drivers.Printable(strings.TrimSpace(w.text))
}

// stdin is what is piped into holdfast, as a port. A read of it cannot be
// broken off, so that a goroutine of its own reads; it ends with the program.
type stdin struct {
	pieces chan []byte
	left   []byte
	closed chan struct{}
	once   sync.Once
}

func newStdin(in io.Reader) *stdin {
	s := &stdin{pieces: make(chan []byte), closed: make(chan struct{})}
	go s.feed(in)
	return s
}

func (s *stdin) feed(in io.Reader) {
	defer close(s.pieces)
	for {
		b := make([]byte, 4096)
		n, err := in.Read(b)
		if n > 0 {
			select {
			case s.pieces <- b[:n]:
			case <-s.closed:
				return
			}
		}
		if err != nil {
			return
		}
	}
}

// Read gives what was piped in; at its end, io.EOF.
func (s *stdin) Read(b []byte) (int, error) {
	if len(s.left) == 0 {
		select {
		case piece, more := <-s.pieces:
			if !more {
				return 0, io.EOF
			}
			s.left = piece
		case <-s.closed:
			return 0, os.ErrClosed
		case <-time.After(readTimeout):
			return 0, nil
		}
	}
	n := copy(b, s.left)
	s.left = s.left[n:]
	return n, nil
}

func (s *stdin) Write(b []byte) (int, error) { return len(b), nil }

func (s *stdin) Close() error {
	s.once.Do(func() { close(s.closed) })
	return nil
}

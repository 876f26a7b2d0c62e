// Package drivertest is the bench for drivers: it plays captures back in any
// pieces, adds faults, and holds every driver to the contract of package
// drivers (Conform).
//
// A capture is what went over a port, in the text form that drivers.Trace
// writes: one line per transfer, `< "12.3\r\n"` from the device, `> "?\n"` to
// it, data as a quoted Go string; lines that start with # are remarks. It
// keeps no times: drivers know none.
package drivertest

import (
	"bufio"
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"math"
	"os"
	"strconv"
	"strings"
	"sync"
	"testing"
	"time"

	"example.org/holdfast/drivers"
)

// Capture is a recorded conversation with a device.
type Capture []Step

// Step is one transfer.
type Step struct {
	Sent bool // to the device; else from it
	Data []byte
}

// Bytes gives all that the device said.
func (c Capture) Bytes() []byte {
	var b []byte
	for _, s := range c {
		if !s.Sent {
			b = append(b, s.Data...)
		}
	}
	return b
}

// asked reports whether the device speaks only when asked.
func (c Capture) asked() bool {
	for _, s := range c {
		if s.Sent {
			return true
		}
	}
	return false
}

// Stream makes a Capture of plain bytes that a device sent by itself.
func Stream(data []byte) Capture { return Capture{{Data: data}} }

// Load reads a capture for a test.
func Load(t testing.TB, path string) Capture {
	t.Helper()
	f, err := os.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	c, err := Parse(f)
	if err != nil {
		t.Fatalf("%s: %v", path, err)
	}
	return c
}

// Parse reads the text form of a capture.
func Parse(r io.Reader) (Capture, error) {
	var c Capture
	lines := bufio.NewScanner(r)
	lines.Buffer(nil, 1<<20)
	for n := 1; lines.Scan(); n++ {
		text := strings.TrimSpace(lines.Text())
		if text == "" || text[0] == '#' {
			continue
		}
		direction, quoted, _ := strings.Cut(text, " ")
		data, err := strconv.Unquote(quoted)
		if err != nil || direction != "<" && direction != ">" {
			return nil, fmt.Errorf("line %d is neither `< \"...\"` nor `> \"...\"`: %q", n, text)
		}
		c = append(c, Step{Sent: direction == ">", Data: []byte(data)})
	}
	if err := lines.Err(); err != nil {
		return nil, err
	}
	if len(c) == 0 {
		return nil, fmt.Errorf("capture is empty")
	}
	return c, nil
}

// Faults says how a Port misbehaves.
type Faults struct {
	Piece    func(left int) int // size of the next read, given what is there; nil = all
	Timeouts bool               // (0, nil) before every read that gives data
	FailAt   int                // the device is gone after this many bytes; 0 = never
	Err      error              // what reads return then; nil = io.EOF, also at the end of the capture
	Delay    time.Duration      // before each read returns
	Spoilt   bool               // answers are wrong: a driver that asks again does right
	Hold     bool               // at the end of the capture the device is silent and stays
}

// Port plays a capture back. What the driver writes is checked against what
// was sent in the capture; a reply comes only after its question.
type Port struct {
	faults Faults

	mu       sync.Mutex
	steps    Capture
	given    int // bytes so far
	waited   bool
	mismatch error
	closed   chan struct{}
	once     sync.Once
}

// Play makes a Port of a capture.
func Play(c Capture, f Faults) *Port {
	if f.Err == nil {
		f.Err = io.EOF
	}
	p := &Port{faults: f, closed: make(chan struct{})}
	for _, s := range c {
		p.steps = append(p.steps, Step{s.Sent, bytes.Clone(s.Data)})
	}
	return p
}

// Mismatch tells what the driver sent that the capture does not have.
func (p *Port) Mismatch() error {
	p.mu.Lock()
	defer p.mu.Unlock()
	return p.mismatch
}

// silence is how long a Port without data waits before it returns (0, nil).
const silence = 5 * time.Millisecond

// silence is shorter where a driver waits in vain, again and again.
func (f Faults) silence() time.Duration {
	if f.Spoilt {
		return silence / 50
	}
	return silence
}

func (p *Port) Read(b []byte) (int, error) {
	if p.faults.Delay > 0 {
		time.Sleep(p.faults.Delay)
	}
	n, err := p.read(b)
	if n == 0 && err == nil {
		select {
		case <-p.closed:
			return 0, os.ErrClosed
		case <-time.After(p.faults.silence()):
		}
	}
	return n, err
}

func (p *Port) read(b []byte) (int, error) {
	p.mu.Lock()
	defer p.mu.Unlock()
	select {
	case <-p.closed:
		return 0, os.ErrClosed
	default:
	}
	for len(p.steps) > 0 && len(p.steps[0].Data) == 0 {
		p.steps = p.steps[1:]
	}
	left := 0
	if len(p.steps) > 0 && !p.steps[0].Sent {
		left = len(p.steps[0].Data)
	}
	switch {
	case p.faults.FailAt > 0 && p.given >= p.faults.FailAt:
		return 0, p.faults.Err
	case len(p.steps) == 0 && !p.faults.Hold:
		return 0, p.faults.Err
	case left == 0:
		return 0, nil
	case p.faults.Timeouts && !p.waited:
		p.waited = true
		return 0, nil
	}
	p.waited = false
	n := min(left, len(b))
	if p.faults.Piece != nil {
		n = min(n, max(1, p.faults.Piece(left)))
	}
	if p.faults.FailAt > 0 {
		n = min(n, p.faults.FailAt-p.given)
	}
	copy(b, p.steps[0].Data[:n])
	p.steps[0].Data = p.steps[0].Data[n:]
	p.given += n
	return n, nil
}

func (p *Port) Write(b []byte) (int, error) {
	p.mu.Lock()
	defer p.mu.Unlock()
	for i, c := range b {
		for len(p.steps) > 0 && len(p.steps[0].Data) == 0 {
			p.steps = p.steps[1:]
		}
		if len(p.steps) == 0 || !p.steps[0].Sent || p.steps[0].Data[0] != c {
			p.mismatch = fmt.Errorf("driver sent %q, which the capture does not have here", b[i:])
			return i, p.mismatch
		}
		p.steps[0].Data = p.steps[0].Data[1:]
	}
	return len(b), nil
}

// Close ends reads in flight, as a serial port does.
func (p *Port) Close() error {
	p.once.Do(func() { close(p.closed) })
	return nil
}

// maxReadings bounds what one playback can give, so that a driver that
// repeats itself fails a test and does not hang it.
const maxReadings = 10000

var errEndless = errors.New("more readings than any capture gives")

// Readings reads a source until it fails, and gives what it said and the error.
func Readings(ctx context.Context, src drivers.Source) ([]drivers.Reading, error) {
	var all []drivers.Reading
	for len(all) < maxReadings {
		r, err := src.Read(ctx)
		if err != nil {
			return all, err
		}
		all = append(all, r)
	}
	return all, errEndless
}

// Good gives the readings without doubt.
func Good(all []drivers.Reading) []drivers.Reading {
	var good []drivers.Reading
	for _, r := range all {
		if r.Doubt == "" {
			good = append(good, r)
		}
	}
	return good
}

// Same reports whether two readings say the same; NaN equals NaN.
func Same(a, b drivers.Reading) bool {
	eq := func(x, y float64) bool { return x == y || math.IsNaN(x) && math.IsNaN(y) }
	return eq(a.Pressure, b.Pressure) && a.Ref == b.Ref && eq(float64(a.Ambient), float64(b.Ambient)) &&
		eq(float64(a.Section), float64(b.Section)) && eq(float64(a.Barometer), float64(b.Barometer)) &&
		eq(a.Elapsed, b.Elapsed) && a.Step == b.Step && a.Raw == b.Raw && a.Doubt == b.Doubt
}

// Describe writes a reading in one line, for messages of tests.
func Describe(r drivers.Reading) string {
	return fmt.Sprintf("{p=%v ref=%d ambient=%v section=%v baro=%v elapsed=%v raw=%q doubt=%q}",
		r.Pressure, r.Ref, r.Ambient, r.Section, r.Barometer, r.Elapsed, r.Raw, r.Doubt)
}

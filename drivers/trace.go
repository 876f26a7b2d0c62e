package drivers

import (
	"fmt"
	"io"
	"sync"
)

// Trace passes a port through and writes down what went over it, one quoted
// line per transfer: `< "12.3\r\n"` came from the device, `> "..."` was sent
// to it. Such a capture is what drivertest plays back. A writer that fails ends
// the writing, not the reading.
func Trace(port io.ReadWriteCloser, w io.Writer) io.ReadWriteCloser {
	return &tracer{port: port, w: w}
}

type tracer struct {
	port io.ReadWriteCloser
	mu   sync.Mutex // guards the fields below; reads and writes come from two goroutines
	w    io.Writer
	dead bool
}

func (t *tracer) Read(p []byte) (int, error) {
	n, err := t.port.Read(p)
	t.note('<', p[:n])
	return n, err
}

func (t *tracer) Write(p []byte) (int, error) {
	n, err := t.port.Write(p)
	t.note('>', p[:n])
	return n, err
}

func (t *tracer) Close() error { return t.port.Close() }

func (t *tracer) note(direction rune, data []byte) {
	if len(data) == 0 {
		return
	}
	t.mu.Lock()
	defer t.mu.Unlock()
	if t.dead {
		return
	}
	if _, err := fmt.Fprintf(t.w, "%c %q\n", direction, data); err != nil {
		t.dead = true
	}
}

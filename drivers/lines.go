package drivers

import (
	"context"
	"io"
)

// MaxLine is the longest line that is kept, in bytes. Devices of this kind
// print some ten characters per field; a stream without line ends is noise.
const MaxLine = 512

// Lines cuts what a port says into lines. CR, LF and CRLF each end a line, and
// empty lines are no lines. It is for one goroutine.
type Lines struct {
	port   io.Reader
	chunk  [256]byte
	unread []byte // of chunk
	buf    []byte // the present line so far
	synced bool   // a line end was seen: what follows is a whole line
	long   bool   // the present line is longer than MaxLine; what is over is dropped
}

// Line is a line as it came, without its end.
type Line struct {
	Text string
	Long bool // cut off at 512 bytes
}

// NewLines reads a port that was talking before it was opened: everything up to
// the first line end is dropped, for that line may have begun earlier.
func NewLines(port io.Reader) *Lines { return &Lines{port: port} }

// NewWholeLines reads from the beginning of what is said, as of a program just started.
func NewWholeLines(port io.Reader) *Lines { return &Lines{port: port, synced: true} }

// Next waits for the next line. It returns between two reads of the port when
// the context has ended, and with the port's error when that fails.
func (l *Lines) Next(ctx context.Context) (Line, error) {
	for {
		if line, ok := l.take(); ok {
			return line, nil
		}
		if err := ctx.Err(); err != nil {
			return Line{}, err
		}
		if err := l.fill(); err != nil {
			return Line{}, err
		}
	}
}

// Poll reads the port at most once; ok = that completed a line.
func (l *Lines) Poll() (line Line, ok bool, err error) {
	if line, ok = l.take(); ok {
		return line, true, nil
	}
	if err := l.fill(); err != nil {
		return Line{}, false, err
	}
	line, ok = l.take()
	return line, ok, nil
}

// Forget drops what was read so far; the next byte begins a line.
func (l *Lines) Forget() { l.unread, l.buf, l.long, l.synced = nil, l.buf[:0], false, true }

func (l *Lines) fill() error {
	n, err := l.port.Read(l.chunk[:])
	l.unread = l.chunk[:n]
	if n > 0 {
		return nil // an error comes again with the next read
	}
	return err
}

// take eats what was read up to and including the end of a line that holds something.
func (l *Lines) take() (Line, bool) {
	for i, b := range l.unread {
		if b == '\n' || b == '\r' {
			if line, ok := l.end(); ok {
				l.unread = l.unread[i+1:]
				return line, true
			}
			continue
		}
		if len(l.buf) == MaxLine {
			l.long = true
			continue
		}
		l.buf = append(l.buf, b)
	}
	l.unread = nil
	return Line{}, false
}

func (l *Lines) end() (Line, bool) {
	line := Line{Text: string(l.buf), Long: l.long}
	complete := l.synced && line.Text != ""
	l.buf, l.synced, l.long = l.buf[:0], true, false
	return line, complete
}

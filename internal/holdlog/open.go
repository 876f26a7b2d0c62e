package holdlog

import (
	"bufio"
	"bytes"
	"errors"
	"fmt"
	"io"
	"os"
)

// Stream gives the records of a hold in order, whatever file they come from.
// Next gives io.EOF at the end; Integrity is complete then.
type Stream interface {
	Next() (Record, error)
	Integrity() Integrity
	Close() error
}

// Options says how to read a file.
type Options struct {
	Verify bool // compare the fingerprints of a log
	CSV    ImportOptions
}

// Open opens the file at path as a log or as CSV, whichever its content is.
func Open(path string, o Options) (Stream, error) {
	f, err := os.Open(path)
	if err != nil {
		return nil, err // it names the path
	}
	s, err := NewStream(f, o)
	if err != nil {
		f.Close()
		return nil, fmt.Errorf("%q: %w", path, err)
	}
	return fileStream{s, f}, nil
}

type fileStream struct {
	Stream
	f *os.File
}

func (s fileStream) Close() error { return errors.Join(s.Stream.Close(), s.f.Close()) }

// NewStream reads r as a log or as CSV, whichever its first bytes are. The
// caller closes r.
func NewStream(r io.Reader, o Options) (Stream, error) {
	b := bufio.NewReaderSize(r, 4<<10)
	head, err := b.Peek(1 << 10)
	if err != nil && !errors.Is(err, io.EOF) {
		return nil, fmt.Errorf("reading: %w", err)
	}
	head = bytes.TrimLeft(withoutBOM(head), " \t\r\n")
	switch {
	case len(head) == 0:
		return nil, fmt.Errorf("the file is empty: %w", ErrEmpty)
	case head[0] == '{':
		l := NewReader(b)
		if o.Verify {
			l.Verify()
		}
		return l, nil
	case bytes.HasPrefix(head, []byte("\xff\xfe")), bytes.HasPrefix(head, []byte("\xfe\xff")):
		return nil, fmt.Errorf("text in UTF-16: %w; save it as CSV in UTF-8", ErrNotLog)
	case bytes.IndexByte(head, 0) >= 0 || bytes.Contains(head, []byte(`"k":"`)):
		return nil, notLog(head)
	}
	c, err := ImportCSV(b, o.CSV)
	if err != nil {
		return nil, err
	}
	return c, nil
}

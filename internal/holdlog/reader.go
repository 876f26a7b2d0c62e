package holdlog

import (
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"strings"
)

// The reasons why a file cannot be read at all. What stands after them in the message says what to do.
var (
	// ErrVersion: the log was written in another version of the format.
	ErrVersion = errors.New("another version of the log format")
	// ErrNotLog: the file is no hold log.
	ErrNotLog = errors.New("not a hold log")
	// ErrEmpty: the file holds nothing, or not one whole line.
	ErrEmpty = errors.New("nothing recorded")
)

// utf8BOM is what some editors and spreadsheets put before a text.
const utf8BOM = "\xef\xbb\xbf"

func withoutBOM(b []byte) []byte {
	b, _ = cutPrefix(b, utf8BOM)
	return b
}

// Reader reads a hold log line by line, in constant memory. A line that cannot
// be read becomes a KindReject record with the times of the line before it, and
// reading goes on. It gives the records as they stand, even where their time
// goes backwards; Integrity counts those.
type Reader struct {
	lines  *lineReader
	state  Integrity
	failed error
	last   Record // only its times are used
}

// NewReader reads a hold log from r.
func NewReader(r io.Reader) *Reader { return &Reader{lines: newLineReader(r)} }

// Verify makes the Reader compute the fingerprints and compare them, which
// costs about as much as the reading. Call it before the first Next.
func (r *Reader) Verify() *Reader {
	r.lines.sum = sha256.New()
	return r
}

// Next gives the next record; io.EOF at the end of the log. The first one is the
// header: where it is missing the error is ErrVersion, ErrNotLog or ErrEmpty.
func (r *Reader) Next() (Record, error) {
	if r.failed != nil {
		return Record{}, r.failed
	}
	line, end, err := r.lines.next()
	if err == nil && end == endFile {
		err = r.torn(line)
	}
	if err == nil && r.lines.no == 1 {
		line, err = headerLine(line, end)
	}
	if err != nil {
		return Record{}, r.fail(err)
	}
	var rec Record
	why := r.decode(line, end, &rec)
	if why != nil && r.lines.no == 1 {
		return Record{}, r.fail(fmt.Errorf("the header cannot be read: %w: %w; the file is damaged in its first line", why, ErrNotLog))
	}
	if why != nil {
		return r.damaged(line, why), nil
	}
	r.note(&rec)
	return rec, nil
}

// fail keeps the error that ends the reading.
func (r *Reader) fail(err error) error {
	switch {
	case err == io.EOF && r.lines.no == 0:
		err = fmt.Errorf("the file is empty: %w", ErrEmpty)
	case err != io.EOF && r.lines.err != nil && err == r.lines.err:
		err = fmt.Errorf("reading after line %d: %w", r.lines.no, err)
	}
	r.failed = err
	return err
}

// torn notes what stands after the last newline and ends the reading.
func (r *Reader) torn(tail []byte) error {
	if r.lines.no == 1 {
		const begin = `{"k":"hdr"`
		if n := min(len(tail), len(begin)); string(tail[:n]) != begin[:n] {
			return notLog(tail)
		}
		return fmt.Errorf("the first line has no end: %w", ErrEmpty)
	}
	r.state.Torn = r.lines.no
	return io.EOF
}

// headerLine says what is wrong where the first line is no header that can be read.
func headerLine(line []byte, end lineEnd) ([]byte, error) {
	line = withoutBOM(line)
	version, ok := versionOf(line)
	switch {
	case !ok || end != endNewline:
		return nil, notLog(line)
	case version != Version:
		return nil, fmt.Errorf("version %d, this program reads version %d: %w; use the program that wrote it to export CSV", version, Version, ErrVersion)
	}
	return line, nil
}

func notLog(line []byte) error {
	return fmt.Errorf("first line begins %q: %w; give a log written by holdfast, or CSV with a header row", excerpt(line, 24), ErrNotLog)
}

func (r *Reader) decode(line []byte, end lineEnd, rec *Record) error {
	if end == endTooLong {
		return fmt.Errorf("longer than %d bytes", maxLine)
	}
	if err := decodeLine(line, rec); err != nil {
		return err
	}
	if rec.Kind == KindHeader && r.lines.no > 1 {
		return errors.New("a second header")
	}
	return nil
}

func (r *Reader) damaged(line []byte, why error) Record {
	r.state.Damaged++
	r.state.alter(r.lines.no)
	return Record{
		Kind: KindReject, Wall: r.last.Wall, Elapsed: r.last.Elapsed,
		Text: excerpt(line, 120),
		Why:  fmt.Sprintf("damaged line %d: %v", r.lines.no, why),
	}
}

// excerpt gives the first n bytes as valid UTF-8.
func excerpt(b []byte, n int) string {
	if len(b) > n {
		b = b[:n]
	}
	return strings.ToValidUTF8(string(b), "\uFFFD")
}

// note keeps what Integrity tells of a record.
func (r *Reader) note(rec *Record) {
	if rec.Wall == impliedWall {
		rec.Wall, _ = times{r.last.Wall, r.last.Elapsed}.wallAt(rec.Elapsed)
	}
	if rec.Elapsed < r.last.Elapsed && rec.Kind != KindCheck {
		if r.state.Backwards++; r.state.Backwards == 1 {
			r.state.BackwardsLine = r.lines.no
		}
	}
	r.last.Wall, r.last.Elapsed = rec.Wall, rec.Elapsed
	r.state.Lines = r.lines.no
	switch {
	case rec.Kind == KindEvent && rec.Event.Kind == EventContinued:
		r.state.Continued = r.lines.no
	case rec.Kind == KindCheck:
		r.check(&rec.Check)
	}
}

func (r *Reader) check(c *Check) {
	if r.lines.sum == nil {
		return
	}
	if hex.EncodeToString(r.lines.sumBefore()) != c.SHA256 {
		r.state.alter(max(1, r.state.Checked)) // the line of the last fingerprint is itself covered by this one only
		if r.state.AlteredBefore == 0 {
			r.state.AlteredBefore = r.lines.no
		}
		return
	}
	r.state.Checked = r.lines.no
	r.state.SHA256 = c.SHA256
}

// Integrity says in what state the log is, as far as it was read.
func (r *Reader) Integrity() Integrity { return r.state }

// Close does nothing; it makes a Reader a Stream.
func (r *Reader) Close() error { return nil }

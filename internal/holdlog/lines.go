package holdlog

import (
	"bytes"
	"hash"
	"io"
)

// maxLine is the longest line read or written, so that a file without newlines cannot take all memory.
const maxLine = 1 << 20

// lineEnd says how a line ended.
type lineEnd uint8

const (
	endNewline lineEnd = iota // as it should
	endFile                   // the file ended before the newline
	endTooLong                // longer than maxLine; only its beginning is given
)

// lineReader cuts a stream into lines and can hash it on the way.
type lineReader struct {
	src        io.Reader
	buf        []byte
	start, end int   // of what is read from src but not yet given out
	err        error // of src, once met
	no         int   // number of the last line given out, from 1
	whole      int64 // bytes of src up to and with the last newline given out
	before     int   // index in buf where the last line began

	sum    hash.Hash // nil = not wanted
	hashed int       // buf[:hashed] is in sum
}

func newLineReader(src io.Reader) *lineReader {
	return &lineReader{src: src, buf: make([]byte, leastRead)}
}

// A reading begins small, for those who want the first line alone, and grows.
const (
	leastRead = 4 << 10
	mostRead  = 128 << 10
)

// next gives the next line without its newline; it is valid until the next call.
func (l *lineReader) next() ([]byte, lineEnd, error) {
	scanned := 0
	for {
		if i := bytes.IndexByte(l.buf[l.start+scanned:l.end], '\n'); i >= 0 {
			n := scanned + i
			l.whole += int64(n + 1)
			return l.take(n + 1)[:n], endNewline, nil
		}
		scanned = l.end - l.start
		switch {
		case scanned > maxLine:
			return l.skipLong()
		case l.err == io.EOF && scanned > 0:
			return l.take(scanned), endFile, nil
		case l.err != nil:
			return nil, endFile, l.err
		}
		l.fill()
	}
}

func (l *lineReader) take(n int) []byte {
	l.before = l.start
	l.start += n
	l.no++
	return l.buf[l.before:l.start]
}

// skipLong passes over a line longer than maxLine and gives its first bytes.
func (l *lineReader) skipLong() ([]byte, lineEnd, error) {
	const kept = 200
	head := bytes.Clone(l.buf[l.start : l.start+kept])
	l.no++
	skipped := int64(0)
	for {
		if i := bytes.IndexByte(l.buf[l.start:l.end], '\n'); i >= 0 {
			l.start += i + 1
			l.before = l.start
			l.whole += skipped + int64(i+1)
			return head, endTooLong, nil
		}
		skipped += int64(l.end - l.start)
		l.start = l.end
		switch l.err {
		case nil:
			l.fill()
		case io.EOF:
			return head, endFile, nil
		default:
			return nil, endFile, l.err
		}
	}
}

// fill makes room and reads once more.
func (l *lineReader) fill() {
	l.hashTo(l.start)
	if l.start > 0 {
		l.end = copy(l.buf, l.buf[l.start:l.end])
		l.start, l.before, l.hashed = 0, 0, 0
	}
	if l.end == len(l.buf) || l.no > 0 && len(l.buf) < mostRead {
		l.buf = append(l.buf, make([]byte, len(l.buf))...)
	}
	for range 100 { // as bufio does: a source that never delivers is broken
		n, err := l.src.Read(l.buf[l.end:])
		l.end += n
		if err != nil {
			l.err = err
			return
		}
		if n > 0 {
			return
		}
	}
	l.err = io.ErrNoProgress
}

func (l *lineReader) hashTo(i int) {
	if l.sum != nil && i > l.hashed {
		l.sum.Write(l.buf[l.hashed:i])
		l.hashed = i
	}
}

// sumBefore gives the hash of every byte before the last line given out.
func (l *lineReader) sumBefore() []byte {
	l.hashTo(l.before)
	return l.sum.Sum(nil)
}

package line

// maxLine is the longest line that is kept, in bytes. Devices of this kind
// print some ten characters per field; a stream without line ends is noise.
const maxLine = 512

// splitter finds lines in a stream that arrives in any pieces. CR, LF and CRLF
// each end a line, and empty lines are no lines. The zero value drops
// everything up to the first line end, for that line may have begun earlier.
type splitter struct {
	buf    []byte // the present line so far
	synced bool   // a line end was seen: what follows is a whole line
	long   bool   // the present line is longer than maxLine; what is over is dropped
}

// rawLine is a line as it came, without its end.
type rawLine struct {
	text string
	long bool // cut off at maxLine
}

// take eats data up to and including a line end and gives what is left of it;
// complete says that a line came out. Without a line end it eats all of data.
func (s *splitter) take(data []byte) (line rawLine, rest []byte, complete bool) {
	for i, b := range data {
		if b == '\n' || b == '\r' {
			line, complete = s.end()
			return line, data[i+1:], complete
		}
		if len(s.buf) == maxLine {
			s.long = true
			continue
		}
		s.buf = append(s.buf, b)
	}
	return rawLine{}, nil, false
}

func (s *splitter) end() (rawLine, bool) {
	line := rawLine{text: string(s.buf), long: s.long}
	complete := s.synced && line.text != ""
	s.buf, s.synced, s.long = s.buf[:0], true, false
	return line, complete
}

package holdlog

import (
	"bytes"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"strconv"
	"unicode/utf8"

	"example.org/holdfast/internal/units"
)

// kindNames are the values of "k", by Kind.
var kindNames = [...]string{
	KindHeader:  "hdr",
	KindSample:  "s",
	KindReject:  "bad",
	KindMark:    "mark",
	KindEvent:   "ev",
	KindCheck:   "ck",
	KindVerdict: "verdict",
}

// String gives the value of "k" in the file.
func (k Kind) String() string {
	if k == 0 || int(k) >= len(kindNames) {
		return "kind " + strconv.Itoa(int(k))
	}
	return kindNames[k]
}

// line is every key a line may have, except those of samples, which are written by appendSample.
type line struct {
	Kind    string    `json:"k"`
	Wall    *int64    `json:"t_ms"`
	Elapsed *float64  `json:"e_s"`
	Event   EventKind `json:"ev,omitempty"`
	Seconds float64   `json:"for_s,omitempty"`
	Device  string    `json:"device,omitempty"`
	Text    string    `json:"text,omitempty"`
	TextHex string    `json:"text_hex,omitempty"`
	Why     string    `json:"why,omitempty"`
	SHA256  string    `json:"sha256,omitempty"`
	Samples int       `json:"n,omitempty"`
	Header  *Header   `json:"hdr,omitempty"`
}

// AppendLine appends r to dst as one line of the format, with its newline. In a
// sample, values that are not finite are left out; anywhere else they are an error.
func AppendLine(dst []byte, r Record) ([]byte, error) {
	return appendAfter(dst, r, times{})
}

// appendAfter is AppendLine where the line follows one of the times before: a
// sample whose wall time is implied by them does without.
func appendAfter(dst []byte, r Record, before times) ([]byte, error) {
	if math.IsNaN(r.Elapsed) || math.IsInf(r.Elapsed, 0) {
		return dst, fmt.Errorf("elapsed time of a %s record is %v", r.Kind, r.Elapsed)
	}
	if r.Kind == KindSample {
		wall, known := before.wallAt(r.Elapsed)
		return appendSample(dst, &r, !known || wall != r.Wall), nil
	}
	l, err := lineOf(&r)
	if err != nil {
		return dst, err
	}
	buf := bytes.NewBuffer(dst)
	enc := json.NewEncoder(buf)
	enc.SetEscapeHTML(false)
	if err := enc.Encode(l); err != nil {
		return dst, fmt.Errorf("%s record cannot be written: %w", r.Kind, err)
	}
	if n := buf.Len() - len(dst); n > maxLine {
		return dst, fmt.Errorf("%s record of %d bytes is longer than a line may be (%d)", r.Kind, n, maxLine)
	}
	return buf.Bytes(), nil
}

func lineOf(r *Record) (*line, error) {
	l := &line{Kind: r.Kind.String(), Wall: &r.Wall, Elapsed: &r.Elapsed}
	switch r.Kind {
	case KindHeader:
		if r.Header == nil {
			return nil, errors.New("header record without a header")
		}
		l.Header = r.Header
	case KindReject, KindMark, KindVerdict:
		l.Text, l.Why, l.Samples = r.Text, r.Why, r.Count
	case KindEvent:
		l.Event, l.Seconds, l.Device, l.Text = r.Event.Kind, r.Event.Seconds, r.Event.Device, r.Event.Text
		l.Header = r.Header
	case KindCheck:
		l.SHA256, l.Samples = r.Check.SHA256, r.Check.Samples
	default:
		return nil, fmt.Errorf("record of unknown kind %d", r.Kind)
	}
	if !utf8.ValidString(l.Text) {
		l.TextHex, l.Text = hex.EncodeToString([]byte(l.Text)), ""
	}
	return l, nil
}

func appendSample(dst []byte, r *Record, withWall bool) []byte {
	s := &r.Sample
	dst = append(dst, `{"k":"s"`...)
	if withWall {
		dst = append(dst, `,"t_ms":`...)
		dst = strconv.AppendInt(dst, r.Wall, 10)
	}
	dst = appendKey(dst, "e_s", r.Elapsed)
	key := "pg_pa"
	if s.Ref == units.AbsoluteRef {
		key = "p_pa"
	}
	dst = appendKey(dst, key, s.Pressure)
	dst = appendKey(dst, "ta_k", float64(s.Ambient))
	dst = appendKey(dst, "ts_k", float64(s.Section))
	dst = appendKey(dst, "pb_pa", float64(s.Barometer))
	if s.Step != 0 {
		dst = appendKey(dst, "step_pa", float64(s.Step))
	}
	if s.Skew != 0 {
		dst = appendKey(dst, "skew_s", s.Skew)
	}
	if s.Device != 0 {
		dst = appendKey(dst, "d", float64(s.Device))
	}
	if raw := clip(s.Raw); raw != "" {
		if utf8.ValidString(raw) {
			dst = append(dst, `,"raw":`...)
			dst = appendString(dst, raw)
		} else {
			dst = append(dst, `,"raw_hex":"`...)
			dst = hex.AppendEncode(dst, []byte(raw))
			dst = append(dst, '"')
		}
	}
	return append(dst, '}', '\n')
}

// maxRaw keeps a line with every byte of raw escaped below maxLine.
const maxRaw = 64 << 10

// clip cuts what a device said to a length that always fits a line.
func clip(raw string) string {
	if len(raw) > maxRaw {
		return raw[:maxRaw]
	}
	return raw
}

// appendKey appends one number under its key, or nothing where v is not finite.
func appendKey(dst []byte, key string, v float64) []byte {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return dst
	}
	dst = append(dst, ',', '"')
	dst = append(dst, key...)
	dst = append(dst, '"', ':')
	return appendNumber(dst, v)
}

// appendNumber writes v as the shortest decimal that reads back as v, without
// an exponent unless it would run to many zeros.
func appendNumber(dst []byte, v float64) []byte {
	format := byte('f')
	if a := math.Abs(v); a != 0 && (a < 1e-6 || a >= 1e21) {
		format = 'e'
	}
	return strconv.AppendFloat(dst, v, format, -1, 64)
}

// appendString writes valid UTF-8 as a JSON string.
func appendString(dst []byte, s string) []byte {
	const digits = "0123456789abcdef"
	dst = append(dst, '"')
	for i := range len(s) {
		switch c := s[i]; {
		case c == '"' || c == '\\':
			dst = append(dst, '\\', c)
		case c < ' ':
			dst = append(dst, '\\', 'u', '0', '0', digits[c>>4], digits[c&15])
		default:
			dst = append(dst, c)
		}
	}
	return append(dst, '"')
}

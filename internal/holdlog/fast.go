package holdlog

import (
	"bytes"
	"strconv"

	"example.org/holdfast/internal/units"
)

// fastSample reads a sample line as the Writer writes it, without allocating.
// It says false for anything else, damaged or merely laid out differently: the
// general decoder has the last word.
func fastSample(b []byte, r *Record) bool {
	b, ok := cutPrefix(b, `{"k":"s"`)
	if !ok {
		return false
	}
	var n int
	r.Wall = impliedWall
	if b, ok = cutPrefix(b, `,"t_ms":`); ok {
		if r.Wall, n = scanInt(b); n == 0 {
			return false
		}
		b = b[n:]
	}
	if b, ok = cutPrefix(b, `,"e_s":`); !ok {
		return false
	}
	if r.Elapsed, n = scanNumber(b); n == 0 {
		return false
	}
	r.Kind, r.Sample = KindSample, NoSample()
	b = b[n:]
	for len(b) > 1 {
		if b, ok = fastField(b, &r.Sample); !ok {
			return false
		}
	}
	return len(b) == 1 && b[0] == '}'
}

func cutPrefix(b []byte, prefix string) ([]byte, bool) {
	if len(b) < len(prefix) || string(b[:len(prefix)]) != prefix {
		return b, false
	}
	return b[len(prefix):], true
}

// fastField reads one `,"key":value` off the front of b into s.
func fastField(b []byte, s *Sample) ([]byte, bool) {
	b, ok := cutPrefix(b, `,"`)
	end := bytes.IndexByte(b, '"')
	if !ok || end < 0 {
		return nil, false
	}
	key := b[:end]
	if b, ok = cutPrefix(b[end:], `":`); !ok {
		return nil, false
	}
	if string(key) == "raw" {
		return fastRaw(b, s)
	}
	v, n := scanNumber(b)
	if n == 0 || !s.setField(key, v) {
		return nil, false
	}
	return b[n:], true
}

// setField gives the field of a key its number. It says false where that is not plain.
func (s *Sample) setField(key []byte, v float64) bool {
	switch string(key) {
	case "p_pa", "pg_pa":
		if s.Pressure == s.Pressure { // both or twice: not ours to decide
			return false
		}
		s.Pressure = v
		if len(key) == len("p_pa") {
			s.Ref = units.AbsoluteRef
		}
	case "ta_k":
		s.Ambient = units.Temperature(v)
	case "ts_k":
		s.Section = units.Temperature(v)
	case "pb_pa":
		s.Barometer = units.Absolute(v)
	case "step_pa":
		s.Step = units.PressureDiff(v)
	case "skew_s":
		s.Skew = v
	case "d":
		s.Device = uint8(v)
		return float64(s.Device) == v
	default:
		return false
	}
	return true
}

// fastRaw reads a JSON string of plain ASCII without escapes.
func fastRaw(b []byte, s *Sample) ([]byte, bool) {
	if len(b) == 0 || b[0] != '"' {
		return nil, false
	}
	for i, c := range b[1:] {
		switch {
		case c == '"':
			s.Raw = string(b[1 : 1+i])
			return b[i+2:], true
		case c == '\\' || c < ' ' || c > '~':
			return nil, false
		}
	}
	return nil, false
}

// scanInt reads a JSON integer of at most 18 digits off the front of b and says
// how many bytes it took, 0 = none.
func scanInt(b []byte) (v int64, n int) {
	i := 0
	if len(b) > 0 && b[0] == '-' {
		i = 1
	}
	first := i
	for ; i < len(b) && '0' <= b[i] && b[i] <= '9'; i++ {
		v = v*10 + int64(b[i]-'0')
	}
	if i == first || i-first > 18 || b[first] == '0' && i > first+1 {
		return 0, 0
	}
	if first == 1 {
		v = -v
	}
	return v, i
}

// exactPower10 are the powers of ten that a float64 holds exactly and that a
// 53 bit integer may be divided by with one rounding.
var exactPower10 = [...]float64{
	1e0, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10, 1e11,
	1e12, 1e13, 1e14, 1e15, 1e16, 1e17, 1e18, 1e19, 1e20, 1e21, 1e22,
}

// scanNumber reads a JSON number off the front of b and says how many bytes it
// took, 0 = none. Up to 15 digits the quotient of two exact numbers is the
// correctly rounded value (IEEE 754 division); longer ones go to strconv.
func scanNumber(b []byte) (v float64, n int) {
	i := 0
	if len(b) > 0 && b[0] == '-' {
		i = 1
	}
	first := i
	var digits uint64
	for ; i < len(b) && '0' <= b[i] && b[i] <= '9'; i++ {
		digits = digits*10 + uint64(b[i]-'0')
	}
	count, decimals := i-first, 0
	if count == 0 || b[first] == '0' && count > 1 {
		return 0, 0
	}
	if i < len(b) && b[i] == '.' {
		i++
		for ; i < len(b) && '0' <= b[i] && b[i] <= '9'; i++ {
			digits = digits*10 + uint64(b[i]-'0')
			decimals++
		}
		if decimals == 0 {
			return 0, 0
		}
	}
	if i < len(b) && b[i]|0x20 == 'e' || count+decimals > 15 {
		return slowNumber(b, i)
	}
	v = float64(digits) / exactPower10[decimals]
	if first == 1 {
		v = -v
	}
	return v, i
}

// slowNumber reads the number at the front of b whose mantissa ends at i.
func slowNumber(b []byte, i int) (v float64, n int) {
	if i < len(b) && b[i]|0x20 == 'e' {
		i++
		if i < len(b) && (b[i] == '+' || b[i] == '-') {
			i++
		}
		first := i
		for i < len(b) && '0' <= b[i] && b[i] <= '9' {
			i++
		}
		if i == first {
			return 0, 0
		}
	}
	v, err := strconv.ParseFloat(string(b[:i]), 64)
	if err != nil {
		return 0, 0
	}
	return v, i
}

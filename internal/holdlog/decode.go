package holdlog

import (
	"bytes"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"math"

	"example.org/holdfast/internal/units"
)

// sampleLine is every key of a sample line. Pointers tell absent and null from 0.
type sampleLine struct {
	Wall      *int64   `json:"t_ms"`
	Elapsed   *float64 `json:"e_s"`
	Pressure  *float64 `json:"p_pa"`
	Gauge     *float64 `json:"pg_pa"`
	Ambient   *float64 `json:"ta_k"`
	Section   *float64 `json:"ts_k"`
	Barometer *float64 `json:"pb_pa"`
	Step      float64  `json:"step_pa"`
	Skew      float64  `json:"skew_s"`
	Device    uint8    `json:"d"`
	Raw       string   `json:"raw"`
	RawHex    string   `json:"raw_hex"`
}

var (
	errNoTime    = errors.New("no t_ms or no e_s")
	errNoElapsed = errors.New("no e_s")
)

// decodeLine reads one line, without its newline, in any layout that JSON allows.
// A sample without t_ms has the wall time impliedWall.
func decodeLine(b []byte, r *Record) error {
	*r = Record{}
	if fastSample(b, r) {
		return nil
	}
	*r = Record{}
	b = bytes.Trim(b, "\x00") // left in a file by a power cut
	var l line
	if err := json.Unmarshal(b, &l); err != nil {
		return fmt.Errorf("not readable as JSON: %w", err)
	}
	if l.Kind == kindNames[KindSample] {
		return decodeSample(b, r)
	}
	if l.Wall == nil || l.Elapsed == nil {
		return errNoTime
	}
	r.Wall, r.Elapsed = *l.Wall, *l.Elapsed
	return l.fill(r)
}

// fill gives r the payload of its kind.
func (l *line) fill(r *Record) error {
	text, err := textOf(l.Text, l.TextHex)
	if err != nil {
		return err
	}
	switch l.Kind {
	case "hdr":
		if l.Header == nil {
			return errors.New("header line without hdr")
		}
		r.Kind, r.Header = KindHeader, l.Header
	case "bad":
		r.Kind, r.Text, r.Why, r.Count = KindReject, text, l.Why, l.Samples
	case "mark":
		r.Kind, r.Text = KindMark, text
	case "ev":
		r.Kind, r.Event, r.Header = KindEvent, Event{l.Event, l.Device, l.Seconds, text}, l.Header
	case "ck":
		r.Kind, r.Check = KindCheck, Check{l.SHA256, l.Samples}
	case "verdict":
		r.Kind, r.Text = KindVerdict, text
	default:
		return fmt.Errorf("unknown kind %q", l.Kind)
	}
	return nil
}

func decodeSample(b []byte, r *Record) error {
	var l sampleLine
	if err := json.Unmarshal(b, &l); err != nil {
		return fmt.Errorf("not readable as JSON: %w", err)
	}
	if l.Elapsed == nil {
		return errNoElapsed
	}
	r.Wall = impliedWall
	if l.Wall != nil {
		r.Wall = *l.Wall
	}
	if l.Pressure != nil && l.Gauge != nil {
		return errors.New("both p_pa and pg_pa")
	}
	raw, err := textOf(l.Raw, l.RawHex)
	if err != nil {
		return err
	}
	r.Kind, r.Elapsed = KindSample, *l.Elapsed
	r.Sample = Sample{
		Pressure:  orNaN(l.Gauge),
		Ambient:   units.Temperature(orNaN(l.Ambient)),
		Section:   units.Temperature(orNaN(l.Section)),
		Barometer: units.Absolute(orNaN(l.Barometer)),
		Step:      units.PressureDiff(l.Step),
		Skew:      l.Skew,
		Device:    l.Device,
		Raw:       raw,
	}
	if l.Pressure != nil {
		r.Sample.Pressure, r.Sample.Ref = *l.Pressure, units.AbsoluteRef
	}
	return nil
}

func orNaN(p *float64) float64 {
	if p == nil {
		return math.NaN()
	}
	return *p
}

func textOf(text, asHex string) (string, error) {
	if asHex == "" {
		return text, nil
	}
	b, err := hex.DecodeString(asHex)
	if err != nil {
		return "", fmt.Errorf("text in hex digits: %w", err)
	}
	return string(b), nil
}

// versionOf reads only what every version of the format has in its first line.
func versionOf(b []byte) (version int, ok bool) {
	var l struct {
		Kind   string `json:"k"`
		Header *struct {
			Version int `json:"v"`
		} `json:"hdr"`
	}
	if json.Unmarshal(b, &l) != nil || l.Kind != kindNames[KindHeader] || l.Header == nil {
		return 0, false
	}
	return l.Header.Version, true
}

// Package nmea listens to instruments that send NMEA 0183 sentences and takes
// the transducer measurements, XDR, from them:
//
//	$WIXDR,C,24.59,C,TEMP,P,1.02412,B,BARO*5E
//
// is groups of type, value, unit and name; of type P with unit B for bar or P for
// pascal, of type C with unit C for degrees Celsius. Other sentences pass by. The
// checksum is wanted. The package sends nothing.
//
// Sources: the NMEA 0183 standard is not public; form, types and units are those
// of the XDR section in "NMEA Revealed" by E. S. Raymond (revision 2.23), from
// memory; the checksum is the exclusive or of the characters between $ and *, in
// two hexadecimal digits, ibid. The sentence states the unit, so that only quantity
// and reference of a field's column count. Accuracy is the instrument's. Values
// are SI.
package nmea

import (
	"context"
	"errors"
	"fmt"
	"io"
	"math"
	"strconv"
	"strings"
	"sync/atomic"

	"example.org/holdfast/drivers"
	"example.org/holdfast/internal/units"
)

// Config says which transducers are wanted.
type Config struct {
	// Fields names them: "BARO=barometer_bar,TEMP=ambient_c"; without a name
	// the first of its type counts.
	Fields      string
	Calibration drivers.Calibration
}

// New checks the configuration and gives the driver.
func New(cfg Config) (drivers.Driver, error) {
	fields, err := drivers.ParseFields(cfg.Fields)
	if err == nil {
		err = cfg.Calibration.Check(fields)
	}
	if err != nil {
		return nil, fmt.Errorf("nmea: %w", err)
	}
	return driver{fields, cfg.Calibration}, nil
}

type driver struct {
	fields []drivers.Field
	cal    drivers.Calibration
}

func (driver) Name() string { return "nmea" }

func (d driver) Source(port io.ReadWriteCloser) drivers.Source {
	return &source{driver: d, port: port, lines: drivers.NewLines(port)}
}

// source is one opening of the port. Read is for one goroutine; Close for any.
type source struct {
	driver
	port   io.Closer
	lines  *drivers.Lines
	closed atomic.Bool
}

// Close closes the port.
func (s *source) Close() error {
	s.closed.Store(true)
	return s.port.Close()
}

// Read gives the next sentence that holds a wanted transducer, or that is spoilt.
func (s *source) Read(ctx context.Context) (drivers.Reading, error) {
	for {
		line, err := s.lines.Next(ctx)
		switch {
		case err != nil && ctx.Err() != nil:
			return drivers.Reading{}, ctx.Err()
		case err != nil && s.closed.Load():
			return drivers.Reading{}, fmt.Errorf("nmea: closed: %w", err)
		case err != nil:
			return drivers.Reading{}, fmt.Errorf("nmea: %w", err)
		}
		r, wanted, err := s.read(line)
		if err != nil {
			return drivers.Doubtful(line.Text, err.Error()), nil
		}
		if wanted {
			r.Raw = drivers.Printable(line.Text)
			return r, nil
		}
	}
}

// read makes a Reading of a sentence; wanted = it holds one of the fields. Its error is a doubt.
func (d driver) read(line drivers.Line) (r drivers.Reading, wanted bool, err error) {
	words, err := sentence(line)
	if err != nil || !strings.HasSuffix(words[0], "XDR") {
		return r, false, err
	}
	if len(words)%4 != 1 {
		return r, false, errors.New("XDR is not made of groups of four")
	}
	r = drivers.Empty()
	for _, f := range d.fields {
		if f.Skip {
			continue
		}
		group := find(words[1:], f)
		if group == nil || group[1] == "" {
			continue
		}
		si, err := value(group, f)
		if err == nil {
			err = f.Put(&r, si, d.cal)
		}
		if err != nil {
			return r, false, err
		}
		wanted = true
	}
	return r, wanted, nil
}

// sentence checks a line and cuts it at its commas; the first word is talker and type.
func sentence(line drivers.Line) ([]string, error) {
	text := strings.TrimSpace(line.Text)
	body, found := strings.CutPrefix(text, "$")
	at := strings.LastIndexByte(body, '*')
	switch {
	case line.Long || !found:
		return nil, errors.New("not an NMEA sentence: check the baud rate, 4800 for most")
	case at < 0:
		return nil, errors.New("sentence without a checksum")
	}
	want, err := strconv.ParseUint(body[at+1:], 16, 8)
	if err != nil || len(body[at+1:]) != 2 || byte(want) != checksum(body[:at]) {
		return nil, errors.New("the checksum is wrong")
	}
	return strings.Split(body[:at], ","), nil
}

func checksum(body string) byte {
	var sum byte
	for i := range len(body) {
		sum ^= body[i]
	}
	return sum
}

// find gives the group of four words that a field wants.
func find(words []string, f drivers.Field) []string {
	kind := "C"
	if q := f.Column.Quantity; q == units.PressureQuantity || q == units.BarometerQuantity {
		kind = "P"
	}
	for ; len(words) >= 4; words = words[4:] {
		if words[0] == kind && (f.Key == "" || strings.EqualFold(words[3], f.Key)) {
			return words[:4]
		}
	}
	return nil
}

// value reads a group in SI.
func value(group []string, f drivers.Field) (float64, error) {
	v, err := strconv.ParseFloat(group[1], 64)
	if err != nil || math.IsNaN(v) || math.IsInf(v, 0) {
		return 0, fmt.Errorf("%s: %q is no usable number", f.Name, group[1])
	}
	switch group[0] + group[2] {
	case "PB":
		return v * 1e5, nil
	case "PP":
		return v, nil
	case "CC":
		return float64(units.FromCelsius(v)), nil
	}
	return 0, fmt.Errorf("%s: unit %q of a transducer of type %s is not known", f.Name, group[2], group[0])
}

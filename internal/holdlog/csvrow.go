package holdlog

import (
	"bytes"
	"fmt"
	"math"
	"time"

	"example.org/holdfast/internal/units"
)

// rowParser turns the cells of a row into a sample and keeps the clock of the file.
type rowParser struct {
	columns      []column
	decimalComma bool

	started bool
	start   times     // of the first good row
	origin  time.Time // its time cell
	zone    string    // its offset
	last    times
}

// parse reads one row. What it cannot use is an error that names the column.
func (p *rowParser) parse(cells [][]byte, rec *Record) error {
	if err := p.fits(cells); err != nil {
		return err
	}
	rec.Kind, rec.Sample = KindSample, NoSample()
	rec.Elapsed = math.NaN()
	var stamp time.Time
	for i, cell := range cells[:min(len(cells), len(p.columns))] {
		col := &p.columns[i]
		if col.role == 0 {
			continue
		}
		if col.role == timeRole {
			t, err := timeCell(cell)
			if err != nil {
				return fmt.Errorf("%s: %w", col.name, err)
			}
			if stamp.IsZero() {
				stamp = t
			}
			continue
		}
		v, err := p.number(cell)
		if err != nil {
			return fmt.Errorf("%s: %w", col.name, err)
		}
		si := col.scale.SI(v)
		if math.IsInf(si, 0) {
			return fmt.Errorf("%s: %q is out of range", col.name, excerpt(cell, 40))
		}
		if si == si {
			put(rec, col, si)
		}
	}
	return p.clock(rec, stamp)
}

// fits refuses a row with more or fewer cells than the header row; empty ones at the end do not count.
func (p *rowParser) fits(cells [][]byte) error {
	n := len(cells)
	if n == len(p.columns) {
		return nil
	}
	for n > len(p.columns) && len(bytes.TrimSpace(cells[n-1])) == 0 {
		n--
	}
	switch {
	case n > len(p.columns) && !p.decimalComma:
		return fmt.Errorf("%d cells under %d titles; decimal commas need semicolons between cells", n, len(p.columns))
	case n != len(p.columns):
		return fmt.Errorf("%d cells under %d titles", n, len(p.columns))
	}
	return nil
}

// put gives a number in SI to the field of its column, unless an earlier column filled it.
func put(rec *Record, col *column, si float64) {
	s := &rec.Sample
	switch {
	case col.role == elapsedRole && rec.Elapsed != rec.Elapsed:
		rec.Elapsed = si
	case col.role == pressureRole && s.Pressure != s.Pressure:
		s.Pressure, s.Ref = si, col.scale.Ref
	case col.role == ambientRole && s.Ambient != s.Ambient:
		s.Ambient = units.Temperature(si)
	case col.role == sectionRole && s.Section != s.Section:
		s.Section = units.Temperature(si)
	case col.role == barometerRole && s.Barometer != s.Barometer:
		s.Barometer = units.Absolute(si)
	}
}

// number reads a cell; NaN = empty.
func (p *rowParser) number(cell []byte) (float64, error) {
	if v, n := scanNumber(cell); n > 0 && n == len(cell) {
		return v, nil
	}
	cell = bytes.TrimSpace(cell)
	if len(cell) == 0 || len(cell) == 3 && bytes.EqualFold(cell, []byte("nan")) {
		return math.NaN(), nil
	}
	if i := bytes.IndexByte(cell, ','); p.decimalComma && i >= 0 {
		var short [24]byte // the usual case without a detour over strings
		if n := copy(short[:], cell); n == len(cell) {
			short[i] = '.'
			if v, used := scanNumber(short[:n]); used == n {
				return v, nil
			}
		}
	}
	v, rest, err := units.ParseNumber(string(cell))
	if err != nil {
		return 0, err
	}
	if rest != "" {
		return 0, fmt.Errorf("%q is not a number", excerpt(cell, 40))
	}
	return v, nil
}

// timeCell reads RFC 3339, with a space for the T where the file has it (section
// 5.6 there allows that); the zero time = empty.
func timeCell(cell []byte) (time.Time, error) {
	s := string(bytes.TrimSpace(cell))
	if s == "" {
		return time.Time{}, nil
	}
	t, err := time.Parse(time.RFC3339, s)
	if err != nil && len(s) > 10 && s[10] == ' ' {
		t, err = time.Parse(time.RFC3339, s[:10]+"T"+s[11:])
	}
	if err != nil {
		return t, fmt.Errorf("%q is not a time as in 2026-03-04T09:00:00+02:00", excerpt(cell, 40))
	}
	return t, nil
}

// longestHold is what no hold lasts, s; a clock that was not set makes such times.
const longestHold = 366 * 24 * units.SecondsPerHour

// lastTime is beyond what any clock counts in s, 1970 included.
const lastTime = 1e10

// clock gives the row its times and refuses one that goes backwards.
func (p *rowParser) clock(rec *Record, stamp time.Time) error {
	if !stamp.IsZero() {
		rec.Wall = stamp.UnixMilli()
	}
	if rec.Elapsed != rec.Elapsed {
		switch {
		case stamp.IsZero():
			return fmt.Errorf("no time")
		case !p.started:
			p.origin, rec.Elapsed = stamp, 0
		case p.origin.IsZero():
			return fmt.Errorf("no elapsed time")
		default:
			rec.Elapsed = stamp.Sub(p.origin).Seconds()
		}
	}
	switch from := math.Abs(rec.Elapsed - p.start.elapsed); {
	case !(math.Abs(rec.Elapsed) <= lastTime):
		return fmt.Errorf("%g s is no time of a hold", rec.Elapsed)
	case p.started && from > longestHold:
		return fmt.Errorf("its time is more than a year from that of the first row")
	}
	if p.started && rec.Elapsed < p.last.elapsed {
		return fmt.Errorf("time goes backwards: %g s after %g s", rec.Elapsed, p.last.elapsed)
	}
	p.last = times{rec.Wall, rec.Elapsed}
	if !p.started {
		p.started, p.start = true, p.last
		if !stamp.IsZero() {
			p.zone = stamp.Format("-07:00")
		}
	}
	return nil
}

// reject makes the record of a row that cannot be used.
func (p *rowParser) reject(line []byte, no int, why error) Record {
	return Record{
		Kind: KindReject, Wall: p.last.wall, Elapsed: p.last.elapsed,
		Text: excerpt(line, 120), Why: fmt.Sprintf("line %d: %v", no, why),
	}
}

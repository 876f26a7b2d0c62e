package holdlog

import (
	"bufio"
	"bytes"
	"errors"
	"fmt"
	"io"
	"math"
	"time"

	"example.org/holdfast/internal/units"
)

// Dialect is how CSV is written.
type Dialect struct {
	Separator    byte // ',' or ';'
	DecimalComma bool
	BOM          bool // so that a spreadsheet takes the file for UTF-8
}

// ParseDialect reads the value of --dialect; "" is RFC 4180.
func ParseDialect(name string) (Dialect, error) {
	switch name {
	case "", "rfc4180":
		return Dialect{Separator: ','}, nil
	case "semicolon": // for spreadsheets where the comma is the decimal sign
		return Dialect{Separator: ';', DecimalComma: true, BOM: true}, nil
	}
	return Dialect{}, fmt.Errorf("dialect %q is not known; use rfc4180 or semicolon", name)
}

// Exported says what ExportCSV wrote.
type Exported struct {
	Rows    int
	Columns []string
}

// exportColumn is one column that an export may have.
type exportColumn struct {
	name   string
	has    func(*Record) bool
	append func([]byte, *Record, *time.Location) []byte
}

// ExportCSV writes the samples as CSV, a row each, with only the columns that
// occur. To know those without keeping the hold in memory it reads the stream
// twice: open is called for each pass. Lines end in CR LF (RFC 4180 section 2).
// [ImportCSV] reads the file back to the same samples, bit for bit where the
// temperatures lie between -136 and 273 degrees Celsius; the index of the
// device, its words and a changed step have no column.
func ExportCSV(w io.Writer, open func() (Stream, error), d Dialect) (Exported, error) {
	columns, err := occurring(open)
	if err != nil {
		return Exported{}, err
	}
	var done Exported
	out := bufio.NewWriterSize(w, 64<<10)
	if d.BOM {
		_, _ = out.WriteString(utf8BOM) // a bufio.Writer keeps its first error for Flush
	}
	for i, c := range columns {
		if i > 0 {
			_ = out.WriteByte(d.Separator)
		}
		_, _ = out.WriteString(c.name)
		done.Columns = append(done.Columns, c.name)
	}
	_, _ = out.WriteString("\r\n")
	zone := time.UTC
	var row []byte
	err = each(open, func(r *Record) error {
		if r.Header != nil {
			zone = zoneOf(r.Header.Zone)
		}
		if r.Kind != KindSample {
			return nil
		}
		done.Rows++
		row = d.appendRow(row[:0], columns, r, zone)
		_, err := out.Write(row)
		return err
	})
	return done, errors.Join(err, out.Flush())
}

// occurring finds the columns that are filled anywhere.
func occurring(open func() (Stream, error)) ([]exportColumn, error) {
	all := exportColumns()
	found := make([]bool, len(all))
	err := each(open, func(r *Record) error {
		if r.Kind == KindSample {
			for i := range all {
				found[i] = found[i] || all[i].has(r)
			}
		}
		return nil
	})
	found[elapsedColumn] = true
	found[absoluteColumn] = found[absoluteColumn] || !found[gaugeColumn] // CSV of a hold has a pressure column, if an empty one
	var columns []exportColumn
	for i, c := range all {
		if found[i] {
			columns = append(columns, c)
		}
	}
	return columns, err
}

// each opens a stream and calls f with every record of it.
func each(open func() (Stream, error), f func(*Record) error) (err error) {
	s, err := open()
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, s.Close()) }()
	for {
		rec, err := s.Next()
		if errors.Is(err, io.EOF) {
			return nil
		}
		if err != nil {
			return err
		}
		if err := f(&rec); err != nil {
			return err
		}
	}
}

// Places in exportColumns.
const (
	elapsedColumn  = 0
	absoluteColumn = 2
	gaugeColumn    = 3
)

func exportColumns() []exportColumn {
	number := func(name string, value func(*Record) float64) exportColumn {
		return exportColumn{
			name: name,
			has:  func(r *Record) bool { return !math.IsNaN(value(r)) },
			append: func(b []byte, r *Record, _ *time.Location) []byte {
				if v := value(r); !math.IsNaN(v) {
					b = appendNumber(b, v)
				}
				return b
			},
		}
	}
	pressure := func(ref units.Reference) func(*Record) float64 {
		return func(r *Record) float64 {
			if r.Sample.Ref != ref {
				return math.NaN()
			}
			return r.Sample.Pressure
		}
	}
	return []exportColumn{
		number("elapsed_s", func(r *Record) float64 { return r.Elapsed }),
		{"time", func(r *Record) bool { return r.Wall != 0 }, appendTime},
		number("pressure_pa_abs", pressure(units.AbsoluteRef)),
		number("pressure_pa", pressure(units.GaugeRef)),
		number("ambient_c", func(r *Record) float64 { return celsius(r.Sample.Ambient) }),
		number("section_c", func(r *Record) float64 { return celsius(r.Sample.Section) }),
		number("barometer_pa", func(r *Record) float64 { return float64(r.Sample.Barometer) }),
	}
}

func (d Dialect) appendRow(row []byte, columns []exportColumn, r *Record, zone *time.Location) []byte {
	for i, c := range columns {
		if i > 0 {
			row = append(row, d.Separator)
		}
		cell := len(row)
		row = c.append(row, r, zone)
		if d.DecimalComma && c.name != "time" {
			if dot := bytes.IndexByte(row[cell:], '.'); dot >= 0 {
				row[cell+dot] = ','
			}
		}
	}
	return append(row, '\r', '\n')
}

func appendTime(b []byte, r *Record, zone *time.Location) []byte {
	if r.Wall == 0 {
		return b
	}
	return time.UnixMilli(r.Wall).In(zone).AppendFormat(b, "2006-01-02T15:04:05.000Z07:00")
}

// zoneOf reads the offset of a header; UTC where it has none.
func zoneOf(offset string) *time.Location {
	t, err := time.Parse("Z07:00", offset)
	if err != nil {
		return time.UTC
	}
	return t.Location()
}

// celsius gives the shortest number of degrees that FromCelsius turns back into
// t exactly: 21.5, not 21.49999999999997.
func celsius(t units.Temperature) float64 {
	c := t.Celsius()
	for _, scale := range exactPower10[:10] {
		if short := math.Round(c*scale) / scale; units.FromCelsius(short) == t {
			return short
		}
	}
	return c
}

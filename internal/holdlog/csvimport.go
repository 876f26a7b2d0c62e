package holdlog

import (
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"strings"

	"example.org/holdfast/internal/units"
)

// ErrColumns: the file has no header row, or lacks a column that a hold needs.
var ErrColumns = errors.New("cannot be read as CSV of a hold")

const recognised = "recognised are elapsed_s or time (RFC 3339); pressure_ with pa_abs, kpa_abs, bar_abs, mbar_abs, psia, micron, or for gauge pa, kpa, bar, mbar, psi; " +
	`ambient_c, section_c, barometer_kpa; another name is given as --column pressure="P1 (psi)":psi`

// ColumnOverride says what a column with another name holds.
type ColumnOverride struct {
	Quantity string // time, elapsed, pressure, ambient, section or barometer
	Title    string // as in the header row
	Unit     string // as after the underscore of a recognised name; s, min or h for elapsed; "" for time
}

// ParseColumnOverride reads the value of --column: pressure="P1 (psi)":psi. The
// quotes are optional, since a shell takes them off.
func ParseColumnOverride(s string) (ColumnOverride, error) {
	quantity, rest, ok := strings.Cut(s, "=")
	title, unit := rest, ""
	if i := strings.LastIndexByte(rest, ':'); i >= 0 && !strings.HasSuffix(rest, `"`) {
		title, unit = rest[:i], rest[i+1:]
	}
	title = strings.TrimSpace(title)
	if n := len(title); n >= 2 && title[0] == '"' && title[n-1] == '"' {
		title = title[1 : n-1]
	}
	o := ColumnOverride{strings.ToLower(strings.TrimSpace(quantity)), title, strings.TrimSpace(unit)}
	if !ok || title == "" {
		return o, fmt.Errorf(`column %q is not understood; write it as pressure="P1 (psi)":psi`, s)
	}
	_, err := o.column()
	return o, err
}

// column says what the override makes of its column.
func (o ColumnOverride) column() (column, error) {
	unit := strings.ToLower(o.Unit)
	switch o.Quantity {
	case "time":
		if unit == "" {
			return column{role: timeRole, name: o.Title}, nil
		}
	case "elapsed":
		if scale, ok := map[string]float64{"": 1, "s": 1, "min": 60, "h": 3600}[unit]; ok {
			return column{role: elapsedRole, name: o.Title, scale: units.Column{Scale: scale}}, nil
		}
	default:
		c, err := units.ParseColumn(o.Quantity + "_" + unit)
		if err == nil {
			return column{role: roleOf(c), name: o.Title, scale: c}, nil
		}
		if !errors.Is(err, units.ErrNotQuantity) {
			return column{}, fmt.Errorf("column %q: %w", o.Title, err)
		}
	}
	return column{}, fmt.Errorf("column %q cannot hold %q in %q; write time, elapsed, pressure, ambient, section or barometer, and its unit", o.Title, o.Quantity, o.Unit)
}

// ImportOptions says what the file itself cannot.
type ImportOptions struct {
	Columns []ColumnOverride
	Header  Header // of the hold, as far as it is known; Version, Devices, Clock and Zone are filled in where empty
}

// role is what a column of the file holds; 0 = passed over.
type role uint8

const (
	elapsedRole role = iota + 1
	timeRole
	pressureRole
	ambientRole
	sectionRole
	barometerRole
)

func roleOf(c units.Column) role {
	switch c.Quantity {
	case units.PressureQuantity:
		return pressureRole
	case units.AmbientQuantity:
		return ambientRole
	case units.SectionQuantity:
		return sectionRole
	case units.BarometerQuantity:
		return barometerRole
	}
	return 0
}

// column is one column of the file; where it has no role the rest is empty.
type column struct {
	role  role
	name  string
	scale units.Column
}

// CSVReader reads a hold from CSV row by row, in constant memory. Its first
// record is a header made from the file and the options; a row that cannot be
// used becomes a KindReject record with its line number. Where there is no time
// column, Wall is 0.
type CSVReader struct {
	lines   *lineReader
	sep     byte
	columns []column
	cells   [][]byte // of the row at hand
	text    []byte   // of that row
	joined  []byte   // a row of several lines
	first   []Record // read ahead by ImportCSV
	row     rowParser
	failed  error
}

// ImportCSV reads the header row and the first row of r. The separator, comma or
// semicolon, is the one in the header row. A decimal comma is understood in
// either. Where several columns hold the same quantity the first cell that is not
// empty counts.
func ImportCSV(r io.Reader, opts ImportOptions) (*CSVReader, error) {
	c := &CSVReader{lines: newLineReader(r)}
	titles, err := c.titles()
	if err != nil {
		return nil, err
	}
	if c.columns, err = columnsOf(titles, opts.Columns); err != nil {
		return nil, err
	}
	c.row = rowParser{columns: c.columns, decimalComma: c.sep == ';'}
	c.first, err = []Record{{}}, nil
	for err == nil && !c.row.started { // rows before the first good one are rejects, without a time
		var rec Record
		if rec, err = c.read(); err == nil {
			c.first = append(c.first, rec)
		}
		if len(c.first) > 1000 {
			break
		}
	}
	if err != nil && !errors.Is(err, io.EOF) {
		return nil, err
	}
	c.first[0] = c.header(opts.Header)
	return c, nil
}

// titles reads the header row and finds the separator.
func (c *CSVReader) titles() ([]string, error) {
	for {
		line, end, err := c.lines.next()
		if errors.Is(err, io.EOF) {
			return nil, fmt.Errorf("no header row: %w", ErrEmpty)
		}
		if err != nil {
			return nil, err
		}
		if end == endTooLong {
			return nil, fmt.Errorf("line %d is longer than %d bytes: %w", c.lines.no, maxLine, ErrColumns)
		}
		line = bytes.TrimSpace(withoutBOM(line))
		if len(line) == 0 || len(line) == 5 && bytes.HasPrefix(line, []byte("sep=")) { // what some spreadsheets put first
			continue
		}
		c.sep = separator(line)
		if err := c.split(line); err != nil {
			return nil, fmt.Errorf("header row: %w: %w", err, ErrColumns)
		}
		titles := make([]string, len(c.cells))
		for i, cell := range c.cells {
			titles[i] = string(bytes.TrimSpace(cell))
		}
		return titles, nil
	}
}

// separator is a semicolon where the header row has one outside quotes.
func separator(line []byte) byte {
	quoted := false
	for _, b := range line {
		switch {
		case b == '"':
			quoted = !quoted
		case b == ';' && !quoted:
			return ';'
		}
	}
	return ','
}

// columnsOf gives every column of the file its role.
func columnsOf(titles []string, overrides []ColumnOverride) ([]column, error) {
	columns := make([]column, len(titles))
	var has [barometerRole + 1]bool
	for i, title := range titles {
		col, err := columnOf(title, overrides)
		if err != nil {
			return nil, fmt.Errorf("%w: %w", err, ErrColumns)
		}
		columns[i] = col
		has[col.role] = true
	}
	for _, o := range overrides {
		if !contains(titles, o.Title) {
			return nil, fmt.Errorf("no column %q among %s: %w", o.Title, seen(titles), ErrColumns)
		}
	}
	switch {
	case !has[pressureRole]:
		return nil, fmt.Errorf("no pressure column among %s: %w; %s", seen(titles), ErrColumns, recognised)
	case !has[elapsedRole] && !has[timeRole]:
		return nil, fmt.Errorf("no time column among %s: %w; %s", seen(titles), ErrColumns, recognised)
	}
	return columns, nil
}

func columnOf(title string, overrides []ColumnOverride) (column, error) {
	for _, o := range overrides {
		if strings.EqualFold(title, strings.TrimSpace(o.Title)) {
			return o.column()
		}
	}
	switch strings.ToLower(title) {
	case "elapsed_s":
		return column{role: elapsedRole, name: title, scale: units.Column{Scale: 1}}, nil
	case "time":
		return column{role: timeRole, name: title}, nil
	}
	c, err := units.ParseColumn(title)
	if errors.Is(err, units.ErrNotQuantity) {
		return column{}, nil
	}
	return column{role: roleOf(c), name: title, scale: c}, err
}

func contains(titles []string, title string) bool {
	for _, t := range titles {
		if strings.EqualFold(t, strings.TrimSpace(title)) {
			return true
		}
	}
	return false
}

// seen lists the first titles of a header row for an error.
func seen(titles []string) string {
	const most, width = 12, 30
	var b strings.Builder
	for i, t := range titles {
		if i == most {
			fmt.Fprintf(&b, " and %d more", len(titles)-most)
			break
		}
		if i > 0 {
			b.WriteString(", ")
		}
		fmt.Fprintf(&b, "%q", excerpt([]byte(t), width))
	}
	return b.String()
}

// header makes the first record.
func (c *CSVReader) header(h Header) Record {
	h.Version = Version
	if len(h.Devices) == 0 {
		var names []string
		for _, col := range c.columns {
			if col.role != 0 {
				names = append(names, col.name)
			}
		}
		h.Devices = []Device{{Name: "csv", Gives: strings.Join(names, ",")}}
	}
	if h.Zone == "" {
		h.Zone = c.row.zone
	}
	if h.Clock == "" {
		h.Clock = ClockOfFile
	}
	return Record{Kind: KindHeader, Wall: c.row.start.wall, Elapsed: c.row.start.elapsed, Header: &h}
}

// Next gives the next record; io.EOF at the end.
func (c *CSVReader) Next() (Record, error) {
	if len(c.first) > 0 {
		rec := c.first[0]
		c.first = c.first[1:]
		return rec, nil
	}
	return c.read()
}

// read gives the next row.
func (c *CSVReader) read() (Record, error) {
	for c.failed == nil {
		line, end, err := c.lines.next()
		no := c.lines.no
		switch {
		case err == io.EOF:
			c.failed = err
			continue
		case err != nil:
			c.failed = fmt.Errorf("reading after line %d: %w", no, err)
			continue
		case end == endTooLong || len(line) > maxLine:
			return c.row.reject(line, no, fmt.Errorf("longer than %d bytes", maxLine)), nil
		}
		line = bytes.TrimSuffix(line, []byte{'\r'})
		if len(line) == 0 {
			continue
		}
		var rec Record
		if err = c.split(line); err == nil {
			err = c.row.parse(c.cells, &rec)
		}
		if err != nil {
			return c.row.reject(c.text, no, err), nil
		}
		return rec, nil
	}
	return Record{}, c.failed
}

// split cuts a line into cells, by hand where nothing is quoted.
func (c *CSVReader) split(line []byte) error {
	c.cells, c.text = c.cells[:0], line
	if bytes.IndexByte(line, '"') >= 0 {
		return c.splitQuoted(line)
	}
	for {
		i := bytes.IndexByte(line, c.sep)
		if i < 0 {
			c.cells = append(c.cells, line)
			return nil
		}
		c.cells = append(c.cells, line[:i])
		line = line[i+1:]
	}
}

// splitQuoted leaves quoted cells, which may run over several lines, to encoding/csv.
func (c *CSVReader) splitQuoted(line []byte) error {
	const mostLines = 16 // one stray quote must not swallow the file
	c.joined = append(c.joined[:0], line...)
	c.text = c.joined
	for n := 1; bytes.Count(c.joined, []byte{'"'})%2 == 1; n++ {
		next, end, err := c.lines.next()
		if n == mostLines || err != nil || end == endTooLong {
			return fmt.Errorf("a quote that does not end by line %d", c.lines.no)
		}
		c.joined = append(append(c.joined, '\n'), next...)
	}
	c.text = c.joined
	r := csv.NewReader(bytes.NewReader(c.joined))
	r.Comma, r.FieldsPerRecord = rune(c.sep), -1
	row, err := r.Read()
	if err != nil {
		if parse := (*csv.ParseError)(nil); errors.As(err, &parse) {
			err = parse.Err // its line number counts from this row
		}
		return err
	}
	for _, cell := range row {
		c.cells = append(c.cells, []byte(cell))
	}
	return nil
}

// Integrity is always none: CSV has no fingerprints.
func (c *CSVReader) Integrity() Integrity { return Integrity{Lines: c.lines.no} }

// Close does nothing; it makes a CSVReader a Stream.
func (c *CSVReader) Close() error { return nil }

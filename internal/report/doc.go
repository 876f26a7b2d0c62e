// Package report writes the record of a hold, or of a whole job, for the person
// who pays for it: as text, and as one HTML file that prints on A4 and Letter
// and needs nothing from outside itself. The result comes first and in plain
// words; the figures stand with their intervals and limits; what the figures
// rest on stands in footnotes with its source. A report is a measurement, not a
// certificate, and says so.
//
// Both forms are written from one [Document], so they say the same. Texts of
// devices, marks and job files are escaped in HTML and stripped of control bytes
// in text. The package reads no file and no clock: what it prints of either is
// handed in.
package report

import (
	"fmt"
	"slices"
)

// Document is a report before it becomes text or HTML.
type Document struct {
	Title   string
	Word    string   // large, in the box of the result
	Phrase  string   // beside it
	Mood    Mood     // of the box
	Lead    []string // the result in plain words
	Parts   []Part
	Sources []string // footnotes, in the order of their numbers
	brief   bool     // without footnotes
}

// Mood is how the box of the result looks; the words say the same without it.
type Mood string

// The moods.
const (
	Good Mood = "good"
	Bad  Mood = "bad"
	Open Mood = "open"
)

// Part is a piece under one heading. What is empty is not shown.
type Part struct {
	Heading string
	Text    []string
	Chart   *Chart
	Facts   []Fact
	Table   *Table
	Items   []string // a list
	Steps   []string // a list whose order counts
	Boxes   []Box    // a list to tick
	Break   bool     // begins a page in print
}

// Fact is a name with what it is.
type Fact struct{ Name, Value string }

// Box is a line of a check list.
type Box struct {
	Sign Sign
	Text string
}

// Sign says how a line of a check list stands.
type Sign string

// The signs.
const (
	Done    Sign = "done"
	Missing Sign = "missing"
	Later   Sign = "later"
)

// Drawn is the sign as a box, in both forms of the report.
func (s Sign) Drawn() string {
	switch s {
	case Done:
		return "[x]"
	case Missing:
		return "[!]"
	}
	return "[ ]"
}

// Table has a row of headings.
type Table struct {
	Head   []string
	Rows   [][]string
	Narrow bool // the first column is never broken
}

// cite adds a footnote, or finds it, and gives its mark to be put behind a word.
func (d *Document) cite(source string) string {
	if d.brief {
		return ""
	}
	i := slices.Index(d.Sources, source)
	if i < 0 {
		i = len(d.Sources)
		d.Sources = append(d.Sources, source)
	}
	return fmt.Sprintf(" [%d]", i+1)
}

// add puts a part at the end, if there is anything in it.
func (d *Document) add(p Part) {
	if len(p.Text)+len(p.Facts)+len(p.Items)+len(p.Steps)+len(p.Boxes) > 0 || p.Chart != nil || p.Table != nil && len(p.Table.Rows) > 0 {
		d.Parts = append(d.Parts, p)
	}
}

// disclaimer stands on every report.
const disclaimer = "This is a measurement, not a certificate. It says what could be seen with these instruments under these conditions; local codes and licensed practice decide what may be put into service."

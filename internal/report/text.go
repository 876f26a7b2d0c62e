package report

import (
	"bufio"
	"fmt"
	"io"
	"strings"
	"unicode"
	"unicode/utf8"
)

const textWidth = 78

// WriteText writes the document as plain text.
func WriteText(w io.Writer, d *Document) error {
	t := &textWriter{b: bufio.NewWriter(w)}
	t.line(d.Title)
	t.line(strings.Repeat("=", min(utf8.RuneCountInString(d.Title), textWidth)))
	t.line("")
	t.wrap("", "", strings.TrimSuffix(strings.ToUpper(d.Word)+": "+d.Phrase, ": "))
	for _, s := range d.Lead {
		t.wrap("  ", "  ", s)
	}
	for _, p := range d.Parts {
		t.part(p)
	}
	if len(d.Sources) > 0 {
		t.heading("Sources")
		for i, s := range d.Sources {
			t.wrap(fmt.Sprintf("  [%d] ", i+1), "      ", s)
		}
	}
	t.line("")
	t.wrap("", "", disclaimer)
	return t.b.Flush()
}

// textWriter breaks lines; its writer keeps the first error.
type textWriter struct{ b *bufio.Writer }

func (t *textWriter) line(s string) { fmt.Fprintln(t.b, strings.TrimRight(clean(s), " ")) }

func (t *textWriter) heading(s string) {
	t.line("")
	t.line(s)
	t.line(strings.Repeat("-", utf8.RuneCountInString(s)))
}

func (t *textWriter) part(p Part) {
	t.heading(p.Heading)
	for _, s := range p.Text {
		t.wrap("  ", "  ", s)
	}
	wide := 0
	for _, f := range p.Facts {
		wide = max(wide, utf8.RuneCountInString(f.Name))
	}
	for _, f := range p.Facts {
		gap := strings.Repeat(" ", wide-utf8.RuneCountInString(f.Name)+2)
		t.wrap("  "+clean(f.Name)+gap, strings.Repeat(" ", wide+4), f.Value)
	}
	t.table(p.Table)
	for i, s := range p.Steps {
		t.wrap(fmt.Sprintf("  %d. ", i+1), "     ", s)
	}
	for _, s := range p.Items {
		t.wrap("  - ", "    ", s)
	}
	for _, x := range p.Boxes {
		t.wrap("  "+x.Sign.Drawn()+" ", "      ", x.Text)
	}
}

// table lines the columns up; the last one may be long and is broken.
func (t *textWriter) table(tab *Table) {
	if tab == nil || len(tab.Rows) == 0 {
		return
	}
	rows := append([][]string{tab.Head}, tab.Rows...)
	width := make([]int, len(tab.Head))
	for _, r := range rows {
		for i, c := range r {
			width[i] = max(width[i], utf8.RuneCountInString(clean(c)))
		}
	}
	for _, r := range rows {
		first := "  "
		for i, c := range r[:len(r)-1] {
			c = clean(c)
			first += c + strings.Repeat(" ", width[i]-utf8.RuneCountInString(c)+2)
		}
		if utf8.RuneCountInString(first) > textWidth/2 { // no room beside it
			t.line(first)
			first = "      "
		}
		t.wrap(first, strings.Repeat(" ", utf8.RuneCountInString(first)), r[len(r)-1])
	}
}

// wrap breaks a text into lines, the first with its own indent.
func (t *textWriter) wrap(first, rest, text string) {
	line, n, empty := first, utf8.RuneCountInString(first), true
	for _, word := range strings.Fields(clean(text)) {
		k := utf8.RuneCountInString(word)
		if !empty && n+1+k > textWidth {
			t.line(line)
			line, n, empty = rest, utf8.RuneCountInString(rest), true
		}
		if !empty {
			line, n = line+" ", n+1
		}
		line, n, empty = line+word, n+k, false
	}
	t.line(line)
}

// clean makes control bytes, and with them escape sequences, into spaces.
func clean(s string) string {
	return strings.Map(func(r rune) rune {
		if unicode.IsControl(r) {
			return ' '
		}
		return r
	}, strings.ToValidUTF8(s, "?"))
}

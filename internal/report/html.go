package report

import (
	"bytes"
	_ "embed"
	"fmt"
	"html/template"
	"io"
	"unicode"
)

//go:embed page.tmpl
var page string // never changed

// WriteHTML writes the document as one HTML file with everything in it.
func WriteHTML(w io.Writer, d *Document) error {
	t, err := template.New("page").Funcs(template.FuncMap{"note": func(i int) int { return i + 1 }, "mid": func(a, b float64) float64 { return a + b/2 }}).Parse(page)
	if err != nil {
		return fmt.Errorf("report: %w", err)
	}
	return t.Execute(visible{w}, struct {
		*Document
		Disclaimer string
	}{d, disclaimer})
}

// visible makes control bytes into spaces, but for line ends: the template
// escapes what could be markup, and leaves those alone.
type visible struct{ w io.Writer }

func (v visible) Write(p []byte) (int, error) {
	_, err := v.w.Write(bytes.Map(func(r rune) rune {
		if unicode.IsControl(r) && r != '\n' {
			return ' '
		}
		return r
	}, p))
	return len(p), err
}

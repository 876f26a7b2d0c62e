package report

import (
	_ "embed"
	"fmt"
	"html/template"
	"io"
)

//go:embed page.tmpl
var page string // never changed

// WriteHTML writes the document as one HTML file with everything in it.
func WriteHTML(w io.Writer, d *Document) error {
	t, err := template.New("page").Funcs(template.FuncMap{"note": func(i int) int { return i + 1 }, "mid": func(a, b float64) float64 { return a + b/2 }}).Parse(page)
	if err != nil {
		return fmt.Errorf("report: %w", err)
	}
	return t.Execute(w, struct {
		*Document
		Disclaimer string
	}{d, disclaimer})
}

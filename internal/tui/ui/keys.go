package ui

import (
	"strings"

	"github.com/charmbracelet/bubbles/key"
)

// KeyLine writes the bindings as one line of at most w cells: whole entries
// only, in the order given, disabled ones left out.
func KeyLine(th Theme, bs []key.Binding, w int) string {
	var b strings.Builder
	used := 0
	for _, k := range bs {
		if !k.Enabled() {
			continue
		}
		h := k.Help()
		n := Width(h.Key) + 1 + Width(h.Desc)
		if used > 0 {
			n += 2
		}
		if used+n > w {
			continue
		}
		if used > 0 {
			b.WriteString("  ")
		}
		b.WriteString(th.Strong.Render(h.Key) + " " + h.Desc)
		used += n
	}
	return b.String()
}

// KeyPage writes the bindings in lines of w cells, for the help screen.
func KeyPage(th Theme, w int, bs []key.Binding) []string {
	wide := 0
	for _, k := range bs {
		if k.Enabled() {
			wide = max(wide, Width(k.Help().Key))
		}
	}
	var out []string
	for _, k := range bs {
		if !k.Enabled() {
			continue
		}
		head := "  " + th.Strong.Render(Pad(k.Help().Key, wide)) + "  "
		for _, l := range Wrap(k.Help().Desc, max(w-wide-4, 8), 3) {
			out = append(out, head+l)
			head = Pad("", wide+4)
		}
	}
	return out
}

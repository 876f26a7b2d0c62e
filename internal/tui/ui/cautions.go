package ui

import "example.org/holdfast/refdata"

// Cautions are those of some steps of the job in at most h lines of w cells,
// each with a dash; where not all fit, as many whole ones as do, from the top.
func Cautions(w, h int, steps ...refdata.Step) (out []string) {
	for _, c := range refdata.CautionsOf(steps...) {
		lines := dashed(c.Text, w)
		if len(out)+len(lines) > h {
			return out
		}
		out = append(out, lines...)
	}
	if last := dashed(refdata.LocalCodes, w); len(out)+len(last) <= h {
		out = append(out, last...)
	}
	return out
}

// CautionPage are all the cautions of some steps in lines of w cells, each with its source.
func CautionPage(w int, steps ...refdata.Step) (out []string) {
	for _, c := range refdata.CautionsOf(steps...) {
		out = append(out, dashed(c.Text+" ("+c.Source+")", w)...)
	}
	return append(out, dashed(refdata.LocalCodes, w)...)
}

// dashed is a text in lines of w cells, behind a dash.
func dashed(text string, w int) []string {
	lines := Wrap(text, w-2, 12)
	for i, l := range lines {
		lines[i] = Cut([...]string{"- ", "  "}[min(i, 1)]+l, w)
	}
	return lines
}

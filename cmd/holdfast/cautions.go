package main

import (
	"fmt"
	"io"

	"example.org/holdfast/refdata"
)

// sayCautions writes the cautions of some steps, each with its source.
func sayCautions(w io.Writer, steps ...refdata.Step) {
	for _, c := range refdata.CautionsOf(steps...) {
		paragraph(w, "  ! ", "    ", fmt.Sprintf("%s (%s)", c.Text, c.Source))
	}
	paragraph(w, "  ! ", "    ", refdata.LocalCodes)
}

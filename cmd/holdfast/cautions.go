package main

import (
	"fmt"
	"io"
	"slices"

	"example.org/holdfast/refdata"
)

// localCodes ends every list of cautions.
const localCodes = "Local codes and licensed practice decide; these are the usual cautions, not all of them."

// cautionsOf are the cautions of some steps of the job, in its order.
func cautionsOf(steps ...refdata.Step) (out []refdata.Caution) {
	for _, c := range refdata.Cautions() {
		if slices.Contains(steps, c.Step) {
			out = append(out, c)
		}
	}
	return out
}

// sayCautions writes the cautions of some steps, each with its source.
func sayCautions(w io.Writer, steps ...refdata.Step) {
	for _, c := range cautionsOf(steps...) {
		paragraph(w, "  ! ", "    ", fmt.Sprintf("%s (%s)", c.Text, c.Source))
	}
	paragraph(w, "  ! ", "    ", localCodes)
}

package main

import (
	"bufio"
	"fmt"
	"io"
	"math"
	"slices"
	"strings"

	"example.org/holdfast/internal/hold"
	"example.org/holdfast/internal/holdlog"
	"example.org/holdfast/internal/units"
	"example.org/holdfast/internal/verdict"
)

// writeJudgeText writes the verdict for people: the word first, what to do last.
func writeJudgeText(w io.Writer, j judged, details bool) error {
	b := bufio.NewWriter(w)
	fmt.Fprintf(b, "%s: %s, %s\n", oneLine(j.file), upper(j.state), oneLine(j.state.Verdict.Phrase)) // on one line, for who looks for it
	writeVerdict(b, j.state, details)
	if s := j.integrity; s.State() != holdlog.None && (s.State() != holdlog.Whole || s.Unchecked() > 0) {
		paragraph(b, "  Log: ", "    ", s.String())
	}
	return b.Flush()
}

// writeVerdict writes what stands behind the word. details = also what the
// bound on a leak means in service; that of a called leak is always said.
func writeVerdict(w io.Writer, st *hold.State, details bool) {
	v := st.Verdict
	for _, r := range v.Reasons {
		paragraph(w, "  ", "  ", r)
	}
	for _, text := range v.Warnings {
		paragraph(w, "  Note: ", "    ", text)
	}
	for _, f := range figures(st) {
		paragraph(w, "  "+f.name+": ", "    ", f.text)
	}
	if s := st.Service; s != nil && (details || !s.Bound) {
		if s.Bound {
			paragraph(w, "  ", "  ", "If all that could still hide leaked:")
		}
		for _, text := range s.Words() {
			paragraph(w, "  ", "  ", text)
		}
	}
	for _, c := range v.Causes {
		paragraph(w, "  Speaks for ", "    ", c.Cause+": "+c.Evidence)
	}
	for _, text := range v.Advice {
		paragraph(w, "  - ", "    ", text)
	}
}

// figure is one line of numbers.
type figure struct{ name, text string }

// figures states what was measured.
func figures(st *hold.State) (out []figure) {
	add := func(name, format string, args ...any) { out = append(out, figure{name, fmt.Sprintf(format, args...)}) }
	readings := units.FormatCount(st.Samples, "reading")
	if st.Rejected > 0 {
		readings += fmt.Sprintf(", %d rejected", st.Rejected)
	}
	if st.Segment == 0 {
		add("Held", "not at all, %s", readings)
		return out
	}
	held := duration(math.Max(st.LastSampleAt-st.SegmentStart, 0)) + ", " + readings
	if st.Segment > 1 {
		held += fmt.Sprintf("; filling %d of this log", st.Segment)
	}
	add("Held", "%s", held)
	if st.Rise != nil {
		return append(out, riseFigures(st)...)
	}
	unit := or(st.Header.Settings.Display, "bar")
	e := st.Estimate
	if e.Start > 0 {
		gauge := func(p float64) string {
			return units.FormatPressureFine(float64(units.Absolute(p).Gauge(st.Atmosphere)), unit)
		}
		text := fmt.Sprintf("%s to %s gauge", gauge(e.Start), gauge(e.End))
		if e.Level > 0 {
			text += fmt.Sprintf("; %s to %s with room and heat of filling taken off", gauge(e.Level), gauge(e.Corrected))
		}
		add("Pressure", "%s", text)
	}
	if !e.Valid {
		return out
	}
	return append(out, leakFigures(st, unit)...)
}

// leakFigures states what the fit says.
func leakFigures(st *hold.State, unit string) (out []figure) {
	add := func(name, format string, args ...any) { out = append(out, figure{name, fmt.Sprintf(format, args...)}) }
	e := st.Estimate
	rate := func(v float64) string { return units.FormatPressureRate(units.PressureRate(v), unit) }
	add("Leak rate", "%s, 95 %% interval %s to %s", rate(e.Rate.Value), rate(e.Rate.Lo), rate(e.Rate.Hi))
	add("Width", "%s", widthWords(st))
	if b := st.Blank; b != nil {
		add("Blank hold", "%s", blankWords(b, rate))
	}
	if e.SettledAt >= 0 {
		add("Settled", "after %s", duration(e.SettledAt))
	}
	if c := rangAt(st); c != nil {
		add("Rang", "for a leak after %s", duration(*c))
	}
	return out
}

// widthWords says where the width of the interval comes from and what would narrow it most.
func widthWords(st *hold.State) string {
	e, v := st.Estimate, st.Verdict
	text := fmt.Sprintf("%.0f %% from the sensor, %.0f %% from the temperature of the gas, %.0f %% from the heat of filling",
		100*e.WidthSensor, 100*e.WidthTemperature, 100*e.WidthSettling)
	if st.Blank != nil {
		text += fmt.Sprintf(", %.0f %% from the blank hold", 100*st.Blank.Share)
	}
	if v.Narrower != "" && !slices.Contains(v.Advice, v.Narrower) { // else it stands below
		text += ". " + v.Narrower
	}
	return text
}

// blankWords says which blank hold was taken off.
func blankWords(b *verdict.Blank, rate func(float64) string) string {
	text := oneLine(b.File)
	if b.Date != "" {
		text += " of " + b.Date
	}
	return fmt.Sprintf("%s, %s taken off (%s to %s); SHA-256 %s", text, rate(b.Loss.Value), rate(b.Loss.Lo), rate(b.Loss.Hi), oneLine(b.SHA256))
}

// upper is the word of the verdict as it stands at the head of a text.
func upper(st *hold.State) string { return strings.ToUpper(string(st.Verdict.Word)) }

// summary says how it ended.
func (s *session) summary(st *hold.State) {
	fmt.Fprintln(s.a.out)
	which := ""
	if s.plan.section != "" {
		which = s.plan.section + ": "
	}
	paragraph(s.a.out, "", "  ", fmt.Sprintf("%s%s: %s", which, upper(st), st.Verdict.Phrase))
	writeVerdict(s.a.out, st, false)
}

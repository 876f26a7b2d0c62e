package report_test

import (
	"bytes"
	"encoding/xml"
	"errors"
	"io"
	"math"
	"regexp"
	"strings"
	"testing"

	"example.org/holdfast/internal/hold"
	"example.org/holdfast/internal/holdlog"
	"example.org/holdfast/internal/report"
	"example.org/holdfast/internal/units"
)

const nasty = `<script>alert(1)</script>"'&` + "\x1b[31m\x00"

// state holds 40 minutes at 10 bar absolute with a fall of so many Pa an hour; every text of it is nasty.
func state(t *testing.T, fall float64) *hold.State {
	t.Helper()
	h := hold.New()
	h.Apply(holdlog.HeaderRecord(holdlog.Header{
		Devices:  []holdlog.Device{{Name: "line " + nasty, Gives: nasty, PressureRange: 25e5, Interval: 10}},
		Settings: holdlog.Settings{Section: nasty, Volume: 0.09e-3, Refrigerant: "R600a", Charge: 0.055, Limit: "3g/yr", For: 2400},
	}, 1772438400000))
	for s := 0.0; s <= 2400; s += 10 {
		if s > 900 && s < 1200 {
			continue // a gap
		}
		m := holdlog.NoSample()
		m.Ref, m.Ambient = units.AbsoluteRef, 293.15
		m.Pressure = 10e5 - fall*s/3600 + 20*math.Sin(s)
		h.Apply(holdlog.Record{Kind: holdlog.KindSample, Elapsed: s, Wall: 1772438400000 + int64(s)*1000, Sample: m})
		if s == 600 {
			h.Apply(holdlog.Record{Kind: holdlog.KindMark, Elapsed: s, Text: nasty})
		}
	}
	return h.State()
}

func both(t *testing.T, st *hold.State) (text, html string) {
	t.Helper()
	d := report.OfHold(report.HoldInput{File: nasty, State: st, Integrity: holdlog.Integrity{Lines: 9, Checked: 9, SHA256: strings.Repeat("ab", 32)}})
	var a, b bytes.Buffer
	if err := errors.Join(report.WriteText(&a, d), report.WriteHTML(&b, d)); err != nil {
		t.Fatal(err)
	}
	return a.String(), b.String()
}

func TestTextsOfDevicesAndMarksAreNeverAlive(t *testing.T) {
	text, html := both(t, state(t, 0))
	if strings.Contains(html, "<script") || strings.ContainsAny(text, "\x1b\x00") {
		t.Error("a text of the log came through alive")
	}
	if n := strings.Count(html, "&lt;script&gt;alert(1)"); n < 5 {
		t.Errorf("shown %d times, want section, device, columns, mark and file", n)
	}
}

func TestThePageNeedsNothingFromOutside(t *testing.T) {
	_, html := both(t, state(t, 0))
	if m := regexp.MustCompile(`(?i)https?:|src=|href=|@import|url\(|<link|<iframe`).FindString(html); m != "" {
		t.Errorf("it holds %q", m)
	}
}

// The page reads as one tree: what is opened is closed, and the drawing is numbers only.
func TestThePageIsWellFormed(t *testing.T) {
	for _, fall := range []float64{0, 3000, 200000} {
		_, html := both(t, state(t, fall))
		dec := xml.NewDecoder(strings.NewReader(strings.TrimPrefix(html, "<!doctype html>\n")))
		dec.Strict, dec.AutoClose, dec.Entity = false, xml.HTMLAutoClose, xml.HTMLEntity
		depth := 0
		for {
			tok, err := dec.Token()
			if errors.Is(err, io.EOF) {
				break
			}
			if err != nil {
				t.Fatal(err)
			}
			switch e := tok.(type) {
			case xml.StartElement:
				depth++
				for _, a := range e.Attr {
					if a.Name.Local == "points" && !regexp.MustCompile(`^-?[\d.]+,-?[\d.]+( -?[\d.]+,-?[\d.]+)*$`).MatchString(a.Value) {
						t.Errorf("points %.60q", a.Value)
					}
				}
			case xml.EndElement:
				depth--
			}
		}
		if depth != 0 || strings.Contains(html, "NaN") || strings.Contains(html, "Inf") {
			t.Errorf("depth %d at the end", depth)
		}
	}
}

func TestBothFormsSayTheSame(t *testing.T) {
	for _, c := range []struct {
		fall  float64
		plain string
	}{
		{200000, "does not keep its pressure"},
		{0, "Not proven"},
	} {
		text, html := both(t, state(t, c.fall))
		squeezed := strings.Join(strings.Fields(text), " ")
		for _, want := range []string{c.plain, "3g/yr", "This is a measurement, not a certificate", strings.Repeat("ab", 32), "EN 378-1:2016", "Never oxygen", "UNEP, Manual for Refrigeration", "Local codes and licensed practice decide", "2026-03-02 08:00:00"} {
			if !strings.Contains(squeezed, want) {
				t.Errorf("text lacks %q:\n%s", want, text)
			}
			if !strings.Contains(html, want) {
				t.Errorf("page lacks %q", want)
			}
		}
	}
}

func TestTheChartShowsMarkGapAndLimit(t *testing.T) {
	_, html := both(t, state(t, 0))
	for _, want := range []string{`<rect class="gap"`, `<line class="flag"`, `<polygon class="wedge"`, `<polyline class="limit"`, `<polyline class="fit"`, `<polyline class="air"`} {
		if !strings.Contains(html, want) {
			t.Errorf("no %s", want)
		}
	}
}

// A footnote's number in the text is that of a source at the end, and no source is left without one.
func TestEveryFootnoteHasItsSource(t *testing.T) {
	text, _ := both(t, state(t, 200000))
	body, sources, found := strings.Cut(text, "\nSources\n")
	if !found {
		t.Fatal("no sources")
	}
	number := regexp.MustCompile(`\[(\d+)\]`)
	seen, listed := map[string]bool{}, map[string]bool{}
	for _, m := range number.FindAllStringSubmatch(body, -1) {
		seen[m[1]] = true
	}
	for _, m := range number.FindAllStringSubmatch(sources, -1) {
		listed[m[1]] = true
		if !seen[m[1]] {
			t.Errorf("source [%s] is not used", m[1])
		}
	}
	for n := range seen {
		if !listed[n] {
			t.Errorf("footnote [%s] has no source", n)
		}
	}
}

func TestNoLineOfTheTextIsTooLong(t *testing.T) {
	text, _ := both(t, state(t, 200000))
	for _, l := range strings.Split(text, "\n") {
		if n := len([]rune(l)); n > 100 {
			t.Errorf("%d columns: %q", n, l)
		}
	}
}

// What the plan promises stands beside what was reached, and nothing is promised
// for a sensor whose span nobody knows.
func TestThePromiseStandsBesideWhatWasReached(t *testing.T) {
	st := state(t, 0)
	text, html := both(t, st)
	said := regexp.MustCompile(`such a hold proves ([0-9.]+) g/yr in every\s+second case;\s+this one`)
	if !said.MatchString(text) || !said.MatchString(html) {
		t.Errorf("no promise in\n%s", text)
	}
	st.Header.Devices[0].PressureRange = 0
	if text, _ := both(t, st); said.MatchString(text) {
		t.Error("a promise for a sensor of unknown span")
	}
}

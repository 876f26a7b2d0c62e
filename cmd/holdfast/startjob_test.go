package main

import (
	"math"
	"path/filepath"
	"strings"
	"testing"

	"example.org/holdfast/internal/tui/start"
	"example.org/holdfast/internal/units"
)

// What a job knows of a section comes into the form as texts that the form reads back.
func TestASectionOfAJobComesIntoTheForm(t *testing.T) {
	sections, err := jobSections(filepath.Join("..", "..", "testdata", "job", "job.toml"))
	if err != nil {
		t.Fatal(err)
	}
	for _, s := range sections {
		if s.Hold.SectionID != "evaporator" {
			continue
		}
		v, relative, err := units.ParseVolumeTolerance(s.Hold.Volume)
		if err != nil || math.Abs(float64(v)-0.09e-3) > 1e-12 || relative != 0.05 {
			t.Errorf("volume %q is read as %v m3, %v (%v), the file says 0.09L +-5%%", s.Hold.Volume, v, relative, err)
		}
		if m, err := units.ParseMass(s.Hold.Charge); err != nil || m != 0.055 {
			t.Errorf("charge %q is read as %v kg (%v)", s.Hold.Charge, m, err)
		}
		if !strings.Contains(s.Label, "evaporator side, joints e1, e2") || s.Hold.Limit != "3g/yr" || s.Hold.Refrigerant != "R600a" {
			t.Errorf("section %+v", s)
		}
		return
	}
	t.Errorf("no evaporator among %d sections", len(sections))
}

func TestThePlanBeforeTheStartSaysWhatMatters(t *testing.T) {
	form := start.Hold{Unit: "bar", Device: "manual", AskEvery: "10min", Step: "0.1 bar", Thermometer: "room", Ceiling: "8", For: "1h", Gas: "nitrogen"}
	for want, change := range map[string]func(*start.Hold){
		"Never above 8.00 bar gauge":     func(*start.Hold) {},
		"never tight":                    func(*start.Hold) {},
		"it sees leaks from about":       func(*start.Hold) {},
		"is proven to the limit of 3%/h": func(h *start.Hold) { h.Limit = "3%/h" },
		"longer than planned":            func(h *start.Hold) { h.Limit = "0.5%/h" },
		"hold longer":                    func(h *start.Hold) { h.For = "10min" },
		"cannot be planned":              func(h *start.Hold) { h.Limit = "3g/yr" },
	} {
		h := form
		change(&h)
		if s := strings.Join(quietApp().planLines(h), " "); !strings.Contains(s, want) {
			t.Errorf("%q does not say %q", s, want)
		}
	}
}

// A part said to be warm from brazing in the form is held as one.
func TestTheFormSaysThatAPartWasBrazed(t *testing.T) {
	for _, said := range []bool{true, false} {
		if got := flagsOf(start.Hold{Heated: said}).Brazed; got != said {
			t.Errorf("said %v: held as brazed %v", said, got)
		}
	}
}

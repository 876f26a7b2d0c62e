package start

import (
	"errors"
	"strings"
	"testing"
)

func TestEveryInstrumentAsksForWhatItNeeds(t *testing.T) {
	m := shown(Options{Instruments: instruments(), Probes: []string{"28-01"}})
	press(m, "n", "down", "down", "right", "right")
	if v := m.View(); strings.Contains(v, "port") || strings.Contains(v, "thermometer") {
		t.Errorf("a profile says it all, and yet:\n%s", v)
	}
	press(m, "right", "ctrl+s")
	if v := m.View(); m.page != formPage || !strings.Contains(v, "this must be said") || !strings.Contains(v, "holding:0:float32=pressure_bar_abs") {
		t.Fatalf("a transmitter without registers was taken:\n%s", v)
	}
	press(m, "input:1:int16=pressure_bar", "down", "right", "down", "right", "down", "ctrl+u", "7", "down", "right", "down", "right", "ctrl+s", "enter")
	h := m.Choice().Hold
	want := Hold{Unit: "bar", Section: "section 1", Device: "modbus", Port: "/dev/ttyUSB0", Fields: "input:1:int16=pressure_bar", Baud: "19200", Parity: "even", UnitID: "7",
		Thermometer: "part", Probe: "28-01", Ceiling: "10 bar", For: "1h", Gas: "nitrogen"}
	if h != want {
		t.Errorf("hold %+v, want %+v", h, want)
	}
}

func TestARiseUnderVacuumHasQuestionsOfItsOwn(t *testing.T) {
	m := shown(Options{})
	press(m, "v", "right")
	if v := m.View(); strings.Contains(v, "never above") || !strings.Contains(v, "50 micron") {
		t.Errorf("the questions of a vacuum:\n%s", v)
	}
	m.vacuumForm.set(acceptField, "500micron")
	if press(m, "ctrl+s"); m.page != vacuumPage {
		t.Error("an acceptance without a time was taken")
	}
	m.vacuumForm.set(acceptField, "80Pa@60min")
	if press(m, "ctrl+s"); !strings.Contains(m.View(), "under vacuum: it") {
		t.Errorf("the cautions are not those of a vacuum:\n%s", m.View())
	}
	press(m, "enter")
	if h := m.Choice().Hold; !h.Vacuum || h.Unit != "micron" || h.Accept != "80Pa@60min" || h.Ceiling != "" || h.Gas != "" {
		t.Errorf("hold %+v", h)
	}
}

func TestSectionsAndJointsAreAddedAndThenHeld(t *testing.T) {
	var sections []Section
	var joints []NewJoint
	m := shown(Options{OpenJob: func(string) ([]Section, error) { return sections, nil },
		AddSection: func(s NewSection) error {
			if s.Volume == "" {
				return errors.New("no volume")
			}
			sections = append(sections, Section{Label: s.ID, Hold: Hold{Job: s.Job, SectionID: s.ID, Volume: s.Volume}})
			return nil
		},
		AddJoint: func(j NewJoint) error { joints = append(joints, j); return nil }})
	press(m, "s", "enter", "down", "two words", "ctrl+s")
	if m.page != sectionPage || !strings.Contains(m.View(), "is not one word") {
		t.Fatalf("a name of two words was taken:\n%s", m.View())
	}
	press(m, "ctrl+u", "evaporator", "esc")
	press(m, "enter", "ctrl+s")
	if !strings.Contains(m.View(), "! no volume") || !strings.Contains(m.View(), "evaporator") {
		t.Fatalf("Escape lost what was typed, or the error is not said:\n%s", m.View())
	}
	press(m, "down", "down", "0,12 l")
	if !strings.Contains(m.View(), "read as 120 ml") {
		t.Errorf("the volume is not echoed:\n%s", m.View())
	}
	press(m, "ctrl+s", "down", "down", "enter", "down", "e1", "down", "down", "down", "down", "right", "ctrl+s")
	if want := (NewJoint{Job: "job.toml", Section: "evaporator", ID: "e1", Old: true}); len(joints) != 1 || joints[0] != want {
		t.Fatalf("joints %+v, want %+v:\n%s", joints, want, m.View())
	}
	press(m, "enter", "ctrl+s", "enter")
	if h := m.Choice().Hold; h.Job != "job.toml" || h.SectionID != "evaporator" || h.Volume != "0,12 l" {
		t.Errorf("hold %+v", h)
	}
}

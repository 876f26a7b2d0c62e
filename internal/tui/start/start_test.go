package start

import (
	"errors"
	"strings"
	"testing"

	tea "github.com/charmbracelet/bubbletea"
)

// press sends keys; names of special keys are as bubbletea writes them, everything else is typed.
func press(m *Model, keys ...string) (quit bool) {
	special := map[string]tea.KeyType{"enter": tea.KeyEnter, "esc": tea.KeyEsc, "up": tea.KeyUp, "down": tea.KeyDown, "left": tea.KeyLeft,
		"right": tea.KeyRight, "ctrl+c": tea.KeyCtrlC, "ctrl+z": tea.KeyCtrlZ, "ctrl+s": tea.KeyCtrlS, "backspace": tea.KeyBackspace, "ctrl+u": tea.KeyCtrlU, "f1": tea.KeyF1}
	for _, k := range keys {
		var cmd tea.Cmd
		if t, ok := special[k]; ok {
			_, cmd = m.Update(tea.KeyMsg{Type: t})
		} else {
			for _, r := range k {
				_, cmd = m.Update(tea.KeyMsg{Type: tea.KeyRunes, Runes: []rune{r}})
			}
		}
		if cmd != nil {
			switch msg := cmd().(type) {
			case tea.QuitMsg:
				quit = true
			case planned:
				m.Update(msg)
			}
		}
	}
	return quit
}

// instruments are a needle gauge, a sensor on one of two ports, one by a profile, and one on a bus.
func instruments() []Instrument {
	ports := []string{"/dev/ttyUSB0", "/dev/ttyUSB1"}
	return []Instrument{
		{Device: "manual", Label: "needle gauge", Needs: []Need{NeedStep}},
		{Device: "line", Label: "sensor on a serial port", Needs: []Need{NeedPort, NeedBaud, NeedSends}, Ports: ports},
		{Device: "modbus", Profile: "gauge.toml", Label: "profile gauge"},
		{Device: "modbus", Label: "transmitter", Needs: []Need{NeedPort, NeedBaud, NeedParity, NeedUnitID, NeedFields}, Ports: ports, Example: "holding:0:float32=pressure_bar_abs"},
	}
}

func shown(opts Options) *Model {
	m := New(opts)
	m.Update(tea.WindowSizeMsg{Width: 80, Height: 24})
	return m
}

// Who never read a manual presses Enter: within 12 keys a manual hold with sensible answers runs.
func TestEnterAloneLeadsToARunningManualHold(t *testing.T) {
	m := shown(Options{Instruments: instruments(), Probes: []string{"28-01"}})
	n := 0
	for !press(m, "enter") {
		if n++; n > 12 {
			t.Fatalf("no hold after %d times Enter:\n%s", n, m.View())
		}
	}
	want := Choice{Kind: NewHold, Hold: Hold{Unit: "bar", Section: "section 1", Device: "manual", AskEvery: "10min", Step: "0.1 bar",
		Thermometer: "room", Ceiling: "10 bar", For: "1h", Gas: "nitrogen"}}
	if m.Choice() != want {
		t.Errorf("choice %+v, want %+v", m.Choice(), want)
	}
}

func TestTheCautionsStandBetweenTheFormAndTheHold(t *testing.T) {
	m := shown(Options{})
	if press(m, "n", "ctrl+s") {
		t.Fatal("the hold started without the cautions")
	}
	v := m.View()
	for _, w := range []string{"regulator", "relief valve", "Never oxygen", "refrigeration compressor", "weakest part", "lammable", "stored energy", "Local codes", "licensed practice"} {
		if !strings.Contains(strings.Join(strings.Fields(v), " "), w) {
			t.Errorf("cautions do not say %q:\n%s", w, v)
		}
	}
	if !press(m, "enter") || m.Choice().Kind != NewHold {
		t.Error("Enter on the cautions does not start the hold")
	}
}

func TestAWrongAnswerHoldsTheFormAndIsKept(t *testing.T) {
	m := shown(Options{})
	press(m, "n", "down", "down", "down", "down", "down", "down", "ctrl+u", "lots")
	press(m, "ctrl+s")
	if m.page != formPage || !strings.Contains(m.View(), "! ") || !strings.Contains(m.View(), "lots") {
		t.Fatalf("a ceiling of %q was taken:\n%s", "lots", m.View())
	}
	press(m, "esc", "n")
	if !strings.Contains(m.View(), "lots") {
		t.Error("Escape lost what was typed")
	}
	press(m, "ctrl+u", "8,5")
	if !strings.Contains(m.View(), "read as 8.50 bar gauge") {
		t.Errorf("a bare number with a decimal comma is not echoed in the unit of the form:\n%s", m.View())
	}
	press(m, "ctrl+s", "enter")
	if c := m.Choice().Hold.Ceiling; c != "8,5" {
		t.Errorf("ceiling %q, want it as typed", c)
	}
}

func TestAnAbsoluteCeilingIsRefused(t *testing.T) {
	m := shown(Options{})
	press(m, "n", "down", "down", "down", "down", "down", "down", "ctrl+u", "11bara", "ctrl+s")
	if m.page != formPage {
		t.Error("a ceiling in absolute pressure was taken for gauge")
	}
}

func TestASerialSensorAsksForThePortAndNotForReadings(t *testing.T) {
	m := shown(Options{Instruments: instruments(), Unit: "psi"})
	press(m, "n", "down", "down", "right")
	v := m.View()
	if !strings.Contains(v, "port") || strings.Contains(v, "ask every") {
		t.Fatalf("questions do not follow the instrument:\n%s", v)
	}
	press(m, "down", "right", "down", "right", "down", "right", "right", "right", "ctrl+s", "enter")
	h := m.Choice().Hold
	if !h.Absolute || h.Baud != "115200" {
		t.Errorf("absolute %v at %q baud, want true and 115200", h.Absolute, h.Baud)
	}
	if h.Device != "line" || h.Port != "/dev/ttyUSB1" || h.AskEvery != "" || h.Step != "" || h.Unit != "psi" || h.Ceiling != "145 psi" {
		t.Errorf("hold %+v", h)
	}
}

func TestASensorWithoutAPortIsHeld(t *testing.T) {
	bare := instruments()[:2]
	bare[1].Ports = nil
	m := shown(Options{Instruments: bare})
	press(m, "n", "down", "down", "right", "ctrl+s")
	if m.page != formPage || !strings.Contains(m.View(), "no port") {
		t.Fatalf("a sensor without a port was taken:\n%s", m.View())
	}
	press(m, "/dev/ttyACM0", "ctrl+s", "enter")
	if m.Choice().Hold.Port != "/dev/ttyACM0" {
		t.Errorf("hold %+v", m.Choice().Hold)
	}
}

func TestOpeningALog(t *testing.T) {
	logs := []Log{{Path: "a.jsonl", Label: "cellar"}, {Path: "b.jsonl", Label: "dryer\x1b[2J"}}
	m := shown(Options{Logs: logs})
	press(m, "o", "down", "enter", "enter")
	if c := m.Choice(); c.Kind != OpenLog || c.Path != "b.jsonl" {
		t.Errorf("choice %+v", c)
	}
	m = shown(Options{Logs: logs})
	press(m, "o", "holds/q.csv", "enter", "l")
	if c := m.Choice(); c.Kind != OpenLog || c.Path != "holds/q.csv" {
		t.Errorf("typing a file gave %+v", c)
	}
	m = shown(Options{})
	if press(m, "o", "enter", "l") {
		t.Error("an empty file name was opened")
	}
}

func TestALogThatWasCutOffIsGoneOnWithAndAnotherIsNot(t *testing.T) {
	logs := []Log{{Path: "a.jsonl", Label: "cellar, cut off", GoesOn: true}, {Path: "b.jsonl", Label: "dryer"}}
	m := shown(Options{Logs: logs, GoOn: true})
	press(m, "o", "enter", "enter")
	if c := m.Choice(); c.Kind != GoOn || c.Path != "a.jsonl" {
		t.Errorf("choice %+v", c)
	}
	m = shown(Options{Logs: logs, GoOn: true})
	if press(m, "o", "down", "enter", "g") || strings.Contains(m.View(), "go on") {
		t.Errorf("a hold that was ended is gone on with: %+v\n%s", m.Choice(), m.View())
	}
}

func TestTwoLogsBesideEachOther(t *testing.T) {
	m := shown(Options{Logs: []Log{{Path: "before.jsonl"}, {Path: "after.jsonl"}}})
	press(m, "o", "enter", "b", "down", "enter")
	if c := m.Choice(); c.Kind != Compare || c.Path != "before.jsonl" || c.With != "after.jsonl" {
		t.Errorf("choice %+v", c)
	}
}

// What fails after the screen has ended brings it back, with all that was answered.
func TestAfterAFailureEverythingIsStillThere(t *testing.T) {
	m := shown(Options{Instruments: instruments()})
	press(m, "n", "down", "ctrl+u", "cellar", "down", "right", "ctrl+s", "enter")
	m.Again("port is in use")
	m.Update(tea.WindowSizeMsg{Width: 80, Height: 24})
	if m.Choice().Kind != Quit || !strings.Contains(m.View(), "! port is in use") || !strings.Contains(m.View(), "cellar") {
		t.Fatalf("not back in the form:\n%s", m.View())
	}
	press(m, "ctrl+s", "enter")
	if h := m.Choice().Hold; h.Section != "cellar" || h.Device != "line" {
		t.Errorf("hold %+v", h)
	}
}

func TestWhatCannotBeIsSaidBeforeTheScreenEnds(t *testing.T) {
	m := shown(Options{Check: func(h Hold) error {
		if h.Limit == "3g/yr" && h.Volume == "" {
			return errors.New("a limit in grams needs the volume")
		}
		return nil
	}})
	press(m, "n")
	m.holdForm.set(limitField, "3g/yr")
	press(m, "ctrl+s")
	if m.page != formPage || !strings.Contains(m.View(), "! a limit in grams needs the volume") {
		t.Fatalf("taken:\n%s", m.View())
	}
	m.holdForm.set(volumeField, "0,3 l")
	if press(m, "ctrl+s"); m.page != cautionsPage {
		t.Errorf("not taken:\n%s", m.View())
	}
}

func TestCalibrationIsOffered(t *testing.T) {
	m := shown(Options{Profiles: []Log{{Path: "gauge.toml", Label: "profile gauge"}}})
	press(m, "c", "enter")
	if c := m.Choice(); c.Kind != Calibrate || c.Path != "gauge.toml" {
		t.Errorf("choice %+v", c)
	}
}

// The help is there from every page, names every binding and everything on the menu, and goes back to where it was asked for.
func TestTheHelpIsCompleteAndComesBack(t *testing.T) {
	for _, way := range [][]string{{}, {"n"}, {"v"}, {"s"}, {"o"}, {"o", "x", "enter"}, {"c"}, {"n", "ctrl+s"}} {
		m := shown(Options{})
		press(m, way...)
		was := m.page
		press(m, "f1")
		var all string
		for range 60 { // it scrolls
			all += m.View()
			press(m, "down")
		}
		for _, b := range m.keys.all() {
			if !strings.Contains(all, b.Help().Key) || !strings.Contains(all, b.Help().Desc) {
				t.Errorf("%v: the help has nothing on %s", way, b.Help().Key)
			}
		}
		for _, e := range m.menu() {
			if !strings.Contains(all, e.key+"  "+e.name) {
				t.Errorf("%v: the help has nothing on %s", way, e.name)
			}
		}
		if press(m, "x"); m.page != was {
			t.Errorf("%v: from the help it goes to page %d, not back to %d", way, m.page, was)
		}
	}
	m := shown(Options{})
	if press(m, "n", "?"); m.page != helpPage {
		t.Error("a question mark where nothing is typed gives no help")
	}
	if press(m, "x", "down", "?"); m.page != formPage {
		t.Error("a question mark that is typed gives the help")
	}
}

func TestLeavingAndTheDemo(t *testing.T) {
	for keys, want := range map[string]Kind{"q": Quit, "d": Demo, "esc": Quit, "ctrl+c": Quit} {
		m := shown(Options{})
		if !press(m, keys) || m.Choice().Kind != want {
			t.Errorf("%s: %+v", keys, m.Choice())
		}
	}
	if m := shown(Options{}); press(m, "ctrl+z") {
		t.Error("ctrl-z ended the screen")
	}
}

func TestASectionOfAJobFillsTheForm(t *testing.T) {
	section := Section{Label: "job.toml: evaporator side, joints e1, e2", Hold: Hold{Job: "job.toml", SectionID: "evaporator",
		Section: "evaporator side", Ceiling: "9 bar", Volume: "90 ml ±5 %", Limit: "3g/yr", Refrigerant: "R600a", Charge: "55 g"}}
	opened := ""
	m := shown(Options{OpenJob: func(path string) ([]Section, error) {
		if opened = path; path != "job.toml" {
			return nil, errors.New("no such file")
		}
		return []Section{section}, nil
	}})
	press(m, "s", "job.tom", "enter")
	if !strings.Contains(m.View(), "! no such file") {
		t.Fatalf("a wrong file is not said:\n%s", m.View())
	}
	press(m, "l", "enter")
	if !strings.Contains(m.View(), "joints e1, e2") {
		t.Fatalf("the sections of %q are not listed:\n%s", opened, m.View())
	}
	press(m, "enter", "ctrl+s", "enter")
	h := m.Choice().Hold
	h.Unit, h.Device, h.AskEvery, h.Step, h.Thermometer, h.For, h.Gas = "", "", "", "", "", "", ""
	if m.Choice().Kind != NewHold || h != section.Hold {
		t.Errorf("hold %+v, want %+v", h, section.Hold)
	}
}

func TestWhatTheHoldCanShowStandsBeforeTheStart(t *testing.T) {
	var asked Hold
	m := shown(Options{Plan: func(h Hold) []string { asked = h; return []string{"It sees leaks from 1.4 %/h on in 1h."} }})
	press(m, "n", "ctrl+s")
	if v := m.View(); !strings.Contains(v, "What this hold can show") || !strings.Contains(v, "1.4 %/h") {
		t.Errorf("no plan:\n%s", v)
	}
	if asked.For != "1h" || asked.Device != "manual" {
		t.Errorf("planned for %+v", asked)
	}
}

// No view is wider or taller than the terminal, at any size, on any page.

package main

import (
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"time"

	"example.org/holdfast/internal/holdlog"
	"example.org/holdfast/internal/profile"
	"example.org/holdfast/internal/tui/start"
	"example.org/holdfast/internal/units"
)

const shortHelp = `holdfast tells whether a closed-off section under standing pressure is tight, leaking or unproven.

  holdfast demo          a hold on a simulated bench; needs no device
  holdfast hold          record and judge a hold as it happens
  holdfast replay FILE   show a saved hold again
  holdfast judge FILE    the verdict of a saved hold
  holdfast --help        all commands

On a terminal, holdfast alone opens the start screen.
`

// start is holdfast without a command: the start screen, then what was chosen there.
func (a *app) start() (int, error) {
	if !a.fullScreen() {
		fmt.Fprint(a.out, shortHelp)
		return exitOK, nil
	}
	m := start.New(start.Options{Look: a.look(false), Logs: a.savedLogs(), Ports: serialPorts(),
		Sections: a.jobsHere(), OpenJob: jobSections, Plan: planLines})
	if code, err := a.screen(m); code != exitOK || err != nil {
		return code, err
	}
	switch c := m.Choice(); c.Kind {
	case start.NewHold:
		return a.startHold(c.Hold)
	case start.OpenLog:
		return (&replayCmd{File: c.Path, Speed: 100, Every: "1m"}).run(a)
	case start.Demo:
		return (&demoCmd{Seed: 1, Speed: 60, For: "1h", viewFlags: viewFlags{Every: defaultEvery}}).run(a)
	}
	return exitOK, nil
}

// startHold carries out a filled-in form.
func (a *app) startHold(h start.Hold) (int, error) {
	p := profile.Profile{Driver: h.Device, Port: h.Port}
	if h.Device == "line" {
		p.Fields = fieldsOf(h)
		baud, err := strconv.Atoi(h.Baud)
		if err != nil {
			return exitUsage, usage("Choose one of the speeds offered.", "speed: %q is not a baud rate", h.Baud)
		}
		p.Baud = baud
	}
	c := holdCmd{AskEvery: h.AskEvery, For: h.For, viewFlags: viewFlags{Every: defaultEvery}, settingsFlags: flagsOf(h),
		jobFlags: jobFlags{Job: h.Job, SectionID: h.SectionID}}
	return c.record(a, []profile.Profile{p})
}

// flagsOf makes of a filled-in form what the flags would be.
func flagsOf(h start.Hold) settingsFlags {
	return settingsFlags{
		Gas: h.Gas, Refrigerant: h.Refrigerant, Charge: h.Charge, Volume: h.Volume, Limit: h.Limit, Tolerate: h.Tolerate,
		PressureStep: h.Step, Section: h.Section, Thermometer: h.Thermometer, Ceiling: withUnit(h.Ceiling, h.Unit), Unit: h.Unit,
	}
}

// fieldsOf is what a line is taken to hold: the pressure in the unit of the
// person, gauge or absolute as the form says, then the temperature, if there is one.
func fieldsOf(h start.Hold) string {
	fields := "pressure_" + or(h.Unit, "bar")
	switch {
	case h.Absolute && h.Unit == "psi":
		fields = "pressure_psia"
	case h.Absolute:
		fields += "_abs"
	}
	switch h.Thermometer {
	case "part":
		return fields + ",section_c"
	case "none":
		return fields
	}
	return fields + ",ambient_c"
}

// withUnit puts the unit behind a bare number.
func withUnit(text, unit string) string {
	if _, rest, err := units.ParseNumber(text); err == nil && rest == "" {
		return text + " " + or(unit, "bar")
	}
	return text
}

// mostLogs is how many saved holds the start screen offers.
const mostLogs = 50

// savedLogs lists the logs in the data folder, newest first.
func (a *app) savedLogs() []start.Log {
	paths, _ := filepath.Glob(filepath.Join(a.holdsFolder(), "*.jsonl")) // the only error is of the pattern
	age := make(map[string]time.Time, len(paths))
	for _, p := range paths {
		if info, err := os.Stat(p); err == nil {
			age[p] = info.ModTime()
		}
	}
	slices.SortFunc(paths, func(x, y string) int { return age[y].Compare(age[x]) })
	var out []start.Log
	for _, p := range paths[:min(len(paths), mostLogs)] {
		out = append(out, start.Log{Path: p, Label: logLabel(p)})
	}
	return out
}

// logLabel says what a log is from its first line.
func logLabel(path string) string {
	name := strings.TrimSuffix(filepath.Base(path), ".jsonl")
	f, err := os.Open(path)
	if err != nil {
		return name
	}
	defer f.Close()
	r, err := holdlog.NewReader(f).Next()
	if err != nil || r.Header == nil {
		return name + " (cannot be read)"
	}
	label := time.UnixMilli(r.Wall).Format("2006-01-02 15:04")
	if s := r.Header.Settings.Section; s != "" {
		label += "  " + oneLine(s)
	}
	return label
}

// serialPorts lists ports by the names that stay the same, then by the others.
// It opens none: opening changes the speed of a port that somebody else uses.
func serialPorts() []string {
	var out []string
	for _, pattern := range []string{"/dev/serial/by-id/*", "/dev/ttyUSB*", "/dev/ttyACM*", "/dev/cu.usb*"} {
		found, _ := filepath.Glob(pattern) // the only error is of the pattern
		out = append(out, found...)
	}
	return out
}

package main

import (
	"bytes"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"example.org/holdfast/drivers/kernel"
	"example.org/holdfast/internal/holdlog"
	"example.org/holdfast/internal/profile"
	"example.org/holdfast/internal/tui/start"
)

// offeredInstruments are the ways to a pressure that the form of a new hold
// offers: those that need nothing first, then what is plugged in or described here.
func (a *app) offeredInstruments() []start.Instrument {
	ports := serialPorts()
	serial := []start.Need{start.NeedPort, start.NeedBaud}
	with := func(needs ...start.Need) []start.Need { return append(slices.Clone(serial), needs...) }
	all := []start.Instrument{
		{Device: "manual", Label: "needle gauge, by hand", Needs: []start.Need{start.NeedStep}},
		{Device: "line", Label: "sensor sending lines", Needs: with(start.NeedSends), Ports: ports},
	}
	for _, p := range a.profilesHere() {
		known, err := profile.Load(p.Path)
		if err == nil && (strings.Contains(known.Fields, "pressure") || known.Driver == "manual") {
			all = append(all, start.Instrument{Device: known.Driver, Profile: p.Path, Label: p.Label})
		}
	}
	if chips := chipsFound("iio"); len(chips) > 0 {
		all = append(all, start.Instrument{Device: "iio", Label: "kernel's chip, iio", Needs: []start.Need{start.NeedPort, start.NeedFields},
			Ports: chips, Example: "pressure=pressure_kpa_abs, by the kernel's name of the channel"})
	}
	return append(all,
		start.Instrument{Device: "modbus", Label: "transmitter, MODBUS", Needs: with(start.NeedParity, start.NeedUnitID, start.NeedFields), Ports: ports,
			Example: "holding:0:float32=pressure_bar_abs, register numbers from 0"},
		start.Instrument{Device: "scpi", Label: "bench meter, SCPI", Needs: with(start.NeedParity, start.NeedFields), Ports: ports,
			Example: "MEAS:PRES?=pressure_bar_abs"},
		start.Instrument{Device: "nmea", Label: "instrument, NMEA", Needs: with(start.NeedParity, start.NeedFields), Ports: ports,
			Example: "LINE=pressure_bar_abs,TEMP=ambient_c, by the names of the transducers"},
		start.Instrument{Device: "pipe", Label: "program's output", Needs: []start.Need{start.NeedCommand, start.NeedFields},
			Example: "pressure_bar_abs,ambient_c, or by key P=pressure_bar"})
}

// chipsFound are the chips of a kind that the kernel reads, by the names that --port takes.
func chipsFound(kind string) (names []string) {
	for _, f := range kernel.Chips(os.DirFS("/sys"), kind) {
		names = append(names, f.Entry)
	}
	return names
}

// profilesHere are the profiles of instruments in the folder where the program was started and in that of the logs.
func (a *app) profilesHere() (out []start.Log) {
	for _, f := range a.tomlFiles() {
		if p, err := profile.Load(f); err == nil { // another kind of file, such as a job, is not offered
			out = append(out, start.Log{Path: f, Label: oneLine("profile " + strings.TrimSuffix(filepath.Base(f), ".toml") + ": " + p.Driver + " " + or(p.Port, p.USB))})
		}
	}
	return out
}

// tomlFiles are the files that may be jobs or profiles.
func (a *app) tomlFiles() (all []string) {
	for _, folder := range []string{".", a.holdsFolder()} {
		files, _ := filepath.Glob(filepath.Join(folder, "*.toml")) // the only error is of the pattern
		all = append(all, files...)
	}
	return all
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
		out = append(out, savedLog(p))
	}
	return out
}

// savedLog says what a log is from its first line, and from its last ones whether it was cut off.
func savedLog(path string) start.Log {
	l := start.Log{Path: path, Label: strings.TrimSuffix(filepath.Base(path), ".jsonl")}
	f, err := os.Open(path)
	if err != nil {
		return l
	}
	defer f.Close()
	r, err := holdlog.NewReader(f).Next()
	if err != nil || r.Header == nil {
		l.Label += " (cannot be read)"
		return l
	}
	l.Label = time.UnixMilli(r.Wall).Format("2006-01-02 15:04")
	if s := r.Header.Settings.Section; s != "" {
		l.Label += "  " + oneLine(s)
	}
	if r.Header.Truth == nil && !ended(f) { // what is simulated is gone with the program
		l.GoesOn = true
		l.Label += ", cut off"
	}
	return l
}

// ended tells whether a log has its verdict at the end: then the person ended the hold.
func ended(f *os.File) bool {
	const tail = 4096 // holds the last records
	if end, err := f.Seek(0, io.SeekEnd); err != nil {
		return true
	} else if _, err := f.Seek(max(end-tail, 0), io.SeekStart); err != nil {
		return true
	}
	b, err := io.ReadAll(f)
	return err != nil || bytes.Contains(b, []byte(`{"k":"verdict"`))
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

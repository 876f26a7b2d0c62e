package main

import (
	"encoding/json"
	"fmt"
	"os"
	"runtime"
	"strings"

	"example.org/holdfast/drivers/kernel"
)

type devicesCmd struct {
	Kinds     deviceKindsCmd `cmd:"" default:"withargs" help:"The kinds of device that --device names (default)."`
	List      portsCmd       `cmd:"" help:"The serial ports and the kernel's chips found. None is opened."`
	Check     checkCmd       `cmd:"" help:"Read devices for some seconds and say what is wrong with them."`
	Calibrate calibrateCmd   `cmd:"" help:"Find zero and scale of a pressure sensor, and keep them in its profile."`
}

// listed is a kind of device.
type listed struct {
	Name  string `json:"name"`
	What  string `json:"what"`
	Takes string `json:"takes,omitempty"`     // its flags
	Not   string `json:"works_not,omitempty"` // why it does not work here
}

type deviceKindsCmd struct {
	JSON bool `help:"One JSON object per line."`
}

func (c *deviceKindsCmd) run(a *app) (int, error) {
	for _, k := range deviceKinds() {
		l := listed{Name: k.name, What: k.what, Takes: strings.TrimSpace(k.takes)}
		if !k.worksHere() {
			l.Not = "works on " + k.only + " only, not on " + runtime.GOOS
		}
		if c.JSON {
			if err := json.NewEncoder(a.out).Encode(l); err != nil {
				return exitIO, err
			}
			continue
		}
		fmt.Fprintf(a.out, "%-8s %s\n", l.Name, l.What)
		if l.Takes != "" {
			fmt.Fprintf(a.out, "         %s\n", l.Takes)
		}
		if l.Not != "" {
			fmt.Fprintf(a.out, "         %s\n", l.Not)
		}
	}
	if !c.JSON {
		fmt.Fprintln(a.out, awakeHere())
	}
	return exitOK, nil
}

// place is where a device was found: a serial port or a chip of the kernel's.
type place struct {
	Kind string `json:"kind"` // port, w1, iio or hwmon
	port
	Chip   string `json:"chip,omitempty"`   // what --port takes for it
	Called string `json:"called,omitempty"` // what the kernel calls it
	Note   string `json:"note,omitempty"`   // what stands in the way
}

type portsCmd struct {
	JSON bool `help:"One JSON object per line."`
}

func (c *portsCmd) run(a *app) (int, error) {
	all := places("/")
	for _, p := range all {
		if c.JSON {
			if err := json.NewEncoder(a.out).Encode(p); err != nil {
				return exitIO, err
			}
			continue
		}
		fmt.Fprintln(a.out, p.line())
		if p.Note != "" {
			fmt.Fprintln(a.out, "       "+p.Note)
		}
	}
	if len(all) == 0 {
		fmt.Fprintln(a.err, "no serial port of an adapter and no chip of the kernel's found; another port can be given to --port all the same")
	}
	return exitOK, nil
}

// places finds what devices may stand on, without opening anything.
func places(root string) []place {
	var all []place
	for _, p := range foundPorts(root) {
		all = append(all, place{Kind: "port", port: p, Note: portNote(p.Path)})
	}
	for _, kind := range []string{"w1", "iio", "hwmon"} {
		for _, f := range kernel.Chips(os.DirFS(root+"/sys"), kind) {
			all = append(all, place{Kind: kind, Chip: f.Entry, Called: f.Name})
		}
	}
	return all
}

// foundPorts asks the kernel, or looks for the usual names where it does not say.
func foundPorts(root string) []port {
	if runtime.GOOS == "linux" {
		return portsUnder(root)
	}
	var all []port
	for _, name := range serialPorts() {
		all = append(all, port{Path: name})
	}
	return all
}

// portNote says what stands in the way of opening a port.
func portNote(path string) string {
	var notes []string
	if !mayOpen(path) {
		notes = append(notes, "you may not open it. "+permissionHint(path))
	}
	if note := modemNote(path); note != "" {
		notes = append(notes, note)
	}
	return strings.Join(notes, " ")
}

func (p place) line() string {
	if p.Kind != "port" {
		if p.Called == p.Chip {
			return fmt.Sprintf("%-6s %s", p.Kind, p.Chip)
		}
		return fmt.Sprintf("%-6s %s  %s", p.Kind, p.Chip, p.Called)
	}
	name := p.Path
	if p.ByID != "" {
		name = p.ByID + " (now " + p.Path + ")"
	}
	usb := p.USB
	if p.USBSerial != "" {
		usb += "/" + p.USBSerial
	}
	return strings.TrimRight(fmt.Sprintf("%-6s %s  %s  %s", p.Kind, name, usb, p.Product), " ")
}

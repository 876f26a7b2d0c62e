package main

import (
	"encoding/json"
	"fmt"
	"strings"
)

type devicesCmd struct {
	Kinds deviceKindsCmd `cmd:"" default:"withargs" help:"The kinds of device that --device names (default)."`
	List  portsCmd       `cmd:"" help:"The serial ports found. None is opened."`
}

// listed is a line of either list.
type listed struct {
	Name string `json:"name"`
	What string `json:"what,omitempty"`
}

type deviceKindsCmd struct {
	JSON bool `help:"One JSON object per line."`
}

func (c *deviceKindsCmd) run(a *app) (int, error) {
	var all []listed
	for _, k := range deviceKinds() {
		all = append(all, listed{k.name, k.what})
	}
	return exitOK, a.list(all, c.JSON)
}

type portsCmd struct {
	JSON bool `help:"One JSON object per line."`
}

func (c *portsCmd) run(a *app) (int, error) {
	var all []listed
	for _, p := range serialPorts() {
		all = append(all, listed{Name: p})
	}
	if len(all) == 0 {
		fmt.Fprintln(a.err, "no serial port of a USB adapter found; another kind can be given to --port all the same")
	}
	return exitOK, a.list(all, c.JSON)
}

func (a *app) list(all []listed, asJSON bool) error {
	enc := json.NewEncoder(a.out)
	for _, l := range all {
		var err error
		if asJSON {
			err = enc.Encode(l)
		} else {
			_, err = fmt.Fprintln(a.out, strings.TrimSpace(fmt.Sprintf("%-8s %s", l.Name, l.What)))
		}
		if err != nil {
			return err
		}
	}
	return nil
}

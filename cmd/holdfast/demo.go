package main

import (
	"os"
	"path/filepath"

	"example.org/holdfast/internal/holdlog"
	"example.org/holdfast/internal/profile"
)

type demoCmd struct {
	Tight bool    `help:"A section without a leak."`
	Leak  string  `placeholder:"2.5%/h" help:"Leak of the section, as a share of its pressure."`
	Seed  uint64  `default:"1" help:"Another seed, another room and noise."`
	Speed float64 `default:"60" help:"How much faster than real time it runs."`
	For   string  `default:"1h" help:"How long the hold lasts."`
	Log   string  `placeholder:"FILE" help:"Keep the log; else it is thrown away."`
	viewFlags
}

// demoSettings are the words of the demonstration: the circuit of a bottle cooler.
func demoSettings() holdlog.Settings {
	return holdlog.Settings{
		Section: "bottle cooler, condenser and drier", Refrigerant: "R600a", Charge: 0.045,
		Volume: 0.25e-3, VolumeError: 0.05, Limit: "12g/yr", Thermometer: "room",
	}
}

func (c *demoCmd) run(a *app) (int, error) {
	h := holdCmd{For: c.For, viewFlags: c.viewFlags, simFlags: simFlags{SimLeak: c.Leak, SimSeed: c.Seed, SimSpeed: c.Speed}}
	if c.Tight {
		h.SimLeak = "0"
	}
	p := livePlan{path: c.Log, header: holdlog.Header{Settings: demoSettings()}}
	if err := h.settle(a, &p, []profile.Profile{{Driver: "sim"}}); err != nil {
		return exitUsage, err
	}
	p.view.title = "demo, simulated"
	if p.path == "" {
		folder, err := os.MkdirTemp("", "holdfast-demo-")
		if err != nil {
			return exitIO, err
		}
		p.path = filepath.Join(folder, "demo.jsonl")
		p.closing = func() { _ = os.RemoveAll(folder) } // the system clears its own folder where we cannot
	}
	return a.live(p)
}

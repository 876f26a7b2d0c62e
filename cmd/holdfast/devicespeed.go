package main

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"example.org/holdfast/internal/profile"
	"example.org/holdfast/internal/trial"
)

// usualSpeeds are the baud rates that instruments leave the factory with, the most usual first (common practice, no source).
func usualSpeeds() []int { return []int{9600, 115200, 19200, 57600, 38400, 4800, 2400, 1200} }

// speedTrial is how long a speed is tried: some boards restart when a port is opened, and then say a line a second.
const speedTrial = 4 * time.Second

// otherSpeed looks for the speed of a device on a serial port of which nothing
// could be read. It only listens, or asks what the device was asked already; false
// = there is nothing to say.
func (a *app) otherSpeed(p profile.Profile, r trial.Result) (trial.Finding, bool) {
	if k, err := kindNamed(p.Driver); err != nil || !slices.Contains(strings.Fields(k.takes), "--baud") {
		return trial.Finding{}, false
	}
	if r.Readings > 0 || slices.ContainsFunc(r.Findings, func(f trial.Finding) bool { return f.What == "port" }) {
		return trial.Finding{}, false
	}
	said := portOf(p).speed()
	fmt.Fprintf(a.err, "nothing can be read at %d baud; trying other speeds\n", said)
	var tried []string
	for _, baud := range usualSpeeds() {
		if baud == said {
			continue
		}
		p.Baud = baud
		if readable(p) {
			return trial.Finding{What: "baud", Words: fmt.Sprintf("at %d baud it can be read: add --baud %d, or baud = %d to its profile", baud, baud, baud), Bad: true}, true
		}
		tried = append(tried, fmt.Sprint(baud))
	}
	return trial.Finding{What: "baud", Words: "nor can it be read at " + strings.Join(tried, ", ") + " baud: check the wires, the parity, the fields, and whether it has power", Bad: true}, true
}

// readable reports that most of what a device says makes sense as it is set up.
func readable(p profile.Profile) bool {
	ins, err := buildDevices([]profile.Profile{p}, deviceOptions{})
	if err != nil {
		return false
	}
	long := max(speedTrial, time.Duration(2.5*p.Spec.Interval*float64(time.Second)))
	heard, err := listen(ins[0], long)
	r := trial.Look(afterStart(heard), trial.Setup{})
	return err == nil && r.Readings > 0 && r.Readings >= r.Doubts
}

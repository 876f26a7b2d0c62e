package main

import (
	"errors"
	"fmt"
	"strings"

	"example.org/holdfast/internal/tui/start"
)

const shortHelp = `holdfast tells whether a closed-off section under standing pressure is tight, leaking or unproven.

  holdfast demo          a hold on a simulated bench; needs no device
  holdfast hold          record and judge a hold as it happens
  holdfast replay FILE   show a saved hold again
  holdfast judge FILE    the verdict of a saved hold
  holdfast --help        all commands

On a terminal, holdfast alone opens the start screen.
`

// start is holdfast without a command: the start screen, then what was chosen
// there. Where that cannot be, the screen comes back with all answers and the reason.
func (a *app) start() (int, error) {
	if !a.fullScreen() {
		fmt.Fprint(a.out, shortHelp)
		return exitOK, nil
	}
	m := start.New(a.startOptions())
	for {
		if code, err := a.screen(m); code != exitOK || err != nil {
			return code, err
		}
		code, err := a.carryOut(m.Choice())
		var early *notBegun
		if !errors.As(err, &early) {
			return code, err
		}
		f := explain(err)
		m.Again(strings.TrimSpace(f.Error() + ". " + f.hint))
	}
}

// startOptions are what is at hand for the start screen.
func (a *app) startOptions() start.Options {
	return start.Options{Look: a.look(false), Logs: a.savedLogs(), GoOn: true,
		Instruments: a.offeredInstruments(), Probes: chipsFound("w1"), Profiles: a.profilesHere(),
		Sections: a.jobsHere(), OpenJob: jobSections, AddSection: addSection, AddJoint: a.addJoint,
		Check: a.checkHold, Plan: a.planLines}
}

// notBegun is the error of what could not even begin: nothing was recorded and no answer is lost.
type notBegun struct{ err error }

func (e *notBegun) Error() string { return e.err.Error() }

func (e *notBegun) Unwrap() error { return e.err }

// carryOut does what was chosen on the start screen.
func (a *app) carryOut(c start.Choice) (int, error) {
	live := viewFlags{Every: defaultEvery}
	look := replayCmd{File: c.Path, With: c.With, Speed: 100, Every: "1m"}
	switch c.Kind {
	case start.NewHold:
		h, profiles, err := holdOf(c.Hold)
		if err != nil {
			return exitUsage, &notBegun{err}
		}
		return h.record(a, profiles)
	case start.GoOn:
		return (&holdCmd{Continue: c.Path, viewFlags: live}).record(a, nil)
	case start.OpenLog, start.Compare:
		code, err := look.run(a)
		if err != nil {
			err = &notBegun{err} // a screen that only shows changes nothing
		}
		return code, err
	case start.Calibrate:
		code, err := (&calibrateCmd{Profile: c.Path, For: "5s"}).run(a)
		if err != nil {
			err = &notBegun{err} // nothing was written
		}
		return code, err
	case start.Demo:
		return (&demoCmd{Seed: 1, Speed: 60, For: "1h", viewFlags: live}).run(a)
	}
	return exitOK, nil
}

package main

import (
	"errors"
	"strings"

	"example.org/holdfast/internal/profile"
	"example.org/holdfast/internal/tui/start"
	"example.org/holdfast/internal/units"
)

// holdOf makes of a filled-in form what the flags would be, and the devices.
func holdOf(h start.Hold) (holdCmd, []profile.Profile, error) {
	c := holdCmd{AskEvery: h.AskEvery, For: h.For, viewFlags: viewFlags{Every: defaultEvery}, settingsFlags: flagsOf(h),
		jobFlags: jobFlags{Job: h.Job, SectionID: h.SectionID}}
	if h.Profile != "" {
		p, err := profile.Load(h.Profile)
		return c, []profile.Profile{p}, err
	}
	p := profile.Profile{Driver: h.Device, Port: h.Port, Command: h.Command, Fields: h.Fields}
	if h.Device == "line" {
		p.Fields = fieldsOf(h)
	}
	for _, f := range []struct{ flag, text string }{{"--baud", h.Baud}, {"--parity", h.Parity}, {"--unit-id", h.UnitID}} {
		if f.text == "" {
			continue
		}
		if err := deviceSetters()[f.flag](&p, f.text); err != nil {
			return c, nil, usage("", "%s: %w", strings.TrimPrefix(f.flag, "--"), err)
		}
	}
	profiles := []profile.Profile{p}
	if h.Probe != "" {
		profiles = append(profiles, profile.Profile{Driver: "w1", Port: h.Probe})
	}
	return c, profiles, nil
}

// checkHold says what cannot be of a filled-in form, without opening or writing anything.
func (a *app) checkHold(h start.Hold) error {
	c, profiles, err := holdOf(h)
	if err == nil {
		err = c.settle(a, &livePlan{}, profiles)
	}
	if err == nil {
		return nil
	}
	f := explain(withoutFlag(err))
	if f.hint == "" || strings.Contains(f.hint, "`") { // advice for the command line is none here
		return f
	}
	return errors.New(f.Error() + ". " + f.hint)
}

// flagsOf makes of a filled-in form what the flags would be.
func flagsOf(h start.Hold) settingsFlags {
	f := settingsFlags{
		Gas: h.Gas, Refrigerant: h.Refrigerant, Charge: h.Charge, Volume: h.Volume, Limit: h.Limit, Tolerate: h.Tolerate,
		PressureStep: h.Step, Section: h.Section, Thermometer: h.Thermometer, Unit: h.Unit, Accept: h.Accept,
		Brazed: h.Heated,
	}
	if h.Ceiling != "" {
		f.Ceiling = withUnit(h.Ceiling, h.Unit)
	}
	if h.Vacuum {
		f.Kind = "vacuum"
	}
	return f
}

// fieldsOf is what a line is taken to hold: the pressure in the unit of the
// person, gauge or absolute as the form says, then the temperature, if there is one.
func fieldsOf(h start.Hold) string {
	fields := "pressure_" + strings.ToLower(or(h.Unit, "bar"))
	switch {
	case h.Unit == "Pa" || h.Unit == "mbar": // of a vacuum, as micron always is
		fields += "_abs"
	case h.Absolute && h.Unit == "psi":
		fields = "pressure_psia"
	case h.Absolute:
		fields += "_abs"
	}
	switch {
	case h.Thermometer == "none", h.Probe != "":
		return fields
	case h.Thermometer == "part":
		return fields + ",section_c"
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

package main

import (
	"errors"
	"fmt"
	"math"
	"path/filepath"
	"strings"

	"example.org/holdfast/internal/holdlog"
	"example.org/holdfast/internal/job"
	"example.org/holdfast/internal/plan"
	"example.org/holdfast/internal/tui/start"
	"example.org/holdfast/internal/units"
)

// jobsHere are the sections of the job files in the folder where the program was started and in that of the logs.
func (a *app) jobsHere() (out []start.Section) {
	for _, f := range a.tomlFiles() {
		if sections, err := jobSections(f); err == nil { // another kind of file, such as a profile, is not offered
			out = append(out, sections...)
		}
	}
	return out
}

// jobSections are the sections of a job file that can be held, with what the job knows of them.
func jobSections(path string) (out []start.Section, err error) {
	j, err := job.Load(path)
	if err != nil {
		return nil, err
	}
	for _, s := range j.Sections {
		var set holdlog.Settings
		j.Settings(s.ID, &set)
		h := start.Hold{Job: path, SectionID: s.ID, Section: set.Section, Refrigerant: set.Refrigerant, Limit: set.Limit, Tolerate: set.Tolerate}
		if set.Volume > 0 {
			h.Volume = units.FormatVolume(set.Volume)
			if set.VolumeError > 0 {
				h.Volume += " ±" + units.FormatShare(set.VolumeError)
			}
		}
		if set.Charge > 0 {
			h.Charge = units.FormatMass(set.Charge)
		}
		if set.Ceiling > 0 {
			h.Ceiling = units.FormatPressure(float64(set.Ceiling), "bar")
		}
		label := fmt.Sprintf("%s: %s", filepath.Base(path), oneLine(s.Title()))
		if joints := jointsOf(j, s); len(joints) > 0 {
			label += ", joints " + strings.Join(joints, ", ")
		}
		out = append(out, start.Section{Label: label, Hold: h})
	}
	return out, nil
}

// addSection writes a section into its job file, which is begun where it is not there yet.
func addSection(s start.NewSection) error {
	if !exists(s.Job) {
		if err := job.Create(s.Job, []job.Value{{Key: "appliance", Value: s.Appliance}, {Key: "refrigerant", Value: s.Refrigerant},
			{Key: "charge", Value: s.Charge}, {Key: "guarantee", Value: s.Guarantee}}); err != nil {
			return err
		}
	}
	if j, err := job.Load(s.Job); err != nil {
		return err
	} else if _, there := j.Section(s.ID); there {
		return fmt.Errorf("%q is a section of it already", s.ID)
	}
	_, err := addOrChange(s.Job, "section", s.ID, []job.Value{{Key: "id", Value: s.ID}, {Key: "name", Value: s.Name}, {Key: "volume", Value: s.Volume},
		{Key: "side", Value: s.Side}, {Key: "ceiling", Value: s.Ceiling}, {Key: "limit", Value: s.Limit}})
	return err
}

// addJoint writes a joint into its job file; a new one was made now.
func (a *app) addJoint(x start.NewJoint) error {
	if j, err := job.Load(x.Job); err != nil {
		return err
	} else if _, there := j.Joint(x.ID); there {
		return fmt.Errorf("%q is a joint of it already", x.ID)
	}
	c := jobJointCmd{File: x.Job, ID: x.ID, Section: x.Section, Name: x.Name, Metals: x.Metals, Method: x.Method,
		Buried: x.Buried, Old: x.Old, AfterCharging: x.AfterCharging}
	_, err := c.write(a)
	return err
}

// jointsOf are the joints that stand in a section itself.
func jointsOf(j *job.Job, s job.Section) (ids []string) {
	for _, x := range j.Joints {
		if x.Section == s.ID {
			ids = append(ids, oneLine(x.ID))
		}
	}
	return ids
}

// planLines says what the hold of a filled-in form can show, in a few
// sentences: the ceiling, the smallest leak, and when the limit is proven.
func (a *app) planLines(h start.Hold) []string {
	c := planCmd{Job: h.Job, SectionID: h.SectionID, For: h.For, Manual: h.Device == "manual", AskEvery: h.AskEvery, settingsFlags: flagsOf(h)}
	r, p, err := c.make(a.now())
	var above *plan.OverCeilingError
	switch {
	case errors.As(err, &above):
		return []string{"! " + above.Error() + "."}
	case err != nil:
		return []string{"This cannot be planned: " + withoutFlag(err).Error()}
	}
	unit := or(h.Unit, "bar")
	out := []string{fmt.Sprintf("Never above %s gauge: %s.", units.FormatPressure(float64(p.Ceiling.Pressure), unit), strings.ReplaceAll(p.Ceiling.Why, " (--ceiling)", ""))}
	out = append(out, sightLine(r, p, unit))
	switch within := roundUp(math.Max(p.NineAfter, 0), 300); {
	case !p.Limit.Set:
		out = append(out, "No limit is set: it can say leaking or unproven, never tight.")
	case p.NineAfter < 0:
		out = append(out, fmt.Sprintf("! The limit of %s is not proven within a day with these instruments.", p.Limit.Text))
	case p.NineAfter > r.For:
		out = append(out, fmt.Sprintf("! The limit of %s needs about %s, longer than planned.", p.Limit.Text, duration(within)))
	default:
		out = append(out, fmt.Sprintf("A tight section is proven to the limit of %s after about %s.", p.Limit.Text, duration(within)))
	}
	return out
}

// sightLine says the smallest leak that the hold planned sees in nine of ten cases.
func sightLine(r plan.Request, p plan.Plan, unit string) string {
	at := units.FormatPressure(float64(p.Pressure), unit)
	best := plan.Sight{}
	for _, s := range p.Sights {
		if s.After <= r.For {
			best = s
		}
	}
	if best.After == 0 {
		return fmt.Sprintf("! In %s nothing can be proven with these instruments: hold longer.", duration(r.For))
	}
	text := fmt.Sprintf("Filled to %s it sees leaks from about %s on in %s", at, leak(best.Nine), duration(best.After))
	if more := rest(best.Nine); more != "" {
		text += " (" + more + ")"
	}
	return text + ", in a still room."
}

package main

import (
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"example.org/holdfast/internal/job"
	"example.org/holdfast/refdata"
)

// jobCmd are the commands on a job file.
type jobCmd struct {
	New     jobNewCmd     `cmd:"" help:"Begin a job file."`
	Show    jobShowCmd    `cmd:"" help:"What is proven, what the holds tell together, what to do next."`
	Section jobSectionCmd `cmd:"" help:"Add a section, or change what is known of one."`
	Joint   jobJointCmd   `cmd:"" help:"Add a joint, or change what is known of one."`
	Hold    jobHoldCmd    `cmd:"" help:"Enter the log of a hold."`
	Mark    jobMarkCmd    `cmd:"" help:"Enter what was done or seen: remade, soaped, clean, heated, tapped, cured and more."`
	Gate    jobGateCmd    `cmd:"" help:"May this section be buried? A list that only evidence fills."`
}

// jobAnswer is what the commands that change a job file say.
type jobAnswer struct {
	JSON bool `help:"Say as JSON what was done."`
}

func (c jobAnswer) say(a *app, file, format string, args ...any) (int, error) {
	did := fmt.Sprintf(format, args...)
	if c.JSON {
		return exitOK, json.NewEncoder(a.out).Encode(struct {
			V    int    `json:"v"`
			File string `json:"file"`
			Did  string `json:"did"`
		}{1, file, did})
	}
	fmt.Fprintf(a.err, "%s: %s\n", oneLine(file), oneLine(did))
	return exitOK, nil
}

// jobTrouble sorts the errors of a job file: what was typed, or the file.
func jobTrouble(err error) error {
	var io *fs.PathError
	if errors.As(err, &io) || errors.Is(err, job.ErrExists) {
		return trouble(err, "")
	}
	return usage("Give another value, or edit the file by hand.", "%w", err)
}

type jobNewCmd struct {
	File        string `arg:"" help:"The job file; it must not exist."`
	Appliance   string `placeholder:"TEXT" help:"What is repaired, in general terms."`
	Refrigerant string `placeholder:"R290" help:"Refrigerant of the circuit."`
	Charge      string `placeholder:"60g" help:"Charge of the circuit."`
	Guarantee   string `placeholder:"2y" help:"How long the repair is answered for."`
	Limit       string `placeholder:"20g/yr" help:"Largest leak allowed in each section; without it a fifth of the charge within the guarantee, divided by 3."`
	Tolerate    string `placeholder:"20%/2y" help:"Share of the charge that may be lost, where it is not a fifth within the guarantee."`
	Vacuum      string `placeholder:"80Pa@60min" help:"What the last vacuum hold has to meet, or the name of a published acceptance; help lists them."`
	jobAnswer
}

func (c *jobNewCmd) run(a *app) (int, error) {
	if c.Vacuum == "help" {
		listAcceptances(a.out)
		return exitOK, nil
	}
	err := job.Create(c.File, []job.Value{
		{Key: "appliance", Value: c.Appliance}, {Key: "refrigerant", Value: c.Refrigerant}, {Key: "charge", Value: c.Charge},
		{Key: "guarantee", Value: c.Guarantee}, {Key: "limit", Value: c.Limit}, {Key: "tolerate", Value: c.Tolerate}, {Key: "vacuum", Value: c.Vacuum},
	})
	if err != nil {
		return exitUsage, jobTrouble(err)
	}
	return c.say(a, c.File, "begun")
}

type jobSectionCmd struct {
	File    string   `arg:"" help:"The job file."`
	ID      string   `required:"" placeholder:"WORD" help:"Short name of the section. One that is there is changed."`
	Name    string   `placeholder:"TEXT" help:"What it is, in your words."`
	Volume  string   `placeholder:"0.12L" help:"Its volume, ±5% may follow."`
	Side    string   `placeholder:"low" help:"high or low."`
	Ceiling string   `placeholder:"10bar" help:"Highest gauge pressure of its weakest part."`
	Limit   string   `placeholder:"10g/yr" help:"Its limit, where it is not that of the job."`
	Parts   []string `placeholder:"A,B" help:"The sections that it consists of."`
	Blank   bool     `help:"It is hose and valve on a plug."`
	jobAnswer
}

func (c *jobSectionCmd) run(a *app) (int, error) {
	did, err := addOrChange(c.File, "section", c.ID, []job.Value{
		{Key: "id", Value: c.ID}, {Key: "name", Value: c.Name}, {Key: "volume", Value: c.Volume}, {Key: "side", Value: c.Side},
		{Key: "ceiling", Value: c.Ceiling}, {Key: "limit", Value: c.Limit}, {Key: "parts", Value: c.Parts}, {Key: "blank", Value: c.Blank},
	})
	if err != nil {
		return exitUsage, jobTrouble(err)
	}
	return c.say(a, c.File, "section %s %s", c.ID, did)
}

type jobJointCmd struct {
	File          string `arg:"" help:"The job file."`
	ID            string `required:"" placeholder:"WORD" help:"Short name of the joint, as in marks: c1. One that is there is changed."`
	Section       string `placeholder:"ID" help:"The section that it belongs to."`
	Name          string `placeholder:"TEXT" help:"What it joins, in your words."`
	Metals        string `placeholder:"copper-steel" help:"The metals."`
	Method        string `placeholder:"TEXT" help:"How it was made: filler, lock ring, pinch."`
	Buried        bool   `help:"It will be buried."`
	Old           bool   `help:"It was there before the repair."`
	AfterCharging bool   `help:"The process tube: closed after charging, when nothing can be held any more."`
	At            string `placeholder:"TIME" help:"When it was made (RFC 3339): no hold from before proves it. A new one without this was made now."`
	jobAnswer
}

func (c *jobJointCmd) run(a *app) (int, error) {
	did, err := c.write(a)
	if err != nil {
		return exitUsage, err
	}
	return c.say(a, c.File, "joint %s %s", c.ID, did)
}

// write adds the joint or changes it, and says which.
func (c *jobJointCmd) write(a *app) (did string, err error) {
	made, err := c.made(a)
	if err != nil {
		return "", err
	}
	did, err = addOrChange(c.File, "joint", c.ID, []job.Value{
		{Key: "id", Value: c.ID}, {Key: "section", Value: c.Section}, {Key: "name", Value: c.Name}, {Key: "metals", Value: c.Metals}, {Key: "method", Value: c.Method},
		{Key: "made", Value: made}, {Key: "buried", Value: c.Buried}, {Key: "old", Value: c.Old}, {Key: "after_charging", Value: c.AfterCharging},
	})
	if err != nil {
		return "", jobTrouble(err)
	}
	if !made.IsZero() {
		did += fmt.Sprintf(", made %s: no hold from before that proves it; another time: --at, there before the repair: --old", made.Format("2006-01-02 15:04"))
	}
	return did, nil
}

// made is when the joint was made: --at, or of one that is new in the file now;
// zero = one of the factory, one that is closed after charging, or not said again.
func (c *jobJointCmd) made(a *app) (at time.Time, err error) {
	if c.At == "" {
		if c.Old || c.AfterCharging {
			return at, nil
		}
		j, err := job.Load(c.File)
		if err != nil {
			return at, jobTrouble(err)
		}
		if _, there := j.Joint(c.ID); there {
			return at, nil
		}
	}
	return a.moment(c.At)
}

// addOrChange adds a table with this id, or changes the one that is there.
func addOrChange(file, table, id string, values []job.Value) (did string, err error) {
	j, err := job.Load(file)
	if err != nil {
		return "", err
	}
	_, section := j.Section(id)
	_, joint := j.Joint(id)
	if table == "section" && section || table == "joint" && joint {
		return "changed", job.Change(file, table, id, values)
	}
	return "added", job.Add(file, table, values)
}

type jobHoldCmd struct {
	File     string   `arg:"" help:"The job file."`
	Log      string   `arg:"" help:"The log; it stands beside the job file or in a folder of it."`
	Section  string   `required:"" placeholder:"ID" help:"What was held."`
	Joints   []string `placeholder:"A,B" help:"The joints in it, where not all of the section."`
	Fittings []string `placeholder:"A,B" help:"Hose, valves and caps that were in it and do not stay: what is in another hold too is told by them."`
	Note     string   `placeholder:"TEXT" help:"In your words."`
	Kind     string   `placeholder:"vacuum" help:"pressure or vacuum, where the file does not say it."`
	Start    string   `placeholder:"TIME" help:"When it began (RFC 3339), where the file has no time of day."`
	jobAnswer
}

func (c *jobHoldCmd) run(a *app) (int, error) {
	entry := job.Hold{Section: c.Section, Joints: c.Joints, Fittings: c.Fittings, Note: c.Note, Kind: c.Kind}
	if c.Start != "" {
		var err error
		if entry.Start, err = a.moment(c.Start); err != nil {
			return exitUsage, err
		}
	}
	if err := enterHold(c.File, c.Log, entry); err != nil {
		return exitUsage, err
	}
	return c.say(a, c.File, "%s is a hold of %s", c.Log, c.Section)
}

// enterHold writes a log into a job file.
func enterHold(file, log string, h job.Hold) error {
	name, err := beside(file, log)
	if err != nil {
		return usage("Move the log to the job file.", "%w", err)
	}
	if _, err := os.Stat(log); err != nil {
		return trouble(err, "")
	}
	err = job.Add(file, "hold", []job.Value{
		{Key: "file", Value: name}, {Key: "section", Value: h.Section}, {Key: "kind", Value: h.Kind}, {Key: "start", Value: h.Start},
		{Key: "joints", Value: h.Joints}, {Key: "fittings", Value: h.Fittings}, {Key: "note", Value: h.Note},
	})
	if err != nil {
		return jobTrouble(err)
	}
	return nil
}

// beside gives the name of a log as seen from the job file.
func beside(file, log string) (string, error) {
	dir, err := filepath.Abs(filepath.Dir(file))
	if err != nil {
		return "", err
	}
	abs, err := filepath.Abs(log)
	if err != nil {
		return "", err
	}
	name, err := filepath.Rel(dir, abs)
	if err != nil || !filepath.IsLocal(name) {
		return "", fmt.Errorf("%q does not stand beside the job file %q", log, file)
	}
	return filepath.ToSlash(name), nil
}

type jobMarkCmd struct {
	File    string `arg:"" help:"The job file."`
	What    string `arg:"" help:"remade, added, cut, bent (these end what was proven before), soaped, clean, foams, heated, tapped, cured, sniffed, blown (a capillary, through and free), blocked (a capillary), pumped-one, pumped-both (evacuated from one side, from both) or note."`
	Joint   string `placeholder:"ID" help:"The joint."`
	Section string `placeholder:"ID" help:"The section, where it is not one joint."`
	Text    string `placeholder:"TEXT" help:"In your words."`
	Name    string `placeholder:"NAME" help:"Who did it or saw it."`
	At      string `placeholder:"TIME" help:"When (RFC 3339), where not now."`
	jobAnswer
}

func (c *jobMarkCmd) run(a *app) (int, error) {
	at, err := a.moment(c.At)
	if err != nil {
		return exitUsage, err
	}
	if !slices.Contains(job.Kinds(), job.Kind(c.What)) {
		return exitUsage, usage("A joint is remade, never remelted: take it apart, clean it, make it anew. `holdfast job mark --help` lists the kinds.", "%q is no kind of mark", c.What)
	}
	err = job.Add(c.File, "mark", []job.Value{
		{Key: "time", Value: at}, {Key: "what", Value: c.What}, {Key: "joint", Value: c.Joint}, {Key: "section", Value: c.Section},
		{Key: "text", Value: c.Text}, {Key: "name", Value: c.Name},
	})
	if err != nil {
		return exitUsage, jobTrouble(err)
	}
	code, err := c.say(a, c.File, "marked %s%s", c.What, strings.TrimRight(" "+or(c.Joint, c.Section), " "))
	switch job.Kind(c.What) {
	case job.Cut:
		sayCautions(a.err, refdata.Opening)
	case job.Remade, job.Added:
		sayCautions(a.err, refdata.Opening, refdata.Brazing)
	}
	return code, err
}

// moment reads a time of day; "" = now, to the second.
func (a *app) moment(text string) (time.Time, error) {
	if text == "" {
		return a.now().Truncate(time.Second), nil
	}
	t, err := time.Parse(time.RFC3339, text)
	if err != nil {
		return t, usage("Write it as 2026-03-02T08:00:00Z.", "%q is no time", text)
	}
	return t, nil
}

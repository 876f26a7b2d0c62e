package main

import (
	"bufio"
	"encoding/json"
	"fmt"
	"io"
	"time"

	"example.org/holdfast/internal/job"
)

type jobGateCmd struct {
	File    string `arg:"" help:"The job file."`
	Section string `required:"" placeholder:"ID" help:"The section to be buried."`
	Name    string `placeholder:"NAME" help:"Who answers for it. With everything else there, this closes the gate behind you and is kept."`
	Despite string `placeholder:"REASON" help:"Close up against advice; the reason and what was missing are kept and printed in the report."`
	At      string `placeholder:"TIME" help:"When (RFC 3339), where not now."`
	JSON    bool   `help:"Print the list as JSON."`
}

// exitRefused is the code of a gate that stays shut: nothing unproven is buried.
const exitRefused = 3

func (c *jobGateCmd) run(a *app) (int, error) {
	if c.Despite != "" && c.Name == "" {
		return exitUsage, usage("Add --name.", "--despite needs the name of who answers for it")
	}
	at, err := a.moment(c.At)
	if err != nil {
		return exitUsage, err
	}
	r, err := job.Read(c.File)
	if err != nil {
		return exitIO, jobTrouble(err)
	}
	g, err := r.Gate(c.Section, c.Name)
	if err != nil {
		return exitUsage, usage("`holdfast job show` lists the sections.", "%w", err)
	}
	closes := g.Closed == nil && c.Name != "" && (g.Clear || c.Despite != "")
	if closes {
		if g, err = c.closeUp(r, g, at); err != nil {
			return exitUsage, err
		}
	}
	if c.JSON {
		err = writeGateJSON(a.out, g)
	} else {
		err = writeGate(a.out, g)
	}
	if err != nil {
		return exitIO, fmt.Errorf("writing the list: %w", err)
	}
	if g.Clear || closes {
		return exitOK, nil
	}
	return exitRefused, nil
}

// closeUp writes the decision into the job file and gives the list as it stands then.
func (c *jobGateCmd) closeUp(r *job.Record, g job.Gate, at time.Time) (job.Gate, error) {
	up := job.Closeup{Section: c.Section, Time: at, Name: c.Name}
	if !g.Clear {
		up.Despite, up.Missing = c.Despite, g.Missing()
	}
	r.Closeups = append(r.Closeups, up)
	then, err := r.Gate(c.Section, c.Name)
	if err != nil {
		return g, err
	}
	if then.Closed == nil || g.Clear && !then.Clear {
		return g, usage("Give the time at which it is really closed up.", "at %s not all of this was there yet", at.Format(time.RFC3339))
	}
	err = job.Add(c.File, "closeup", []job.Value{
		{Key: "section", Value: up.Section}, {Key: "time", Value: up.Time}, {Key: "name", Value: up.Name},
		{Key: "despite", Value: up.Despite}, {Key: "missing", Value: up.Missing},
	})
	if err != nil {
		return g, jobTrouble(err)
	}
	return then, nil
}

// gateWord is the answer in a few words.
func gateWord(g job.Gate) string {
	switch {
	case g.Closed != nil && g.Closed.Despite != "":
		return "CLOSED UP AGAINST ADVICE"
	case g.Closed != nil && !g.Clear:
		return "CLOSED UP, BUT NOT PROVEN SINCE"
	case g.Closed != nil:
		return "CLOSED UP, ALL IN ORDER"
	case g.Clear:
		return "CLEAR"
	}
	return "NOT CLEAR: do not bury it yet"
}

// tick is the box before a line of the list.
func tick(c job.Check) string {
	switch {
	case c.OK:
		return "[x]"
	case c.Later:
		return "[ ]"
	}
	return "[!]"
}

func writeGate(w io.Writer, g job.Gate) error {
	b := bufio.NewWriter(w)
	paragraph(b, "", "  ", g.Section.Title()+": "+gateWord(g))
	for _, c := range g.Checks {
		paragraph(b, "  "+tick(c)+" ", "      ", c.Name+": "+c.Found)
	}
	if g.Closed != nil {
		text := fmt.Sprintf("Closed up %s by %s.", g.Closed.Time.Format("2006-01-02 15:04"), g.Closed.Name)
		if g.Closed.Despite != "" {
			text += " Against advice, because: " + g.Closed.Despite
		}
		paragraph(b, "  ", "  ", text)
	}
	paragraph(b, "  ", "  ", "A list of measurements, not a permit: local codes and licensed practice decide.")
	return b.Flush()
}

func writeGateJSON(w io.Writer, g job.Gate) error {
	type check struct {
		Name  string `json:"name"`
		OK    bool   `json:"ok"`
		Later bool   `json:"later"`
		Found string `json:"found"`
	}
	out := struct {
		V       int     `json:"v"`
		Section string  `json:"section"`
		Clear   bool    `json:"clear"`
		Closed  bool    `json:"closed"`
		Despite string  `json:"despite"`
		Checks  []check `json:"checks"`
	}{V: 1, Section: g.Section.ID, Clear: g.Clear, Closed: g.Closed != nil}
	if g.Closed != nil {
		out.Despite = g.Closed.Despite
	}
	for _, c := range g.Checks {
		out.Checks = append(out.Checks, check{c.Name, c.OK, c.Later, c.Found})
	}
	return json.NewEncoder(w).Encode(out)
}

package main

import (
	"encoding/json"
	"io"
	"time"

	"example.org/holdfast/internal/job"
	"example.org/holdfast/internal/units"
	"example.org/holdfast/internal/verdict"
)

// provenJSON is how far one joint or section is proven.
type provenJSON struct {
	ID       string       `json:"id"`
	Standing job.Standing `json:"standing"`
	File     *string      `json:"file"`           // of the hold that says so
	Start    *string      `json:"start"`          // of that hold
	Hides    *float64     `json:"hides_pa_per_h"` // what could still hide at its start pressure
	Hold     *float64     `json:"start_pa_abs"`
	Since    *string      `json:"stale_since"`
	Undated  []string     `json:"undated"` // joints that keep it from being proven: not said when they were made
}

// lastRiseJSON is the last hold under vacuum.
type lastRiseJSON struct {
	File  string       `json:"file"`
	Start string       `json:"start"`
	Word  verdict.Word `json:"verdict"`
	Sides *int         `json:"sides_pumped"` // null = not marked
	Dry   bool         `json:"dry"`          // met its acceptance, and nothing was touched since
}

func lastRiseOf(r *job.Record) *lastRiseJSON {
	e := r.LastRise()
	if e == nil {
		return nil
	}
	out := &lastRiseJSON{File: e.Hold.File, Start: e.Start.Format(time.RFC3339), Word: e.Word(), Dry: r.Dry()}
	if n := map[job.Kind]int{job.OneSide: 1, job.TwoSide: 2}[r.Pumped(e)]; n > 0 {
		out.Sides = &n
	}
	return out
}

func provenOf(id string, p job.Proof) provenJSON {
	out := provenJSON{ID: id, Standing: p.Standing, Undated: list(p.Undated)}
	if p.By == nil {
		return out
	}
	start := p.By.Start.Format(time.RFC3339)
	out.File, out.Start = &p.By.Hold.File, &start
	if e := p.By.State.Estimate; e.Valid {
		hides := max(e.Rate.Hi, 0) * units.SecondsPerHour
		out.Hides, out.Hold = &hides, &e.Start
	}
	if p.Standing == job.Stale {
		since := p.Since.Time.Format(time.RFC3339)
		out.Since = &since
	}
	return out
}

func writeJobJSON(w io.Writer, r *job.Record) error {
	out := struct {
		V        int           `json:"v"`
		Sections []provenJSON  `json:"sections"`
		Joints   []provenJSON  `json:"joints"`
		Reasons  []string      `json:"reasons"`
		Vacuum   *lastRiseJSON `json:"vacuum"`
	}{V: 1, Sections: []provenJSON{}, Joints: []provenJSON{}, Reasons: list(r.Reasons()), Vacuum: lastRiseOf(r)}
	for _, s := range r.Sections {
		out.Sections = append(out.Sections, provenOf(s.ID, r.ProofOfSection(s)))
	}
	for _, x := range r.Joints {
		out.Joints = append(out.Joints, provenOf(x.ID, r.ProofOfJoint(x)))
	}
	return json.NewEncoder(w).Encode(out)
}

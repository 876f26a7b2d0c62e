package main

import (
	"encoding/json"
	"io"
	"math"
	"time"

	"example.org/holdfast/internal/plan"
	"example.org/holdfast/internal/verdict"
	"example.org/holdfast/refdata"
)

// planJSON is the object of plan --json, version 1. Numbers are SI with the unit in the key; unknown is null.
type planJSON struct {
	V          int             `json:"v"`
	Ceiling    boundJSON       `json:"ceiling"`
	Binding    []boundJSON     `json:"also_binding"`
	Beside     []boundJSON     `json:"for_comparison"`
	Pressure   float64         `json:"pressure_pa_gauge"`
	OverReason *string         `json:"over_ceiling_reason"`
	PerKelvin  float64         `json:"pa_per_k"`
	Limit      *string         `json:"limit"`
	LimitRate  *leakJSON       `json:"limit_figures"`
	Smallest   []sightJSON     `json:"smallest_leak"`
	HalfAfter  *float64        `json:"limit_proven_half_s"`
	NineAfter  *float64        `json:"limit_proven_nine_in_ten_s"`
	NeededAt   *float64        `json:"pressure_needed_pa_gauge"`
	MostVolume *float64        `json:"largest_section_m3"`
	Complaint  *complaintJSON  `json:"complaint"`
	Published  []publishedJSON `json:"published"`
	Help       []helpJSON      `json:"help"`
	Cautions   []string        `json:"cautions"`
}

type boundJSON struct {
	Pressure float64 `json:"pa_gauge"`
	Why      string  `json:"why"`
	Kind     string  `json:"kind"`
	Source   string  `json:"source"`
}

type leakJSON struct {
	Rate        float64  `json:"pa_per_h"`
	Percent     float64  `json:"percent_per_h"`
	Throughput  *float64 `json:"throughput_pa_m3_per_s"`
	Refrigerant *float64 `json:"refrigerant_g_per_yr"`
}

type sightJSON struct {
	After    float64  `json:"after_s"`
	Half     leakJSON `json:"half_of_holds"`
	Nine     leakJSON `json:"nine_of_ten"`
	Restless leakJSON `json:"nine_of_ten_restless_room"`
}

type helpJSON struct {
	What   string `json:"what"`
	Enough bool   `json:"proves_limit"`
	leakJSON
}

type complaintJSON struct {
	Rate      float64  `json:"refrigerant_g_per_yr"`
	PerLimit  *float64 `json:"times_the_limit"`
	SeenAfter *float64 `json:"rings_after_s"`
}

type publishedJSON struct {
	Rate   float64 `json:"refrigerant_g_per_yr"`
	Text   string  `json:"what"`
	Source string  `json:"source"`
}

func writePlanJSON(w io.Writer, p plan.Plan) error {
	o := planJSON{
		V: 1, Ceiling: boundOf(p.Ceiling), Binding: boundsOf(p.Bounds), Beside: boundsOf(p.Beside),
		Pressure: float64(p.Pressure), OverReason: notEmpty(p.OverReason), PerKelvin: float64(p.PerKelvin),
		NeededAt: notZero(float64(p.NeededAt)), MostVolume: notZero(float64(p.MostVolume)),
	}
	if p.Limit.Set {
		leak := leakOf(p.LimitFigures)
		o.Limit, o.LimitRate = &p.Limit.Text, &leak
		o.HalfAfter, o.NineAfter = notNegative(p.HalfAfter), notNegative(p.NineAfter)
	}
	for _, s := range p.Sights {
		o.Smallest = append(o.Smallest, sightJSON{s.After, leakOf(s.Half), leakOf(s.Nine), leakOf(s.Restless)})
	}
	for _, h := range p.Help {
		o.Help = append(o.Help, helpJSON{h.What, h.Enough, leakOf(h.Figures)})
	}
	if c := p.Complaint; c.Rate > 0 {
		o.Complaint = &complaintJSON{c.Rate.GramsPerYear(), notZero(c.PerLimit), notNegative(c.SeenAfter)}
	}
	for _, a := range plan.Published() {
		o.Published = append(o.Published, publishedJSON{a.GramsPerYear, a.Text, a.Source + ", " + a.Locator})
	}
	for _, c := range refdata.CautionsOf(refdata.Filling) {
		o.Cautions = append(o.Cautions, c.Text)
	}
	enc := json.NewEncoder(w)
	enc.SetEscapeHTML(false)
	return enc.Encode(o)
}

func boundOf(b plan.Bound) boundJSON {
	return boundJSON{float64(b.Pressure), b.Why, string(b.Kind), b.Source + ", " + b.Locator}
}

func boundsOf(all []plan.Bound) []boundJSON {
	out := []boundJSON{}
	for _, b := range all {
		out = append(out, boundOf(b))
	}
	return out
}

func leakOf(f verdict.Figures) leakJSON {
	l := leakJSON{Rate: f.Rate.PerHour(), Percent: f.PercentPerHour}
	if f.HasThroughput {
		q := float64(f.Throughput)
		l.Throughput = &q
	}
	if f.HasRefrigerant {
		g := f.Refrigerant.GramsPerYear()
		l.Refrigerant = &g
	}
	return l
}

// notEmpty makes an empty text a null.
func notEmpty(s string) *string {
	if s == "" {
		return nil
	}
	return &s
}

// notZero makes a zero that means unknown a null.
func notZero(v float64) *float64 {
	if v == 0 {
		return nil
	}
	return &v
}

// spanOf makes a duration of seconds.
func spanOf(s float64) time.Duration { return time.Duration(math.Round(s * float64(time.Second))) }

package main

import (
	"encoding/json"
	"io"

	"example.org/holdfast/internal/decay"
	"example.org/holdfast/internal/hold"
	"example.org/holdfast/internal/units"
	"example.org/holdfast/internal/verdict"
)

// judgement is the object of judge --json, version 1. Numbers are SI with the
// unit in the key; times are s since the end of the filling; unknown is null.
type judgement struct {
	V             int             `json:"v"`
	File          string          `json:"file"`
	Kind          string          `json:"kind"`
	Gas           string          `json:"gas"`
	Verdict       verdict.Word    `json:"verdict"`
	Phrase        string          `json:"phrase"`
	Reasons       []string        `json:"reasons"`
	Warnings      []string        `json:"warnings"`
	Causes        []verdict.Cause `json:"causes"`
	Samples       int             `json:"samples"`
	Rejected      int             `json:"rejected"`
	Segment       int             `json:"segment"`
	HoldS         *float64        `json:"hold_s"`
	SettledAt     *float64        `json:"settled_at_s"`
	Start         *float64        `json:"start_pa_abs"`
	End           *float64        `json:"end_pa_abs"`
	Rate          *interval       `json:"rate_pa_per_h"`
	WidthFrom     *widthFrom      `json:"width_from"`
	Throughput    *interval       `json:"throughput_pa_m3_per_s"`
	Refrigerant   *interval       `json:"refrigerant_g_per_yr"`
	LimitRate     *float64        `json:"limit_pa_per_h"`
	Limit         *string         `json:"limit"`
	Called        *float64        `json:"called_leaking_at_s"`
	Opened        *float64        `json:"leak_opened_at_s"`
	MoreHold      *float64        `json:"more_hold_s"`
	Integrity     string          `json:"integrity"`
	IntegrityText string          `json:"integrity_text"`
	Narrower      *string         `json:"narrower_by"`
	Blank         *interval       `json:"blank_pa_per_h"`
	serviceJSON
	Rise *riseJSON `json:"rise,omitempty"`
}

// interval is a value with its two-sided interval.
type interval struct {
	decay.Interval
	Confidence float64 `json:"confidence"`
}

type widthFrom struct {
	Sensor      float64 `json:"sensor"`
	Temperature float64 `json:"temperature"`
	Settling    float64 `json:"settling"`
	Blank       float64 `json:"blank,omitempty"`
}

func writeJudgeJSON(w io.Writer, j judged) error {
	enc := json.NewEncoder(w)
	enc.SetEscapeHTML(false)
	return enc.Encode(judge(j))
}

// judge puts a State into the terms of the contract.
func judge(j judged) judgement {
	st := j.state
	set, v, e := st.Header.Settings, st.Verdict, st.Estimate
	o := judgement{
		V: 1, File: j.file, Kind: or(set.Kind, "pressure"), Gas: or(set.Gas, "nitrogen"),
		Verdict: v.Word, Phrase: v.Phrase, Reasons: list(v.Reasons), Warnings: list(v.Warnings), Causes: list(v.Causes),
		Samples: st.Samples, Rejected: st.Rejected, Segment: st.Segment,
		Called: rangAt(st), MoreHold: notNegative(v.MoreHold),
		Integrity: string(j.integrity.State()), IntegrityText: j.integrity.String(),
	}
	if st.Segment > 0 {
		o.HoldS = &[]float64{st.LastSampleAt - st.SegmentStart}[0]
	}
	if v.Limit.Set {
		perHour := v.Limit.Rate.PerHour()
		o.LimitRate, o.Limit = &perHour, &v.Limit.Text
	}
	if e.Start > 0 {
		o.Start, o.End = &e.Start, &e.End
	}
	o.serviceJSON = serviceOf(st.Service)
	o.Rise = riseOf(st.Rise)
	if e.Valid {
		o.leak(st)
	}
	return o
}

// leak puts in what the fit says.
func (o *judgement) leak(st *hold.State) {
	e, v := st.Estimate, st.Verdict
	o.SettledAt, o.Opened = notNegative(e.SettledAt), notNegative(e.OpenedAt)
	o.Rate = scaled(e.Rate, units.SecondsPerHour)
	if v.Narrower != "" {
		o.Narrower = &v.Narrower
	}
	o.WidthFrom = &widthFrom{e.WidthSensor, e.WidthTemperature, e.WidthSettling, 0}
	if b := st.Blank; b != nil {
		o.Blank, o.WidthFrom.Blank = scaled(b.Loss, units.SecondsPerHour), b.Share
	}
	amount := verdict.ByVolume(e, st.Header.Settings.VolumeSE()).Rate
	if p := st.PerPascal; p.HasThroughput {
		o.Throughput = scaled(amount, float64(p.Throughput))
	}
	if p := st.PerPascal; p.HasRefrigerant {
		o.Refrigerant = scaled(amount, p.Refrigerant.GramsPerYear())
	}
}

// rangAt is when a live hold rang for a leak in the last segment, s since its filling; nil = never.
func rangAt(st *hold.State) *float64 {
	if st.RangAt == 0 {
		return nil
	}
	return &st.RangAt
}

// scaled brings an interval into another unit: every leak figure is
// proportional to the loss of pressure.
func scaled(i decay.Interval, k float64) *interval {
	return &interval{decay.Interval{Value: i.Value * k, Lo: i.Lo * k, Hi: i.Hi * k}, 0.95}
}

func or(s, def string) string {
	if s == "" {
		return def
	}
	return s
}

// list is never null in JSON.
func list[T any](l []T) []T {
	if l == nil {
		return []T{}
	}
	return l
}

// notNegative makes the -1 of "not so" a null.
func notNegative(v float64) *float64 {
	if v < 0 {
		return nil
	}
	return &v
}

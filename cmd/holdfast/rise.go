package main

import (
	"fmt"

	"example.org/holdfast/internal/decay"
	"example.org/holdfast/internal/hold"
	"example.org/holdfast/internal/units"
)

// riseJSON is the field rise of judge --json, of a vacuum hold.
type riseJSON struct {
	Leak      *interval   `json:"leak_pa_per_h"`
	Plateau   *float64    `json:"plateau_pa"`
	Shape     decay.Shape `json:"shape"`
	Levelling float64     `json:"levelling_pa"`
	Water     *float64    `json:"water_pa"`
	PLeak     float64     `json:"probability_leak"`
	PMoisture float64     `json:"probability_moisture"`
}

func riseOf(e *decay.RiseEstimate) *riseJSON {
	if e == nil {
		return nil
	}
	r := &riseJSON{Shape: e.Shape, Levelling: e.Levelling, PLeak: e.PLeak, PMoisture: e.PMoisture}
	if e.Valid {
		r.Leak = scaled(e.Leak, units.SecondsPerHour)
	}
	if e.Plateau.Hi > 0 {
		r.Plateau = &e.Plateau.Value
	}
	if e.Water > 0 {
		r.Water = &e.Water
	}
	return r
}

// vacuumPressure writes an absolute pressure for people.
func vacuumPressure(pa float64) string {
	const micron = 101325.0 / 760 / 1000 // Pa; 1 Torr = 101325/760 Pa
	return fmt.Sprintf("%s Pa absolute (%s micron)", units.Significant(pa, 3), units.Significant(pa/micron, 3))
}

// riseFigures are the lines of numbers of a vacuum hold.
func riseFigures(st *hold.State) (out []figure) {
	e := st.Rise
	if e == nil || !e.Valid {
		return nil
	}
	perHour := func(v float64) string { return units.Significant(v*units.SecondsPerHour, 3) }
	return []figure{
		{"Pressure", vacuumPressure(e.Start) + " to " + vacuumPressure(e.End)},
		{"Steady rise", fmt.Sprintf("%s Pa/h, 95 %% interval %s to %s", perHour(e.Leak.Value), perHour(e.Leak.Lo), perHour(e.Leak.Hi))},
		{"Levelling rise", fmt.Sprintf("%s Pa; shape: %s", units.Significant(e.Levelling, 3), e.Shape)},
	}
}

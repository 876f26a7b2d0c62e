package main

import (
	"fmt"
	"io"
	"time"

	"example.org/holdfast/internal/decay"
	"example.org/holdfast/internal/hold"
	"example.org/holdfast/internal/units"
	"example.org/holdfast/refdata"
)

// listAcceptances writes the published acceptances of a vacuum with their sources.
func listAcceptances(w io.Writer) {
	fmt.Fprintln(w, "--accept takes a pressure and a time, such as 80Pa@60min or 600micron@1h, or one of these:")
	for _, a := range refdata.VacuumAcceptances() {
		start := "from any pressure"
		if a.Start > 0 {
			start = "from " + vacuumPressure(a.Start) + " or less"
		}
		fmt.Fprintf(w, "\n%s: %s, at most %s for %s\n", a.Name, start, vacuumPressure(a.Most), units.FormatDuration(time.Duration(a.After)*time.Second))
		paragraph(w, "  ", "  ", fmt.Sprintf("%s, %s (%s)", a.Source, a.Locator, a.Kind))
	}
	fmt.Fprintln(w, "\nLocal codes, the manual of the appliance and licensed practice decide which one counts.")
}

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
	out = []figure{
		{"Pressure", vacuumPressure(e.Start) + " to " + vacuumPressure(e.End)},
		{"Steady rise", fmt.Sprintf("%s Pa/h, 95 %% interval %s to %s", perHour(e.Leak.Value), perHour(e.Leak.Lo), perHour(e.Leak.Hi))},
		{"Levelling rise", fmt.Sprintf("%s Pa; shape: %s", units.Significant(e.Levelling, 3), e.Shape)},
	}
	if e.Water > 0 {
		out = append(out, figure{"Water", fmt.Sprintf("has %s at the last temperature, %s", vacuumPressure(e.Water), units.FormatTemperature(units.Temperature(e.Temp), "C"))})
	}
	return out
}

package main

import (
	"errors"
	"fmt"
	"strings"
	"time"

	"example.org/holdfast/internal/hold"
	"example.org/holdfast/internal/holdlog"
	"example.org/holdfast/internal/job"
	"example.org/holdfast/internal/plan"
	"example.org/holdfast/internal/units"
)

type planCmd struct {
	Job          string   `placeholder:"FILE" help:"A job file: it gives refrigerant, charge, limit, volume, side and ceiling; a flag goes first."`
	SectionID    string   `name:"section-id" placeholder:"ID" help:"The section of the job that you would hold."`
	Side         string   `enum:"low,high,whole," default:"" help:"Side of the circuit: low, high or whole (that of the job, else whole)."`
	Compressor   bool     `help:"The compressor is in the section or connected to it."`
	OldAluminium bool     `help:"Thin or corroded aluminium is in the section."`
	Rated        string   `placeholder:"25bar" help:"What the plate or the maker allows for the part (gauge)."`
	Connected    []string `placeholder:"hose:55bar" help:"What else is connected, and what it is made for. May be repeated."`
	Pressure     string   `placeholder:"10bar" help:"Gauge pressure of the hold (default 10 bar, or the ceiling)."`
	For          string   `default:"1h" help:"How long you would hold."`
	Manual       bool     `help:"A needle gauge, read by eye."`
	AskEvery     string   `placeholder:"10m" help:"Time between readings by eye."`
	Noise        string   `placeholder:"150Pa" help:"Standard deviation of one reading of the sensor."`
	Guarantee    string   `placeholder:"2y" help:"How long the repair is answered for: a fifth of the charge may go in that time (as --tolerate 20%/2y)."`
	Lost         string   `placeholder:"30g" help:"Refrigerant the appliance has lost, for comparison."`
	Over         string   `placeholder:"8months" help:"In what time it lost that."`
	JSON         bool     `help:"Print the plan as JSON."`
	settingsFlags
}

func (c *planCmd) run(a *app) (int, error) {
	r, p, err := c.make(a.now())
	if err != nil {
		return exitUsage, err
	}
	if c.JSON {
		return exitOK, writePlanJSON(a.out, p)
	}
	writePlan(a.out, r, p, or(c.Unit, "bar"))
	return exitOK, nil
}

// make reads the flags and makes the plan.
func (c *planCmd) make(now time.Time) (r plan.Request, p plan.Plan, err error) {
	over, err := c.overrides()
	if err != nil {
		return r, p, err
	}
	var h holdlog.Header
	if err := c.fromJob(now, &h.Settings); err != nil {
		return r, p, err
	}
	if err := over(&h); err != nil {
		return r, p, err
	}
	if err := c.guarantee(&h.Settings); err != nil {
		return r, p, err
	}
	if r, err = c.request(h.Settings); err != nil {
		return r, p, err
	}
	p, err = plan.Make(r)
	var above *plan.OverCeilingError
	switch {
	case errors.As(err, &above):
		err = usage(`Plan a lower pressure. If you must, say why: --over-ceiling "reason".`, "--pressure: %w", err)
	case err != nil:
		err = usage("", "%w", err)
	}
	return r, p, err
}

// fromJob lays what the job knows under the flags.
func (c *planCmd) fromJob(now time.Time, set *holdlog.Settings) error {
	from := jobFlags{Job: c.Job, SectionID: c.SectionID}
	if err := from.from("", now, set); err != nil || c.Job == "" {
		return err
	}
	set.Section = "" // the plan is of no record
	j, err := job.Load(c.Job)
	if err != nil {
		return jobTrouble(err)
	}
	if s, _ := j.Section(c.SectionID); c.Side == "" {
		c.Side = s.Side
	}
	return nil
}

// guarantee is the time in which a fifth of the charge may go (common practice, no source).
func (c *planCmd) guarantee(set *holdlog.Settings) error {
	if c.Guarantee == "" {
		return nil
	}
	if c.Limit != "" || c.Tolerate != "" {
		return usage("Leave one of them out.", "--guarantee: --limit or --tolerate says already what may be lost")
	}
	if span, err := units.ParseSpan(c.Guarantee); err != nil || span <= 0 {
		return usage("Give a time such as 2y or 18months.", "--guarantee: %q is no time", c.Guarantee)
	}
	set.Limit, set.Tolerate = "", "20%/"+c.Guarantee
	return nil
}

// request reads the flags.
func (c *planCmd) request(set holdlog.Settings) (r plan.Request, err error) {
	terms, err := hold.Resolve(set)
	if err != nil {
		return r, usage("Give what is missing as a flag.", "%w", err)
	}
	r = plan.Request{
		Terms: terms, Gas: terms.Gas(), Atmosphere: terms.Atmosphere(), Volume: set.Volume,
		Brazed: set.Brazed, OverReason: set.OverCeiling,
		Section: plan.Section{
			Refrigerant: terms.Refrigerant(), Side: plan.Side(or(c.Side, string(plan.Whole))), Compressor: c.Compressor, OldAluminium: c.OldAluminium,
		},
		With: plan.Instruments{
			Range: set.PressureRange, Step: set.PressureStep, ByHand: c.Manual,
			Thermometer: plan.Place(set.Thermometer), TempStep: set.TemperatureStep,
		},
	}
	if set.Ceiling > 0 {
		r.Connected = append(r.Connected, plan.Connected{Name: "section (--ceiling)", Rated: set.Ceiling})
	}
	if set.PressureRange > 0 {
		r.Connected = append(r.Connected, plan.Connected{Name: "sensor, its span", Rated: units.Gauge(set.PressureRange)})
	}
	for _, read := range []func(*plan.Request) error{c.pressures, c.times, c.complaint} {
		if err := read(&r); err != nil {
			return r, err
		}
	}
	return r, nil
}

// pressures are the gauge pressures among the flags.
func (c *planCmd) pressures(r *plan.Request) error {
	for _, p := range []struct {
		flag, text string
		to         *units.Gauge
	}{{"rated", c.Rated, &r.Rated}, {"pressure", c.Pressure, &r.Pressure}} {
		if p.text == "" {
			continue
		}
		v, err := parseGauge(p.text)
		if err != nil {
			return usage("", "--%s: %w", p.flag, err)
		}
		*p.to = v
	}
	for _, text := range c.Connected {
		name, rating, ok := strings.Cut(text, ":")
		v, err := parseGauge(rating)
		if !ok || err != nil || strings.TrimSpace(name) == "" {
			return usage("Write it as --connected hose:55bar.", "--connected: %q is not a name and a pressure", text)
		}
		r.Connected = append(r.Connected, plan.Connected{Name: strings.TrimSpace(name), Rated: v})
	}
	return nil
}

// parseGauge reads a gauge pressure above zero.
func parseGauge(text string) (units.Gauge, error) {
	p, err := units.ParsePressure(text, "")
	switch {
	case err != nil:
		return 0, err
	case p.Ref == units.AbsoluteRef:
		return 0, fmt.Errorf("%q is absolute; give a gauge pressure", text)
	case p.Pa <= 0:
		return 0, fmt.Errorf("%q is not above zero", text)
	}
	return units.Gauge(p.Pa), nil
}

// times are the durations and what belongs to the instruments.
func (c *planCmd) times(r *plan.Request) error {
	if err := seconds("for", c.For, &r.For); err != nil {
		return err
	}
	if r.For < 600 || r.For > 7*86400 {
		return usage("Give ten minutes to a week.", "--for: %q is no time for a hold", c.For)
	}
	if err := seconds("ask-every", c.AskEvery, &r.With.Interval); err != nil {
		return err
	}
	if c.Noise == "" {
		return nil
	}
	noise, err := units.ParsePressureDiff(c.Noise)
	if err != nil || noise <= 0 {
		return usage("Give a pressure such as 150Pa.", "--noise: %q is not understood", c.Noise)
	}
	r.With.Noise = noise
	return nil
}

// complaint is what was lost in what time.
func (c *planCmd) complaint(r *plan.Request) (err error) {
	if (c.Lost == "") != (c.Over == "") {
		return usage("Give both, such as --lost 30g --over 8months.", "--lost and --over belong together")
	}
	if c.Lost == "" {
		return nil
	}
	if r.Lost, err = units.ParseMass(c.Lost); err != nil {
		return usage("", "--lost: %w", err)
	}
	span, err := units.ParseSpan(c.Over)
	if err != nil || span <= 0 {
		return usage("Give a time such as 8months.", "--over: %q is no time", c.Over)
	}
	r.LostIn = span.Seconds()
	return nil
}

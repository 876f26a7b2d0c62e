package main

import (
	"encoding/csv"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"math"
	"os"
	"strings"

	"example.org/holdfast/internal/gas"
	"example.org/holdfast/internal/plan"
	"example.org/holdfast/internal/units"
)

type capillaryCmd struct {
	Tube     string `required:"" placeholder:"0.7mm:3m" help:"Bore and length of the capillary."`
	From     string `placeholder:"0.3L" help:"Volume at the filled end, ±5% may follow."`
	Into     string `default:"open" placeholder:"1.2L" help:"Volume at the other end, or open."`
	Before   string `placeholder:"8bar" help:"Pressure at the filled end before; of --measured its first reading."`
	Behind   string `default:"0bar" help:"Pressure at the other end before."`
	HalfTime string `placeholder:"80s" help:"Measured: how long until the pressures had come half way together."`
	Measured string `placeholder:"FILE" help:"Measured: CSV with elapsed_s, pressure_bar and, where the other end has a gauge, far_bar (units as in judge)."`
	Blown    string `enum:",free,nothing" default:"" help:"Blown through by hand: free, or nothing comes."`
	Gas      string `default:"nitrogen" help:"The gas."`
	Altitude string `placeholder:"1400m" help:"Height above sea level."`
	JSON     bool   `help:"Print the result as JSON."`
	capillaryJob
}

// Help is shown below the flags.
func (c *capillaryCmd) Help() string {
	return "Exit codes: 0 clear, or nothing was measured; 1 partly blocked or blocked; 3 not certain enough to say."
}

// certain is the confidence from which on a capillary is called one or the other.
const certain = 0.8

func (c *capillaryCmd) run(a *app) (int, error) {
	if (c.Job == "") != (c.SectionID == "") {
		return exitUsage, usage("Give both.", "--job and --section-id go together")
	}
	x, atmosphere, err := c.read()
	if err != nil {
		return exitUsage, usage("Such as --tube 0.7mm:3m --from 0.3L --into 1.2L --before 8bar --half-time 80s.", "%w", err)
	}
	if c.Blown != "" {
		code := c.blown(a)
		return code, c.enter(a, c.Blown == "free", c.Blown == "nothing", fmt.Sprintf("capillary %s blown through: %s", c.Tube, c.Blown))
	}
	readings, err := c.readings(atmosphere)
	if err != nil {
		return exitIO, err
	}
	if len(readings) > 0 {
		x.Before, x.Behind = c.begun(x, readings[0])
	}
	if err := x.Check(); err != nil {
		return exitUsage, usage("Give --from, --into, --before and --behind as they were.", "%w", err)
	}
	r, err := c.judge(x, readings)
	if err != nil {
		return exitUsage, usage("", "%w", err)
	}
	return c.say(a, x, r, atmosphere)
}

// begun is where both ends stood before, by the first reading where nothing else is said.
func (c *capillaryCmd) begun(x plan.Capillary, first plan.Reading) (before, behind units.Absolute) {
	before, behind = x.Before, x.Behind
	if c.Before == "" {
		before = first.Near
	}
	if !math.IsNaN(float64(first.Far)) {
		behind = first.Far
	}
	return before, behind
}

// say writes the result, enters it in the job and gives the exit code.
func (c *capillaryCmd) say(a *app, x plan.Capillary, r *plan.Clearance, atmosphere units.Absolute) (code int, err error) {
	if c.JSON {
		err = writeCapillaryJSON(a.out, x, r)
	} else {
		writeCapillary(a.out, x, r, atmosphere)
	}
	if err == nil && r != nil {
		text := fmt.Sprintf("capillary %s %s, %s", c.Tube, r.Word, sureness(r.Confidence))
		sure := r.Confidence >= certain
		err = c.enter(a, sure && r.Word == plan.Clear, sure && r.Word != plan.Clear, text)
	}
	switch {
	case err != nil:
		return exitIO, err
	case r == nil || r.Word == plan.Clear && r.Confidence >= certain:
		return exitOK, nil
	case r.Confidence < certain:
		return 3, nil
	}
	return 1, nil
}

// read reads the flags.
func (c *capillaryCmd) read() (x plan.Capillary, atmosphere units.Absolute, err error) {
	atmosphere = units.StandardAtmosphere
	if c.Altitude != "" {
		m, err := units.ParseAltitude(c.Altitude)
		if err != nil {
			return x, 0, fmt.Errorf("--altitude: %w", err)
		}
		if atmosphere, err = units.AtmosphereAt(m); err != nil {
			return x, 0, fmt.Errorf("--altitude: %w", err)
		}
	}
	if x.Tube, err = gas.ParseTube(c.Tube); err != nil {
		return x, 0, fmt.Errorf("--tube: %w", err)
	}
	if x.Gas, err = gas.Lookup(c.Gas); err != nil {
		return x, 0, fmt.Errorf("--gas: %w", err)
	}
	if c.Blown != "" {
		return x, atmosphere, nil
	}
	if err := c.volumes(&x); err != nil {
		return x, 0, err
	}
	for _, p := range []struct {
		flag, text string
		to         *units.Absolute
	}{{"before", c.Before, &x.Before}, {"behind", c.Behind, &x.Behind}} {
		if p.text == "" && c.Measured != "" {
			continue
		}
		v, err := units.ParsePressure(p.text, "")
		if err != nil {
			return x, 0, fmt.Errorf("--%s: %w", p.flag, err)
		}
		*p.to = v.Abs(atmosphere)
	}
	return x, atmosphere, nil
}

// usualVolumeError is the half-width of a volume of which nothing is said (common practice, no source).
const usualVolumeError = 0.1

func (c *capillaryCmd) volumes(x *plan.Capillary) error {
	var relative, into float64
	var err error
	if x.From, relative, err = units.ParseVolumeTolerance(c.From); err != nil {
		return fmt.Errorf("--from: %w", err)
	}
	x.Into = units.Volume(math.Inf(1))
	if !strings.EqualFold(c.Into, "open") {
		if x.Into, into, err = units.ParseVolumeTolerance(c.Into); err != nil {
			return fmt.Errorf("--into: %w", err)
		}
	}
	relative = max(relative, into)
	if relative == 0 {
		relative = usualVolumeError
	}
	x.VolumeSE = relative / 1.96
	return nil
}

// blown is the check where no end has a gauge: a mark, and that is enough.
func (c *capillaryCmd) blown(a *app) int {
	word, code, mark := plan.Clear, exitOK, "blown through, free"
	if c.Blown == "nothing" {
		word, code, mark = plan.Blocked, 1, "blown through, nothing comes"
	}
	if c.JSON {
		_ = json.NewEncoder(a.out).Encode(map[string]any{"v": 1, "word": word, "confidence": nil, "mark": mark})
		return code
	}
	fmt.Fprintf(a.out, "%s, by blowing through. Write it down as a mark: %q.\n", strings.ToUpper(string(word)), mark)
	fmt.Fprintln(a.out, "  Dry nitrogen, not breath and not shop air; hold the open end away from your face.")
	return code
}

// readings reads the measured curve.
func (c *capillaryCmd) readings(atmosphere units.Absolute) ([]plan.Reading, error) {
	if c.Measured == "" {
		return nil, nil
	}
	f, err := os.Open(c.Measured)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	out, err := readCurve(f, atmosphere)
	if err != nil {
		return nil, trouble(fmt.Errorf("%q: %w", c.Measured, err), "Columns elapsed_s, pressure_bar and, if there is a second gauge, far_bar.")
	}
	return out, nil
}

// readCurve reads a CSV of one or two pressures.
func readCurve(r io.Reader, atmosphere units.Absolute) ([]plan.Reading, error) {
	rows := csv.NewReader(r)
	rows.Comment, rows.TrimLeadingSpace = '#', true
	titles, err := rows.Read()
	if err != nil {
		return nil, err
	}
	c, err := curveColumnsOf(titles)
	if err != nil {
		return nil, err
	}
	var out []plan.Reading
	for {
		row, err := rows.Read()
		if errors.Is(err, io.EOF) {
			return out, nil
		}
		if err != nil {
			return nil, err
		}
		reading, err := c.read(row, atmosphere)
		if err != nil {
			return nil, err
		}
		out = append(out, reading)
	}
}

// curveColumns is where time and pressures stand in a row.
type curveColumns struct {
	elapsed   int
	far       int // of the pressure at the other end; -1 = only one end has a gauge
	pressures map[int]units.Column
}

func curveColumnsOf(titles []string) (curveColumns, error) {
	c := curveColumns{elapsed: -1, far: -1, pressures: map[int]units.Column{}}
	for i, title := range titles {
		name := strings.ToLower(strings.TrimSpace(title))
		unit, far := strings.CutPrefix(name, "far_")
		switch {
		case name == "elapsed_s":
			c.elapsed = i
			continue
		case far:
			c.far, name = i, "pressure_"+unit
		case !strings.HasPrefix(name, "pressure_"):
			continue
		}
		var err error
		if c.pressures[i], err = units.ParseColumn(name); err != nil {
			return c, err
		}
	}
	if c.elapsed < 0 || len(c.pressures) == 0 || len(c.pressures) == 1 && c.far >= 0 {
		return c, errors.New("the columns elapsed_s and pressure_bar are missing")
	}
	return c, nil
}

// read takes one row.
func (c curveColumns) read(row []string, atmosphere units.Absolute) (plan.Reading, error) {
	out := plan.Reading{Far: units.Absolute(math.NaN())}
	var err error
	if out.T, _, err = units.ParseNumber(row[c.elapsed]); err != nil {
		return out, err
	}
	for i, column := range c.pressures {
		v, _, err := units.ParseNumber(row[i])
		if err != nil {
			return out, err
		}
		p := units.Pressure{Pa: column.SI(v), Ref: column.Ref}.Abs(atmosphere)
		if i == c.far {
			out.Far = p
		} else {
			out.Near = p
		}
	}
	return out, nil
}

// judge says what was measured; nil = nothing was.
func (c *capillaryCmd) judge(x plan.Capillary, readings []plan.Reading) (*plan.Clearance, error) {
	if c.Measured != "" {
		r, err := x.Measured(readings)
		return &r, err
	}
	if c.HalfTime == "" {
		return nil, nil
	}
	d, err := units.ParseDuration(c.HalfTime)
	if err != nil || d <= 0 {
		return nil, fmt.Errorf("--half-time: %q is no time such as 80s", c.HalfTime)
	}
	const byHand = 1.0 // s, of a stop watch and a needle
	r := x.Judge(0, 0.5, d.Seconds(), byHand/d.Seconds())
	return &r, nil
}

// sureness is a confidence in words.
func sureness(p float64) string { return fmt.Sprintf("%.0f %% sure", 100*p) }

func writeCapillary(w io.Writer, x plan.Capillary, r *plan.Clearance, atmosphere units.Absolute) {
	say := func(format string, args ...any) { paragraph(w, "  ", "  ", fmt.Sprintf(format, args...)) }
	stated := units.Significant(1000*x.Tube.Bore, 2)
	switch {
	case r == nil:
	case r.Word == plan.Blocked:
		paragraph(w, "", "  ", fmt.Sprintf("BLOCKED, %s: it lets through no more than a bore of %s mm would, of %s.", sureness(r.Confidence), units.Significant(1000*r.Bore, 2), stated))
	case r.Confidence < certain:
		paragraph(w, "", "  ", fmt.Sprintf("NOT CERTAIN: %s at best (%s). It passes like a bore of %s mm, stated are %s.", r.Word, sureness(r.Confidence), units.Significant(1000*r.Bore, 2), stated))
		say("Measure the volumes (`holdfast volume`), use two gauges, measure again with the ends swapped.")
	default:
		paragraph(w, "", "  ", fmt.Sprintf("%s, %s: it passes like a bore of %s mm, stated are %s.", strings.ToUpper(string(r.Word)), sureness(r.Confidence), units.Significant(1000*r.Bore, 2), stated))
	}
	if r != nil && r.Confidence >= certain && r.Word != plan.Clear {
		say("Do not bury it and do not reuse it: replace it, and the drier with it.")
	}
	if r != nil && r.TooFast {
		say("That is faster than such a tube can be: check bore, length and volumes.")
	}
	into := "the open air"
	if !math.IsInf(float64(x.Into), 1) {
		into = units.FormatVolume(x.Into)
	}
	gauge := func(p units.Absolute) string {
		return units.FormatPressure(float64(p.Gauge(atmosphere)), "bar")
	}
	say("Expected of a clear one: %s from %s in %s, %s in %s. Half way together after %s, nine tenths after %s, 99 %% after %s; both end at %s gauge.",
		x.Gas.Name(), gauge(x.Before), units.FormatVolume(x.From), gauge(x.Behind), into,
		duration(x.Time(x.Tube.Bore, 0.5)), duration(x.Time(x.Tube.Bore, 0.9)), duration(x.Time(x.Tube.Bore, 0.99)), gauge(x.Final()))
	if r == nil {
		say("Measure it with --half-time or --measured. Where no end has a gauge, blow it through: `blown through, free` is a mark, and that is enough.")
	}
	say("In a hold this fall looks like a leak: wait it out, or give --capillary and --behind to the hold.")
	say("Reckoned as isothermal flow with friction, Hagen-Poiseuille or Blasius (any text on pipe flow, from memory), right to some 10 %%.")
}

func writeCapillaryJSON(w io.Writer, x plan.Capillary, r *plan.Clearance) error {
	o := struct {
		V          int             `json:"v"`
		Word       *plan.Clearness `json:"word"`
		Confidence *float64        `json:"confidence"`
		Bore       *float64        `json:"effective_bore_m"`
		Share      *float64        `json:"share_of_bore"`
		Half       float64         `json:"expected_half_s"`
		Nine       float64         `json:"expected_nine_tenths_s"`
		Final      float64         `json:"final_pa_abs"`
	}{V: 1, Half: x.Time(x.Tube.Bore, 0.5), Nine: x.Time(x.Tube.Bore, 0.9), Final: float64(x.Final())}
	if r != nil {
		o.Word, o.Confidence, o.Bore, o.Share = &r.Word, &r.Confidence, &r.Bore, &r.Share
	}
	return json.NewEncoder(w).Encode(o)
}

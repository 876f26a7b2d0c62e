package main

import (
	"encoding/json"
	"fmt"
	"io"
	"math"
	"strings"

	"example.org/holdfast/internal/gas"
	"example.org/holdfast/internal/hold"
	"example.org/holdfast/internal/holdlog"
	"example.org/holdfast/internal/plan"
	"example.org/holdfast/internal/units"
	"example.org/holdfast/refdata"
)

type volumeCmd struct {
	Tube       []string `group:"tubes" placeholder:"1/4in:2.5m" help:"Size and length of a tube: 1/4in:2.5m, 8x1mm:3m, steel 4.76mm:10m, aluminium 8mm:6m. May be repeated."`
	Capillary  []string `group:"tubes" placeholder:"0.7mm:3m" help:"Bore and length of a capillary."`
	Plate      []string `group:"tubes" placeholder:"0.3m2" help:"Area of a roll-bond plate; rough."`
	Add        []string `group:"tubes" placeholder:"0.05L" help:"Anything else as you know it, ±10% may follow."`
	Drier      bool     `group:"tubes" help:"A filter drier."`
	Compressor bool     `group:"tubes" help:"The shell of a small compressor; very rough."`

	Known  string `group:"expansion" placeholder:"0.5L" help:"Known volume, valve and hose included, that gas expands from; ±1% may follow."`
	Before string `group:"expansion" placeholder:"8bar" help:"Pressure in the known volume before."`
	Start  string `group:"expansion" default:"0bar" help:"Pressure in the section before."`
	After  string `group:"expansion" placeholder:"5bar" help:"Pressure in both, settled for ten minutes."`

	PressureAccuracy string `group:"expansion" default:"50mbar" help:"How well each of these pressures is known."`
	Gas              string `group:"expansion" default:"nitrogen" help:"The gas that expands."`
	Barometer        string `group:"expansion" placeholder:"101.3kPa" help:"Air pressure at the gauge."`
	Altitude         string `group:"expansion" placeholder:"1400m" help:"Height above sea level, where the barometer is not known."`
	JSON             bool   `help:"Print the result as JSON."`
}

// volumeResult is a volume with what it was reckoned from.
type volumeResult struct {
	how    string
	v, se  units.Volume
	pieces []plan.Piece
}

func (c *volumeCmd) run(a *app) (int, error) {
	var all []volumeResult
	pieces, err := c.pieces()
	if err != nil {
		return exitUsage, usage("", "%w", err)
	}
	if len(pieces) > 0 {
		v, se := plan.Sum(pieces)
		all = append(all, volumeResult{"tubes", v, se, pieces})
	}
	if c.Known != "" || c.Before != "" || c.After != "" {
		v, se, err := c.expand()
		if err != nil {
			return exitUsage, usage("Such as --known 0.5L --before 8bar --after 5bar --start 0bar.", "%w", err)
		}
		all = append(all, volumeResult{how: "expansion", v: v, se: se})
	}
	switch {
	case len(all) == 0:
		return exitUsage, usage("Such as --tube 1/4in:2.5m, or --known 0.5L --before 8bar --after 5bar.", "nothing to reckon a volume from")
	case c.JSON:
		return exitOK, writeVolumeJSON(a.out, all)
	}
	writeVolume(a.out, all)
	return exitOK, nil
}

// pieces are what is given of tubes and parts.
func (c *volumeCmd) pieces() ([]plan.Piece, error) {
	var out []plan.Piece
	for _, list := range []struct {
		flag  string
		texts []string
		read  func(string) (plan.Piece, error)
	}{{"tube", c.Tube, plan.TubePiece}, {"capillary", c.Capillary, plan.CapillaryPiece}, {"plate", c.Plate, readPlate}, {"add", c.Add, readStated}} {
		for _, text := range list.texts {
			p, err := list.read(text)
			if err != nil {
				return nil, fmt.Errorf("--%s: %w", list.flag, err)
			}
			out = append(out, p)
		}
	}
	if c.Drier {
		out = append(out, plan.DrierPiece())
	}
	if c.Compressor {
		out = append(out, plan.CompressorPiece())
	}
	return out, nil
}

func readPlate(text string) (plan.Piece, error) {
	area, err := units.ParseArea(text)
	return plan.PlatePiece(area), err
}

func readStated(text string) (plan.Piece, error) {
	v, relative, err := units.ParseVolumeTolerance(text)
	return plan.StatedPiece(v, relative), err
}

// settledWithin is how much warmer or colder than before the gas may still be after ten
// minutes, as a standard uncertainty (common practice, no source).
const settledWithin = units.TempDiff(0.3)

// atmosphere is the air pressure at the gauge.
func (c *volumeCmd) atmosphere() (units.Absolute, error) {
	var set holdlog.Settings
	var err error
	if c.Barometer != "" {
		if set.Barometer, err = units.ParseBarometer(c.Barometer); err != nil {
			return 0, fmt.Errorf("--barometer: %w", err)
		}
	}
	if c.Altitude != "" {
		if set.Altitude, err = units.ParseAltitude(c.Altitude); err != nil {
			return 0, fmt.Errorf("--altitude: %w", err)
		}
	}
	p, err := hold.Atmosphere(set)
	if err != nil {
		return 0, fmt.Errorf("--altitude: %w", err)
	}
	return p, nil
}

// expand reckons the volume that gas expanded into.
func (c *volumeCmd) expand() (v, se units.Volume, err error) {
	atmosphere, err := c.atmosphere()
	if err != nil {
		return 0, 0, err
	}
	x := plan.Expansion{TemperatureSE: settledWithin}
	if x.Gas, err = gas.Lookup(c.Gas); err != nil {
		return 0, 0, fmt.Errorf("--gas: %w", err)
	}
	for _, needed := range [][2]string{{"known", c.Known}, {"before", c.Before}, {"after", c.After}} {
		if needed[1] == "" {
			return 0, 0, fmt.Errorf("an expansion needs --%s too", needed[0])
		}
	}
	known, relative, err := units.ParseVolumeTolerance(c.Known)
	if err != nil {
		return 0, 0, fmt.Errorf("--known: %w", err)
	}
	x.Known, x.KnownSE = known, known*units.Volume(relative/1.96)
	for _, p := range []struct {
		flag, text string
		to         *units.Absolute
	}{{"before", c.Before, &x.Before}, {"start", c.Start, &x.Start}, {"after", c.After, &x.After}} {
		v, err := units.ParsePressure(p.text, "")
		if err != nil {
			return 0, 0, fmt.Errorf("--%s: %w", p.flag, err)
		}
		*p.to = v.Abs(atmosphere)
	}
	accuracy, err := units.ParsePressureDiff(c.PressureAccuracy)
	if err != nil || accuracy <= 0 {
		return 0, 0, fmt.Errorf("--pressure-accuracy: %q is not a pressure such as 50mbar", c.PressureAccuracy)
	}
	x.PressureSE = accuracy / units.PressureDiff(math.Sqrt(3))
	return x.Volume()
}

// volumeFlag is the result as --volume takes it.
func volumeFlag(r volumeResult) string {
	return fmt.Sprintf("%sL±%.0f%%", units.Significant(r.v.Litres(), 3), math.Ceil(100*plan.Tolerance(r.v, r.se)))
}

// writeVolume says the result; what was measured goes first.
func writeVolume(w io.Writer, all []volumeResult) {
	best := all[len(all)-1]
	fmt.Fprintf(w, "VOLUME %s, known to %.0f %%   for the hold: --volume %s\n", units.FormatVolume(best.v), math.Ceil(100*plan.Tolerance(best.v, best.se)), volumeFlag(best))
	for _, r := range all {
		if r.how == "expansion" {
			paragraph(w, "  ", "  ", fmt.Sprintf("measured by expansion: %s ± %s", units.FormatVolume(r.v), units.FormatVolume(1.96*r.se)))
			continue
		}
		if len(all) > 1 {
			paragraph(w, "  ", "  ", fmt.Sprintf("from tubes and parts: %s ± %s%s", units.FormatVolume(r.v), units.FormatVolume(1.96*r.se), agreement(r, best)))
		}
		for _, p := range r.pieces {
			line := fmt.Sprintf("  %9s ±%2.0f %%  ", units.FormatVolume(p.Volume), math.Ceil(100*plan.Tolerance(p.Volume, p.SE)))
			paragraph(w, line, strings.Repeat(" ", len("             ±00 %  ")-1), p.What+" ("+shortly(p.Cite)+")")
		}
	}
	if len(all) == 1 && best.how == "tubes" && plan.Tolerance(best.v, best.se) > 0.1 {
		paragraph(w, "  ", "  ", "Measuring beats guessing: let gas expand into it from a known volume (--known, --before, --after).")
	}
}

// shortly says where a size comes from, in a word or two.
func shortly(c refdata.Cite) string {
	if c.Kind == refdata.Published {
		return c.Source
	}
	return citation(c)
}

// agreement says whether tubes and expansion can both be right.
func agreement(a, b volumeResult) string {
	if math.Abs(float64(a.v-b.v)) > 1.96*math.Hypot(float64(a.se), float64(b.se)) {
		return ": they do NOT agree; look for a part forgotten, a plug, or gas still warm"
	}
	return ", which agrees"
}

func writeVolumeJSON(w io.Writer, all []volumeResult) error {
	type pieceJSON struct {
		What   string  `json:"what"`
		Volume float64 `json:"m3"`
		Half   float64 `json:"half_width_rel"`
		Kind   string  `json:"kind"`
		Source string  `json:"source"`
	}
	type resultJSON struct {
		How    string      `json:"from"`
		Volume float64     `json:"m3"`
		Half   float64     `json:"half_width_rel"`
		Pieces []pieceJSON `json:"pieces"`
	}
	best := all[len(all)-1]
	o := struct {
		V       int          `json:"v"`
		Volume  float64      `json:"volume_m3"`
		Half    float64      `json:"volume_error_rel"`
		Flag    string       `json:"flag"`
		Results []resultJSON `json:"results"`
	}{1, float64(best.v), plan.Tolerance(best.v, best.se), volumeFlag(best), nil}
	for _, r := range all {
		j := resultJSON{r.how, float64(r.v), plan.Tolerance(r.v, r.se), []pieceJSON{}}
		for _, p := range r.pieces {
			j.Pieces = append(j.Pieces, pieceJSON{p.What, float64(p.Volume), plan.Tolerance(p.Volume, p.SE), string(p.Kind), p.Source + ", " + p.Locator})
		}
		o.Results = append(o.Results, j)
	}
	enc := json.NewEncoder(w)
	enc.SetEscapeHTML(false)
	return enc.Encode(o)
}

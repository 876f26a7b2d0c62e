package plan

import (
	"fmt"
	"math"
	"strings"

	"example.org/holdfast/internal/gas"
	"example.org/holdfast/internal/units"
	"example.org/holdfast/refdata"
)

// Piece is a part of a section with what it holds.
type Piece struct {
	What   string
	Volume units.Volume
	SE     units.Volume // standard uncertainty
	refdata.Cite
}

// tape is how a half-width becomes a standard uncertainty: nothing is known but
// that the value lies within it (JCGM 100:2008, 4.3.7).
func tape(half float64) float64 { return half / math.Sqrt(3) }

// round is a round tube of a bore (m, known to ± half) and a length (m).
func round(what string, bore, half, length float64, c refdata.Cite) Piece {
	v := gas.Tube{Bore: bore, Length: length}.Volume()
	relative := math.Hypot(2*tape(half)/bore, tape(refdata.TubeTolerances().Length))
	return Piece{what, v, v * units.Volume(relative), c}
}

// TubePiece is a length of tube, written as size and length: "1/4in:2.5m" of the
// table of ASTM B280, "8x1mm:3m" by outside diameter and wall, "steel 4.76mm:10m".
func TubePiece(text string) (Piece, error) {
	size, lengthText, ok := strings.Cut(text, ":")
	if !ok {
		return Piece{}, fmt.Errorf("tube %q has no length: write 1/4in:2.5m, 8x1mm:3m or %s:10m", text, refdata.OtherTubes()[0].Size)
	}
	length, err := units.ParseLength(lengthText)
	if err != nil {
		return Piece{}, fmt.Errorf("tube %q: %w", text, err)
	}
	bore, half, c, err := tubeBore(strings.TrimSpace(size))
	if err != nil {
		return Piece{}, fmt.Errorf("tube %q: %w", text, err)
	}
	return round(fmt.Sprintf("tube %s, %g m, inside %s mm", strings.TrimSpace(size), length, units.Significant(1000*bore, 3)), bore, half, length, c), nil
}

// tubeBore is the inside diameter of a size, m, with its half-width.
func tubeBore(size string) (bore, half float64, c refdata.Cite, err error) {
	tolerance := refdata.TubeTolerances().Bore
	if t, ok := findTube(refdata.Tubes(), strings.TrimSuffix(strings.TrimSuffix(size, "in"), `"`)); ok {
		return t.Inside, tolerance, t.Cite, nil
	}
	if t, ok := findTube(refdata.OtherTubes(), size); ok {
		return t.Inside, 0.08 * t.Inside, t.Cite, nil
	}
	outside, wall, ok := strings.Cut(size, "x")
	if !ok {
		return 0, 0, c, fmt.Errorf("size %q is not in the tables: write outside diameter and wall, such as 8x1mm", size)
	}
	d, errD := units.ParseLength(outside + unitOf(wall))
	w, errW := units.ParseLength(wall)
	if errD != nil || errW != nil || 2*w >= d {
		return 0, 0, c, fmt.Errorf("size %q is not an outside diameter and a wall, such as 8x1mm", size)
	}
	return d - 2*w, tolerance, given("outside diameter and wall"), nil
}

// unitOf is the unit at the end of a length.
func unitOf(length string) string { return strings.TrimLeft(length, "0123456789.,/ ") }

// findTube finds a size, whatever its spaces and hyphens. A brazed tube counts as annealed.
func findTube(tubes []refdata.Tube, size string) (refdata.Tube, bool) {
	plain := strings.NewReplacer(" ", "", "-", "").Replace
	for _, t := range tubes {
		if !t.Drawn && strings.EqualFold(plain(t.Size), plain(size)) {
			return t, true
		}
	}
	return refdata.Tube{}, false
}

// CapillaryPiece is a capillary, written as bore and length: "0.7mm:3m".
func CapillaryPiece(text string) (Piece, error) {
	d, err := gas.ParseTube(text)
	if err != nil {
		return Piece{}, err
	}
	what := fmt.Sprintf("capillary %s mm, %g m", units.Significant(1000*d.Bore, 2), d.Length)
	return round(what, d.Bore, refdata.TubeTolerances().Capillary, d.Length, given("bore and length")), nil
}

// PlatePiece is a roll-bond plate, by its area in m2.
func PlatePiece(area float64) Piece {
	p := between("plate of "+units.Significant(area, 2)+" m2", refdata.PlateChannels())
	p.Volume *= units.Volume(area)
	p.SE *= units.Volume(area)
	return p
}

// CompressorPiece is the shell of a small compressor.
func CompressorPiece() Piece { return between("compressor shell", refdata.CompressorShell()) }

// DrierPiece is a filter drier.
func DrierPiece() Piece { return between("filter drier", refdata.Drier()) }

// between is something of which a range is known.
func between(what string, r refdata.Range) Piece {
	return Piece{what, units.Volume((r.Low + r.High) / 2), units.Volume(tape((r.High - r.Low) / 2)), r.Cite}
}

// StatedPiece is a volume as you know it, with the relative half-width of a 95 % interval.
func StatedPiece(v units.Volume, relative float64) Piece {
	return Piece{"stated", v, v * units.Volume(relative/1.96), given("volume")}
}

// Sum adds pieces whose errors have nothing to do with each other.
func Sum(pieces []Piece) (v, se units.Volume) {
	var squares float64
	for _, p := range pieces {
		v += p.Volume
		squares += float64(p.SE * p.SE)
	}
	return v, units.Volume(math.Sqrt(squares))
}

// Tolerance is the relative half-width of a 95 % interval.
func Tolerance(v, se units.Volume) float64 { return 1.96 * float64(se/v) }

// Expansion is gas let from a known volume into the section, all of it at one temperature.
type Expansion struct {
	Gas           gas.Gas
	Known         units.Volume
	KnownSE       units.Volume
	Before        units.Absolute     // in the known volume
	Start         units.Absolute     // in the section before
	After         units.Absolute     // in both
	PressureSE    units.PressureDiff // standard uncertainty of each of the three
	TemperatureSE units.TempDiff     // by how much the gas may still be warmer or colder than before
}

// Volume is that of the section, V = Vref (n1 - n2)/(n2 - n0) in molar densities
// of the real gas (Boyle's law with compressibility), with its standard uncertainty: the
// law of propagation, each input moved by its own (JCGM 100:2008, 5.1.2 and 5.1.3 note 2).
func (x Expansion) Volume() (v, se units.Volume, err error) {
	if !(x.Before > x.After && x.After > x.Start && x.Start >= 0) {
		return 0, 0, fmt.Errorf("the pressure after (%s absolute) must lie between the known volume before (%s) and the section before (%s)",
			bar(x.After), bar(x.Before), bar(x.Start))
	}
	v = x.reckon(0)
	var squares float64
	for _, change := range []func(*Expansion) float64{
		func(e *Expansion) float64 { e.Known += e.KnownSE; return 0 },
		func(e *Expansion) float64 { e.Before += units.Absolute(e.PressureSE); return 0 },
		func(e *Expansion) float64 { e.Start += units.Absolute(e.PressureSE); return 0 },
		func(e *Expansion) float64 { e.After += units.Absolute(e.PressureSE); return 0 },
		func(e *Expansion) float64 { return float64(e.TemperatureSE) },
	} {
		moved := x
		k := change(&moved)
		d := float64(moved.reckon(k) - v)
		squares += d * d
	}
	se = units.Volume(math.Sqrt(squares))
	if !(v > 0) || !(float64(se) < 0.5*float64(v)) {
		return 0, 0, fmt.Errorf("the pressures are too close for their uncertainty of %s: use more pressure, or a known volume nearer to the section", bar(units.Absolute(x.PressureSE)))
	}
	return v, se, nil
}

// reckon is the volume if the gas after is warmer by some kelvin.
func (x Expansion) reckon(warmer float64) units.Volume {
	n1, n0 := x.Gas.Density(x.Before, fillAt), x.Gas.Density(x.Start, fillAt)
	n2 := x.Gas.Density(x.After, fillAt+units.Temperature(warmer))
	return x.Known * units.Volume((n1-n2)/(n2-n0))
}

func bar(p units.Absolute) string { return units.FormatPressure(float64(p), "bar") }

package refdata

// Tube is one size of copper tube for refrigeration.
type Tube struct {
	Size    string  // outside diameter in inches, as the trade writes it
	Drawn   bool    // straight hard lengths; false = annealed coil
	Outside float64 // m, outside diameter
	Inside  float64 // m, inside diameter
	Rated66 float64 // Pa gauge, published working pressure at 65.6 °C (150 °F), annealed; 0 = not printed
	Cite
}

// Capillary is one common bore of capillary tube.
type Capillary struct {
	Bore float64 // m, inside diameter
	Cite
}

const (
	inch = 0.0254            // m
	psi  = 6894.757293168361 // Pa
)

// Tubes gives the sizes of ASTM B280, smallest first. A brazed tube counts as annealed.
func Tubes() []Tube {
	c := published("ASTM B280", "table of dimensions (inside = outside - 2 walls); working pressures from a tube maker's data sheet, stress 5100 psi at 150 °F")
	return []Tube{
		{"1/8", false, 0.125 * inch, 0.065 * inch, 2613 * psi, c},
		{"3/16", false, 0.187 * inch, 0.127 * inch, 0, c},
		{"1/4", false, 0.250 * inch, 0.190 * inch, 1195 * psi, c},
		{"5/16", false, 0.312 * inch, 0.248 * inch, 0, c},
		{"3/8", false, 0.375 * inch, 0.311 * inch, 836 * psi, c},
		{"3/8", true, 0.375 * inch, 0.315 * inch, 0, c},
		{"1/2", false, 0.500 * inch, 0.436 * inch, 618 * psi, c},
		{"1/2", true, 0.500 * inch, 0.430 * inch, 0, c},
		{"5/8", false, 0.625 * inch, 0.555 * inch, 525 * psi, c},
		{"5/8", true, 0.625 * inch, 0.545 * inch, 0, c},
		{"3/4", false, 0.750 * inch, 0.680 * inch, 435 * psi, c},
		{"7/8", false, 0.875 * inch, 0.785 * inch, 495 * psi, c},
		{"1-1/8", false, 1.125 * inch, 1.025 * inch, 420 * psi, c},
	}
}

// Capillaries gives the bores that the trade sells.
func Capillaries() []Capillary {
	c := Cite{Practice, "trade catalogues and charts", "standard capillary sizes"}
	return []Capillary{
		{0.02 * inch, c},
		{0.026 * inch, c},
		{0.028 * inch, c},
		{0.03 * inch, c},
		{0.031 * inch, c},
		{0.036 * inch, c},
		{0.042 * inch, c},
		{0.044 * inch, c},
		{0.049 * inch, c},
		{0.05 * inch, c},
		{0.055 * inch, c},
		{0.064 * inch, c},
	}
}

// OtherTubes gives tube that is sold by no common standard here: the condenser's and the evaporator's own.
func OtherTubes() []Tube {
	c := memory("domestic condensers and evaporators", "common sizes of tube")
	return []Tube{
		{"steel 4.76mm", false, 4.76e-3, 3.36e-3, 0, c},
		{"steel 6.35mm", false, 6.35e-3, 4.95e-3, 0, c},
		{"aluminium 8mm", false, 8e-3, 6.5e-3, 0, c},
	}
}

// Range is a quantity of which only the least and the most are known.
type Range struct {
	Low, High float64
	Cite
}

// CompressorShell is the free gas in the shell of a small hermetic compressor, m3.
func CompressorShell() Range {
	return Range{0.9e-3, 2.2e-3, memory("small hermetic compressors", "free gas beside 150 to 350 ml of oil")}
}

// Drier is the free gas in a filter drier of 10 to 20 g, m3.
func Drier() Range { return Range{15e-6, 40e-6, memory("filter driers of 10 to 20 g", "free gas")} }

// PlateChannels is what a roll-bond plate holds, m3 per m2 of plate.
func PlateChannels() Range {
	return Range{0.3e-3, 0.9e-3, memory("roll-bond evaporators", "100 to 400 ml in a third to half a square metre")}
}

// Tolerances are what the sizes of tubes are good for, as half-widths.
type Tolerances struct {
	Bore      float64 // m, of a tube of copper: twice the tolerance of its wall
	Capillary float64 // m, of a capillary's bore
	Length    float64 // relative, measured with a tape along the bends
	Cite
}

// TubeTolerances gives them.
func TubeTolerances() Tolerances {
	return Tolerances{0.15e-3, 0.02e-3, 0.03, memory("ASTM B280 wall tolerance of 0.003 in; capillary catalogues; the tape", "half-widths")}
}

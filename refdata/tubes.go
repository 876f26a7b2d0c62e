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

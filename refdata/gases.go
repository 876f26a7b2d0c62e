package refdata

// Gas is a test gas: something a section may be filled with.
type Gas struct {
	Name      string
	Aliases   []string
	MolarMass Value // kg/mol
	Gamma     Value // ratio of the ideal heat capacities near 20 °C
	Virial    Virial
	Viscosity PowerLaw
}

// Virial is the expansion Z = 1 + B·n + C·n² + D·n³ in the molar density n
// (mol/m3), with B and C polynomials in x = 298.15 K/T - 1.
type Virial struct {
	B       [4]float64 // m3/mol
	C       [3]float64 // m6/mol2
	D       float64    // m9/mol3; stands in for all that follows C
	TMin    float64    // K, range of the values fitted
	TMax    float64    // K
	PMax    float64    // Pa absolute, up to which Error is claimed
	Error   float64    // largest error of Z claimed against the source in that range
	Checked string     // what Error rests on
	Cite
}

// Units in which virial coefficients are usually printed.
const (
	cm3 = 1e-6  // cm3/mol
	cm6 = 1e-12 // cm6/mol2
	cm9 = 1e-18 // cm9/mol3
)

// The sources that several entries share.
const (
	span2000    = "Span, Lemmon, Jacobsen, Wagner, Yokozeki, J. Phys. Chem. Ref. Data 29(6) 1361 (2000)"
	lemmon2000  = "Lemmon, Jacobsen, Penoncello, Friend, J. Phys. Chem. Ref. Data 29(3) 331 (2000)"
	lemmonJac04 = "Lemmon, Jacobsen, Int. J. Thermophys. 25(1) 21 (2004)"
	perry8      = "Perry's Chemical Engineers' Handbook, 8th ed."
	tegeler1999 = "Tegeler, Span, Wagner, J. Phys. Chem. Ref. Data 28(3) 779 (1999)"
	spanWag1996 = "Span, Wagner, J. Phys. Chem. Ref. Data 25(6) 1509 (1996)"
	ortiz2013   = "Ortiz-Vega, A New Wide Range Equation of State for Helium-4, dissertation, Texas A&M University (2013)"
	fitGrid     = "equation of state evaluated on a grid of 0-40 °C and 0.1 MPa to PMax; the four coefficients of C and D fitted to it here, B to the zero-density slopes of 270-320 K"
	fitVisc     = "correlation evaluated at 0.1 MPa and 0, 20, 25, 26.85, 40 °C, power law fitted here (within 0.04 %)"
	monatomic   = "5/3 for a monatomic gas, 7/5 for a diatomic one"
)

// Gases gives the test gases, nitrogen first.
func Gases() []Gas {
	return []Gas{nitrogen(), dryAir(), argon(), carbonDioxide(), helium()}
}

func nitrogen() Gas {
	return Gas{
		Name:      "nitrogen",
		Aliases:   []string{"n2", "ofn", "dry nitrogen", "oxygen-free nitrogen"},
		MolarMass: Value{0.02801348, published(span2000, "constants of the equation")},
		Gamma:     Value{1.400, memory("kinetic theory", monatomic)},
		Virial: Virial{
			B:    [4]float64{-4.9102 * cm3, -57.8812 * cm3, -10.5695 * cm3, 1.6606 * cm3},
			C:    [3]float64{1408.44 * cm6, 655.33 * cm6, 629.87 * cm6},
			D:    10406.9 * cm9,
			TMin: 270, TMax: 320, PMax: 4e6, Error: 5e-6,
			Checked: "every point of the grid",
			Cite:    published(span2000, fitGrid),
		},
		Viscosity: PowerLaw{17.8024e-6, 0.7771, published(lemmonJac04, fitVisc)},
	}
}

func dryAir() Gas {
	return Gas{
		Name:      "dry air",
		Aliases:   []string{"air"},
		MolarMass: Value{0.02896546, published(lemmon2000, "constants of the equation")},
		Gamma:     Value{1.400, memory("kinetic theory", monatomic)},
		Virial: Virial{
			B:    [4]float64{-8.1222 * cm3, -58.4777 * cm3, -10.5957 * cm3, 1.2171 * cm3},
			C:    [3]float64{1778.70 * cm6, 687.90 * cm6, 311.29 * cm6},
			D:    -102196.2 * cm9,
			TMin: 270, TMax: 320, PMax: 4e6, Error: 1e-5,
			Checked: "every point of the grid",
			Cite:    published(lemmon2000, fitGrid),
		},
		Viscosity: PowerLaw{18.4456e-6, 0.7844, published(lemmonJac04, fitVisc)},
	}
}

func argon() Gas {
	return Gas{
		Name:      "argon",
		Aliases:   []string{"ar"},
		MolarMass: Value{0.039948, published(tegeler1999, "constants of the equation")},
		Gamma:     Value{5.0 / 3, memory("kinetic theory", monatomic)},
		Virial: Virial{
			B:    [4]float64{-15.5544 * cm3, -60.6763 * cm3, -11.1781 * cm3, 1.7458 * cm3},
			C:    [3]float64{1061.41 * cm6, 810.59 * cm6, 632.78 * cm6},
			D:    7516.2 * cm9,
			TMin: 270, TMax: 320, PMax: 4e6, Error: 5e-6,
			Checked: "every point of the grid",
			Cite:    published(tegeler1999, fitGrid),
		},
		Viscosity: PowerLaw{22.6207e-6, 0.8380, published(lemmonJac04, fitVisc)},
	}
}

func carbonDioxide() Gas {
	return Gas{
		Name:      "CO2",
		Aliases:   []string{"carbon dioxide", "r744"},
		MolarMass: Value{0.0440098, published(spanWag1996, "constants of the equation")},
		Gamma:     Value{1.29, memory("handbook value near 20 °C", "Cp/Cv of the ideal gas, 1.289 to 1.30")},
		Virial: Virial{
			B:    [4]float64{-123.0119 * cm3, -282.8453 * cm3, -160.6734 * cm3, -75.8687 * cm3},
			C:    [3]float64{4764.63 * cm6, 5759.16 * cm6, -18135.1 * cm6},
			D:    11112.9 * cm9,
			TMin: 270, TMax: 320, PMax: 2.5e6, Error: 5e-5,
			Checked: "every point of the grid",
			Cite:    published(spanWag1996, fitGrid),
		},
		Viscosity: PowerLaw{14.9668e-6, 0.9587, published(perry8, "Table 2-312, equation evaluated at 0-40 °C, power law fitted here (within 0.04 %)")},
	}
}

func helium() Gas {
	return Gas{
		Name:      "helium",
		Aliases:   []string{"he"},
		MolarMass: Value{0.004002602, published(ortiz2013, "constants of the equation")},
		Gamma:     Value{5.0 / 3, memory("kinetic theory", monatomic)},
		Virial: Virial{
			B:    [4]float64{11.8444 * cm3, 1.2396 * cm3, -1.4173 * cm3, -0.0847 * cm3},
			C:    [3]float64{111.893 * cm6, 74.912 * cm6, -34.530 * cm6},
			D:    -2311.57 * cm9,
			TMin: 270, TMax: 320, PMax: 4e6, Error: 5e-6,
			Checked: "every point of the grid",
			Cite:    published(ortiz2013, fitGrid),
		},
		Viscosity: PowerLaw{19.8681e-6, 0.6848, published(perry8, "Table 2-312, equation evaluated at 0-40 °C, power law fitted here (within 0.01 %)")},
	}
}

package refdata

// Ceilings are the highest gauge pressures, in Pa, that a maker of small
// hermetic compressors allows for a tightness test with its compressor connected.
type Ceilings struct {
	Low  float64 // low side; the shell of the compressor belongs to it
	High float64
	Cite
}

// CompressorCeilings gives them.
func CompressorCeilings() Ceilings {
	return Ceilings{10e5, 32e5, published("handbook of a maker of domestic hermetic compressors", "section 32, p. 56: nitrogen, dry air or helium; all other parts must withstand it")}
}

// TypeTest is how a factory proves the strength of a new appliance with a
// flammable refrigerant: a multiple of the saturation pressure (gauge) at a temperature, held for a minute.
type TypeTest struct {
	Factor float64
	At     float64 // K
	Cite
}

// TypeTests gives the type tests of the low and the high side.
func TypeTests() (t [2]TypeTest) {
	c := memory("IEC 60335-2-24, clause 22.7", "the clause could not be read")
	return [2]TypeTest{{5, 293.15, c}, {3.5, 343.15, c}}
}

// Design is the temperature, in K, whose saturation pressure is the design
// pressure (PS) of a side that stands indoors at up to 38 °C.
type Design struct {
	Low, High float64
	Assembly  float64 // strength test of the assembly, as a multiple of PS, with gas
	Cite
}

// DesignTemperatures gives them.
func DesignTemperatures() Design {
	return Design{306.15, 332.15, 1.1, memory("EN 378-2 / ISO 5149-2", "design temperatures, column of 38 °C, indoors, air cooled; strength of assemblies")}
}

// Practised is a gauge pressure, in Pa, that somebody in the trade writes down for the whole circuit.
type Practised struct {
	Pressure float64
	Cite
}

// ServicePressures gives what service manuals of domestic refrigerators ask for. They differ by a factor: none is a rule.
func ServicePressures() []Practised {
	return []Practised{
		{150 * psi, published("a US service manual of domestic refrigerators", "nitrogen to 150 psig, whole circuit")},
		{250 * psi, published("another US service manual of domestic refrigerators", "nitrogen to 250 psig, whole circuit")},
	}
}

// Acceptance is a published figure for the leak of a small sealed circuit.
type Acceptance struct {
	Text         string
	GramsPerYear float64
	Cite
}

// Acceptances gives them, the smallest first.
func Acceptances() []Acceptance {
	return []Acceptance{
		{"household appliance of reasonable life", 1, published("handbook of a maker of domestic hermetic compressors", "section 32")},
		{"factory test in a helium chamber", 2, published("data of a builder of test chambers", "about 1e-6 Pa m3/s")},
		{"called hermetically sealed", 3, published("EN 378-1:2016", "3.1.7, tested at a quarter of the allowable pressure or more")},
		{"electronic detector at a joint", 5, published("ANZ refrigerant handling code of practice 2025", "2:4.9.7, as an open training course states it")},
	}
}

// YearlyLoss is the share of the charge that an inventory reckons to be lost in a year.
type YearlyLoss struct {
	Low, High float64
	Cite
}

// DomesticLoss gives it for domestic appliances.
func DomesticLoss() YearlyLoss {
	return YearlyLoss{0.001, 0.005, published("IPCC Good Practice Guidance 2000", "default for domestic refrigeration")}
}

// HoseLeak is what a charging hose with its valve leaks by itself, in Pa m3/s of nitrogen at 10 bar.
type HoseLeak struct {
	Low, High float64
	Cite
}

// RubberHose gives it: what goes through the rubber alone.
func RubberHose() HoseLeak {
	return HoseLeak{1e-6, 1e-5, memory("permeability of nitrile rubber", "estimate for a hose of 1 m, valve core and seals not counted")}
}

// SensorSpans gives the spans, in Pa, that pressure sensors are sold in.
func SensorSpans() []Value {
	c := Cite{Practice, "catalogues of pressure sensors", "usual spans"}
	return []Value{{6e5, c}, {10e5, c}, {16e5, c}, {25e5, c}, {40e5, c}}
}

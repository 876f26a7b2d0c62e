package refdata

// Refrigerant is what the section will hold in service.
type Refrigerant struct {
	Name       string
	Aliases    []string
	MolarMass  Value // kg/mol
	Gamma      Value // ratio of the ideal heat capacities near 25 °C
	Saturation Saturation
	Viscosity  PowerLaw // of the vapour at low pressure
	Flammable  bool
	Safety     Cite // of Flammable
}

// Saturation is a table of saturation pressures at even steps of temperature.
type Saturation struct {
	T0   float64   // K, of the first entry
	Step float64   // K
	P    []float64 // Pa absolute
	Cite
}

const evaluated = "equation of state evaluated by the Maxwell criterion every 5 K, -40 to 70 °C; agrees with the printed saturation table to all its digits"

// iso817 names the source of the flammability classes.
const iso817 = "ISO 817 / ANSI/ASHRAE Standard 34"

// Refrigerants gives the refrigerants of small sealed circuits.
func Refrigerants() []Refrigerant {
	return []Refrigerant{r600a(), r134a(), r290()}
}

func r600a() Refrigerant {
	const eos = "Buecker, Wagner, J. Phys. Chem. Ref. Data 35(2) 929 (2006)"
	return Refrigerant{
		Name:      "R600a",
		Aliases:   []string{"isobutane"},
		MolarMass: Value{0.0581222, published(eos, "constants of the equation")},
		Gamma:     Value{1.09, memory("handbook value near 25 °C", "Cp/Cv of the ideal gas")},
		Saturation: Saturation{273.15 - 40, 5, kiloPascal(
			28.7025, 36.7969, 46.6223, 58.4273, 72.4773, 89.0531, 108.4500, 130.9771,
			156.9560, 186.7203, 220.6144, 258.9931, 302.2204, 350.6696, 404.7225, 464.7691,
			531.2079, 604.4457, 684.8983, 772.9913, 869.1610, 973.8559, 1087.5377,
		), published(eos, evaluated+" (Table 46)")},
		Viscosity: PowerLaw{7.4910e-6, 0.9904, published("Vogel, Kuechenmeister, Bich (2000)", fitVisc)},
		Flammable: true,
		Safety:    memory(iso817, "safety class A3"),
	}
}

func r134a() Refrigerant {
	const eos = "Tillner-Roth, Baehr, J. Phys. Chem. Ref. Data 23(5) 657 (1994)"
	return Refrigerant{
		Name:      "R134a",
		MolarMass: Value{0.102032, published(eos, "constants of the equation")},
		Gamma:     Value{1.11, memory("handbook value near 25 °C", "Cp/Cv of the ideal gas")},
		Saturation: Saturation{273.15 - 40, 5, kiloPascal(
			51.2090, 66.1442, 84.3777, 106.3999, 132.7350, 163.9401, 200.6033, 243.3424,
			292.8032, 349.6586, 414.6075, 488.3739, 571.7069, 665.3809, 770.1963, 886.9810,
			1016.5930, 1159.9242, 1317.9055, 1491.5141, 1681.7842, 1889.8218, 2116.8257,
		), published(eos, evaluated+" (Table 8)")},
		Viscosity: PowerLaw{11.8122e-6, 0.9922, published("Huber, Laesecke, Perkins, Ind. Eng. Chem. Res. 42 3163 (2003)", fitVisc)},
		Safety:    memory(iso817, "safety class A1"),
	}
}

func r290() Refrigerant {
	const eos = "Lemmon, McLinden, Wagner, J. Chem. Eng. Data 54 3141 (2009)"
	return Refrigerant{
		Name:      "R290",
		Aliases:   []string{"propane"},
		MolarMass: Value{0.04409562, published(eos, "constants of the equation")},
		Gamma:     Value{1.13, memory("handbook value near 25 °C", "Cp/Cv of the ideal gas")},
		Saturation: Saturation{273.15 - 40, 5, kiloPascal(
			111.1212, 137.2255, 167.8322, 203.4281, 244.5183, 291.6236, 345.2799, 406.0370,
			474.4575, 551.1166, 636.6016, 731.5121, 836.4609, 952.0745, 1078.9952, 1217.8833,
			1369.4204, 1534.3141, 1713.3043, 1907.1722, 2116.7529, 2342.9510, 2586.7619,
		), published(eos, evaluated+" (Table A1)")},
		Viscosity: PowerLaw{8.1433e-6, 0.9898, published("Vogel, Kuechenmeister, Bich, Laesecke, J. Phys. Chem. Ref. Data 27(5) 947 (1998)", fitVisc)},
		Flammable: true,
		Safety:    memory(iso817, "safety class A3"),
	}
}

// kiloPascal turns printed kPa into Pa.
func kiloPascal(v ...float64) []float64 {
	for i := range v {
		v[i] *= 1000
	}
	return v
}

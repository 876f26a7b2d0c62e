package refdata

// VacuumAcceptance is a published demand on the rise of an evacuated section.
type VacuumAcceptance struct {
	Name  string  // as a flag takes it
	Start float64 // Pa absolute at most when the valve closes; 0 = not stated
	Most  float64 // Pa absolute at most until After
	After float64 // s
	Cite
}

// micron is 0.001 mmHg in Pa.
const micron = 101325.0 / 760e3

// VacuumAcceptances gives the demands on a vacuum that codes and the trade state. The
// pumping cycles that go with them are in the sources.
func VacuumAcceptances() []VacuumAcceptance {
	anz := func(what string) Cite {
		return published("ANZ refrigerant handling code of practice 2025", "2:"+what+"; as an open training course states it")
	}
	return []VacuumAcceptance{
		{"anz-deep", 500 * micron, 600 * micron, 3600, anz("5.4.1, deep evacuation: to 500 micron, under 600 for an hour")},
		{"anz-triple", 500 * micron, 600 * micron, 3600, anz("5.4.2, triple evacuation with dry nitrogen between, then as 5.4.1")},
		{"ufgs-15182", 300 * micron, 500 * micron, 3600,
			published("US Unified Facilities Guide Specification 15182", "3.3.2-3.3.3: to 300 micron above 2 °C, at most 500 after an hour")},
		{"iec-60335-2-40", 500 * micron, 1500 * micron, 600,
			published("IEC/UL 60335-2-40", "wording as printed in two appliance manuals: to 500 micron or the manual's lower value, at most 1500 within ten minutes")},
		{"ten-minutes", 0, 1000 * micron, 600, Cite{Practice, "the trade", "under 1000 micron after ten minutes"}},
	}
}

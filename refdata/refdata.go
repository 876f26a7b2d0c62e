// Package refdata holds the tables of physical and trade data that the rest of
// holdfast rests on: gases, refrigerants, water, tube sizes.
//
// Every number stands in a struct that embeds a Cite: its kind (published,
// practice of the trade, or from memory), its source and the place in that
// source. A test refuses a number without one. The package computes nothing; the formulas
// that use the numbers are in internal/gas. All values are SI: Pa (absolute),
// K, m, kg/mol, mol/m3, Pa s.
package refdata

// Version names this edition of the tables. It goes into every log, so change it with any value.
const Version = "2026-2"

// Kind says how far a value can be trusted.
type Kind string

// The three kinds.
const (
	Published Kind = "published" // printed in the source, or computed from equations printed there
	Practice  Kind = "practice"  // common practice of the trade, no source
	Memory    Kind = "memory"    // from memory, not looked up
)

// Cite says where a value comes from.
type Cite struct {
	Kind    Kind
	Source  string // author, year, journal or standard
	Locator string // table, equation or page, and what was done with it
}

// Value is one number with where it comes from.
type Value struct {
	V float64
	Cite
}

// published is a Cite of something printed.
func published(source, locator string) Cite { return Cite{Published, source, locator} }

// memory is a Cite of something remembered.
func memory(source, locator string) Cite { return Cite{Memory, source, locator} }

// PowerLaw is a dilute gas viscosity near room temperature: At25·(T/298.15 K)^Exponent.
type PowerLaw struct {
	At25     float64 // Pa s at 25 °C
	Exponent float64
	Cite
}

// MolarGasConstant is R in J/(mol K).
func MolarGasConstant() Value {
	return Value{8.314462618, published("CODATA 2018 (exact since the SI of 2019)", "molar gas constant")}
}

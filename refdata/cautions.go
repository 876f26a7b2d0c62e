package refdata

import "slices"

// Step is a step of the job at which somebody can be hurt.
type Step string

// The steps, in the order of the job.
const (
	Opening  Step = "opening"
	Filling  Step = "filling"
	Venting  Step = "venting"
	Brazing  Step = "brazing"
	Vacuum   Step = "vacuum"
	Charging Step = "charging a flammable refrigerant"
)

// Caution is a warning that belongs to a step.
type Caution struct {
	Step Step
	Text string
	Cite
}

// LocalCodes ends every list of cautions.
const LocalCodes = "Local codes and licensed practice decide; these are the usual cautions, not all of them."

// CompressorInVacuum is the caution that goes with every verdict on a vacuum, too.
const CompressorInVacuum = "Never energise a compressor, nor test its insulation, under vacuum: it can arc inside."

// CautionsOf are the cautions of some steps, in the order of the job.
func CautionsOf(steps ...Step) (out []Caution) {
	for _, c := range Cautions() {
		if slices.Contains(steps, c.Step) {
			out = append(out, c)
		}
	}
	return out
}

// Cautions gives the usual ones, by step, the most important first. They are
// not all there are: local codes and licensed practice decide.
func Cautions() []Caution {
	practice := Cite{Practice, "usual cautions of the trade", "no source"}
	ashrae := published("ANSI/ASHRAE 15-1994, emergency action", "10.1.2")
	gs4 := published("HSE Guidance Note GS4, 4th edition", "stored energy, ejected fittings")
	unep := published("UNEP, Manual for Refrigeration Servicing Technicians", "chapter 6")
	annex := published("IEC 60335 series, annex on servicing, as printed in appliance manuals", "opening, brazing, evacuating, charging")
	return []Caution{
		{Opening, "Flammable refrigerant stays in oil and pipes: recover, purge with nitrogen, evacuate, purge again; ventilate; no flame or spark.", annex},
		{Opening, "Open with a cutter, not a torch. A gauge at zero does not prove that nothing is left.", annex},
		{Filling, "Dry nitrogen only, through a pressure regulator, with a relief valve set above the test pressure and below the weakest part.", ashrae},
		{Filling, "Never oxygen: with oil it explodes. Never acetylene. Never air, least of all from a refrigeration compressor: moisture, oil, and a fuel-air mixture with what is left of the refrigerant.", unep},
		{Filling, "Never above the weakest part that is connected: hose, compressor shell, relief device, sensor. Read the plate.", ashrae},
		{Filling, "Gas under pressure is stored energy: raise it in steps, stay out of line with caps and joints, never tighten or heat under pressure.", gs4},
		{Filling, "A reading that climbs by itself is a regulator that creeps: shut the cylinder.", practice},
		{Venting, "Let the pressure down slowly, before a fitting is loosened or a tube is cut. What may hold flammable gas goes outdoors, away from drains and openings.", annex},
		{Venting, "Nitrogen gives no warning: do not breathe in a cabinet or a closed van that you purge into.", published("US CSB safety bulletin 2003-10-B", "nitrogen asphyxiation")},
		{Brazing, "Before any flame: refrigerant out, purged, evacuated, purged. Nitrogen trickles through before and during, with the end open: never braze under pressure.", annex},
		{Brazing, "Some makers forbid brazing on circuits with flammable refrigerant at all: pressed joints are the other way.", published("a compressor maker's current instructions", "work on R290 and R600a circuits")},
		{Vacuum, CompressorInVacuum, published("ANZ training course; a compressor maker's evacuation note", "vacuum discharge")},
		{Vacuum, "The pump's outlet leads outdoors, with no ignition near it: flammable refrigerant comes out of the oil.", annex},
		{Vacuum, "Warm a wet or iced spot with warm air or a heat blanket, never with a flame.", practice},
		{Vacuum, "Break a vacuum with dry nitrogen through a regulator, never with air or oxygen.", practice},
		{Charging, "Earth the appliance first; no ignition within a few metres; charge by weight and do not overfill.", annex},
		{Charging, "Close and seal the process tube after charging, then soap or sniff it; put the label of the flammable refrigerant back.", practice},
	}
}

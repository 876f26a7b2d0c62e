package ui

// Cautions are the usual warnings of pressure testing with gas, most
// important first. They are common practice in the trade; the prohibition of
// oxygen and the relief valve between test pressure and the weakest part are
// also in ASHRAE 15 (field tests). Local codes and licensed practice decide.
func Cautions() []string {
	return []string{
		"Dry nitrogen only, through a pressure regulator with a relief valve set above the test pressure and below the weakest part.",
		"Never oxygen: with oil it explodes. Never acetylene. Never air, least of all from a refrigeration compressor: with oil or a flammable residue it can ignite.",
		"Never above the weakest part that is connected: hose, compressor shell, relief device, sensor. Read the plate.",
		"Flammable refrigerant may be left in oil and pipes: recover and purge first, ventilate, keep flames and sparks away.",
		"Gas under pressure is stored energy: raise it in steps, stay out of line with caps and joints, never tighten or heat under pressure. Let it down slowly.",
		"Nitrogen gives no warning: do not breathe in a cabinet or a closed van that you purge into.",
		"Local codes and licensed practice decide. This program measures; it does not make the work safe.",
	}
}

// VacuumCautions are those of evacuating, most important first (common practice, no source).
func VacuumCautions() []string {
	return []string{
		"Never energise a compressor, nor test its insulation, under vacuum: it arcs inside.",
		"Flammable refrigerant may come out of the oil: pump outlet to the open air, no ignition source near, ventilate.",
		"Warm a wet or iced spot with warm air or a heat blanket, never with a flame.",
		"Break a vacuum with dry nitrogen through a regulator, never with air or oxygen.",
		"Vacuum proves dryness; the hold under nitrogen pressure proves tightness.",
		"Local codes and licensed practice decide. This program measures; it does not make the work safe.",
	}
}

// CautionLines wraps the cautions of pressure into at most h lines of w cells, each
// with a dash; where not all fit, as many as do, from the top.
func CautionLines(w, h int) []string { return Dashed(Cautions(), w, h) }

// Dashed is CautionLines for any list.
func Dashed(list []string, w, h int) []string {
	var out []string
	for _, c := range list {
		ls := Wrap(c, w-2, 8)
		if len(out)+len(ls) > h {
			break
		}
		for i, l := range ls {
			p := "  "
			if i == 0 {
				p = "- "
			}
			out = append(out, Cut(p+l, w))
		}
	}
	return out
}

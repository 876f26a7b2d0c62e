package verdict

import (
	"fmt"

	"example.org/holdfast/internal/units"
)

// Service is what one leak, found with the test gas, means to the person: on
// the running machine, under soap, and for the charge. Each flow law gives its
// own figure, and nobody knows which one holds: hence the ranges.
type Service struct {
	Bound       bool // of what could still hide; else of the leak that was seen
	HasRunning  bool // needs volume and refrigerant
	Evaporating Side
	Condensing  Side
	Soap        Soap // needs the volume
	HasShare    bool // needs volume, refrigerant and charge
	Share       float64
	Charge      units.Mass
	Days        Range // until the share is gone at standstill, days
}

// Range is a figure under the milder and under the worse flow law.
type Range struct{ Least, Most float64 }

// Side is a side of the running machine. A side that stands below the air around draws it in.
type Side struct {
	Saturation units.Temperature
	DrawsAir   bool
	Loss       Range // g/yr of refrigerant, or of air drawn in
}

// Soap is what shows at one joint, well soaped, that lets the whole leak out.
type Soap struct {
	Bubble       float64 // m, diameter
	EverySeconds float64 // s for a bubble of that size
	Foam         float64 // m, diameter of the foam after Wait
	Wait         float64 // s
	Seen         bool    // a patient eye sees it
}

// Words says it in short sentences.
func (s *Service) Words() (out []string) {
	if s == nil {
		return nil
	}
	if s.HasRunning {
		out = append(out, "Running: "+s.Condensing.words("condensing")+"; "+s.Evaporating.words("evaporating")+".")
	}
	soap := fmt.Sprintf("Soap, if all of it leaves at one joint: a bubble of %.0f mm every %s", s.Soap.Bubble*1e3, seconds(s.Soap.EverySeconds))
	if !s.Soap.Seen {
		soap += fmt.Sprintf(", foam of %s mm in %s: too little to trust your eyes", units.Significant(s.Soap.Foam*1e3, 2), seconds(s.Soap.Wait))
	}
	out = append(out, soap+".")
	if s.HasShare {
		out = append(out, fmt.Sprintf("At rest %s of the %s charge is gone in %s.", units.FormatShare(s.Share), units.FormatMass(s.Charge), s.Days.words("days")))
	}
	return out
}

func (s Side) words(name string) string {
	what := "lost"
	if s.DrawsAir {
		what = "of air and moisture drawn in"
	}
	return fmt.Sprintf("on the %s side (%.0f C) %s %s", name, s.Saturation.Celsius(), s.Loss.words("g/yr"), what)
}

// words writes a range, or one figure where both round to the same.
func (r Range) words(unit string) string {
	least, most := units.Significant(r.Least, 2), units.Significant(r.Most, 2)
	if least == most {
		return most + " " + unit
	}
	return least + " to " + most + " " + unit
}

// seconds writes a short time to two digits, a long one in minutes.
func seconds(s float64) string {
	if s < 100 {
		return units.Significant(s, 2) + " s"
	}
	if s < 6000 {
		return units.Significant(s/60, 2) + " min"
	}
	return units.Significant(s/3600, 2) + " h"
}

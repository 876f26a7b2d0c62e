package manual

import (
	"math"

	"example.org/holdfast/drivers"
)

// Ratios by which a slip of the point or the unit is off. 1 bar = 14.5038 psi
// (NIST SP 811, 2008, appendix B.8).
var slips = [...]struct {
	ratio float64
	says  string
}{
	{10, "ten times the one before"},
	{0.1, "a tenth of the one before"},
	{14.5038, "14.5 times the one before, as psi is to bar"},
	{1 / 14.5038, "a 14.5th of the one before, as bar is to psi"},
	{100, "a hundred times the one before"},
	{0.01, "a hundredth of the one before"},
}

const (
	slipNear  = 0.08  // relative, of a ratio: a hold moves less between two readings
	slipLeast = 0.5e5 // Pa: below that a section is being let off or not filled yet
)

// slip says how a pressure looks like a slip beside the one before; "" = it does
// not. A vacuum moves by such ratios by itself.
func (m *Manual) slip(r drivers.Reading) string {
	if m.cfg.Vacuum || !r.HasPressure() || m.lastRef != r.Ref || m.lastP < slipLeast || r.Pressure <= 0 {
		return ""
	}
	for _, s := range slips {
		if math.Abs(r.Pressure/m.lastP/s.ratio-1) < slipNear {
			return s.says
		}
	}
	return ""
}

package plan

import (
	"fmt"
	"math"

	"example.org/holdfast/internal/gas"
	"example.org/holdfast/internal/units"
	"example.org/holdfast/refdata"
)

// Capillary is a tube between two volumes, of which the first is filled.
type Capillary struct {
	Tube     gas.Tube
	From     units.Volume // filled
	Into     units.Volume // behind; +Inf = the open air
	VolumeSE float64      // relative standard uncertainty of the volumes
	Before   units.Absolute
	Behind   units.Absolute // before
	Gas      gas.Gas
}

// Clearness is the answer.
type Clearness string

// The three answers.
const (
	Clear         Clearness = "clear"
	PartlyBlocked Clearness = "partly blocked"
	Blocked       Clearness = "blocked"
)

// Clearance is what a measurement says of the capillary.
type Clearance struct {
	Word       Clearness
	Confidence float64 // that it is this one of the three
	Bore       float64 // m, of a clear tube that lets as much through; of a still one the most it can be
	Share      float64 // Bore over the stated one
	TooFast    bool    // faster than such a tube can be: bore, length or volumes are not as stated
}

// What counts as clear is a choice: a tube with 90 % of its bore passes about two thirds of the
// gas, one with 40 % a few per cent (common practice, no source).
const (
	clearShare   = 0.9
	blockedShare = 0.4
	frictionSE   = 0.12 // relative, of the time: the friction factor is right to some 10 %
)

// Check says what makes no sense.
func (c Capillary) Check() error {
	switch {
	case !(c.From > 0 && c.Into > 0):
		return fmt.Errorf("the volumes at both ends must be above zero")
	case c.Before <= c.Behind:
		return fmt.Errorf("the filled end (%s absolute) must stand above the other (%s)", bar(c.Before), bar(c.Behind))
	}
	return nil
}

// Final is where both ends meet (Boyle's law).
func (c Capillary) Final() units.Absolute {
	if math.IsInf(float64(c.Into), 1) {
		return c.Behind
	}
	return (c.Before*units.Absolute(c.From) + c.Behind*units.Absolute(c.Into)) / units.Absolute(c.From+c.Into)
}

// Time is how long the difference of the two ends takes to shrink by a share, s,
// through this tube but with another bore (m).
func (c Capillary) Time(bore, share float64) float64 {
	d := gas.Tube{Bore: bore, Length: c.Tube.Length}
	gap := float64(c.Before - c.Behind)
	s, err := d.EqualiseTime(c.From, c.Into, c.Before, c.Behind, units.PressureDiff((1-share)*gap), fillAt, c.Gas)
	if err != nil {
		return math.Inf(1)
	}
	return s
}

// Gap is the difference of the two ends, as a share of the first one, when the
// filled end stands at p: what left it went to the other.
func (c Capillary) Gap(p units.Absolute) float64 {
	behind := c.Behind + (c.Before-p)*units.Absolute(float64(c.From)/float64(c.Into))
	return float64(p-behind) / float64(c.Before-c.Behind)
}

// Judge says what it means that the difference took so many seconds to shrink
// from one share gone to another; relativeSE is the uncertainty of that time.
func (c Capillary) Judge(from, to, seconds, relativeSE float64) Clearance {
	took := func(bore float64) float64 {
		t := c.Time(bore, to)
		if from > 0 {
			t -= c.Time(bore, from)
		}
		return t
	}
	// Time falls with the bore: halve the interval on a logarithmic scale.
	low, high := 0.02*c.Tube.Bore, 4*c.Tube.Bore
	for high/low > 1.0005 {
		if mid := math.Sqrt(low * high); took(mid) > seconds {
			low = mid
		} else {
			high = mid
		}
	}
	bore := math.Sqrt(low * high)
	// How steeply: between the bore cubed and its fourth power and more.
	power := math.Log(took(bore/1.05)/took(bore*1.05)) / math.Log(1.05*1.05)
	inTime := math.Sqrt(frictionSE*frictionSE + relativeSE*relativeSE + c.VolumeSE*c.VolumeSE)
	stated := tape(refdata.TubeTolerances().Capillary) / c.Tube.Bore
	return clearance(c.Tube.Bore, bore, math.Hypot(inTime/power, stated))
}

// Still says what it means that the difference shrank by no more than a share in so many seconds.
func (c Capillary) Still(most, seconds float64) Clearance {
	r := c.Judge(0, most, seconds, 0)
	if r.Share < blockedShare {
		r.Word = Blocked
	}
	return r
}

// clearance names the likeliest of the three, for a bore known to a relative standard uncertainty.
func clearance(stated, bore, se float64) Clearance {
	share := bore / stated
	above := func(limit float64) float64 { return 0.5 * math.Erfc((math.Log(limit)-math.Log(share))/se/math.Sqrt2) }
	r := Clearance{Word: Clear, Confidence: above(clearShare), Bore: bore, Share: share, TooFast: share > 1 && above(1.1) > 0.9}
	if p := above(blockedShare) - above(clearShare); p > r.Confidence {
		r.Word, r.Confidence = PartlyBlocked, p
	}
	if p := 1 - above(blockedShare); p > r.Confidence {
		r.Word, r.Confidence = Blocked, p
	}
	r.Confidence = min(r.Confidence, 0.99) // nothing measured so is ever certain
	return r
}

// Reading is one pair of pressures; Far is NaN where only the filled end has a gauge.
type Reading struct {
	T    float64        // s
	Near units.Absolute // filled end
	Far  units.Absolute
}

// Measured judges a curve: by the time between a tenth and half of the way, which
// asks neither for the moment of opening nor for the end; where it never got half way, by what it did get.
func (c Capillary) Measured(readings []Reading) (Clearance, error) {
	if len(readings) < 3 {
		return Clearance{}, fmt.Errorf("%d readings are too few for a curve", len(readings))
	}
	gone := make([]float64, len(readings))
	most := 0.0
	for i, r := range readings {
		gone[i] = 1 - c.Gap(r.Near)
		if !math.IsNaN(float64(r.Far)) {
			gone[i] = 1 - float64(r.Near-r.Far)/float64(c.Before-c.Behind)
		}
		most = max(most, gone[i])
	}
	from, to := 0.1, min(0.5, 0.9*most)
	if to < 0.15 {
		return c.Still(max(most, 0.01), readings[len(readings)-1].T-readings[0].T), nil
	}
	a, b := crossing(readings, gone, from), crossing(readings, gone, to)
	step := (readings[len(readings)-1].T - readings[0].T) / float64(len(readings)-1)
	return c.Judge(from, to, b-a, tape(step)/(b-a)), nil
}

// crossing is when a share was first gone, s.
func crossing(readings []Reading, gone []float64, share float64) float64 {
	for i, g := range gone {
		if g < share {
			continue
		}
		if i == 0 {
			return readings[0].T
		}
		f := (share - gone[i-1]) / (g - gone[i-1])
		return readings[i-1].T + f*(readings[i].T-readings[i-1].T)
	}
	return readings[len(readings)-1].T
}

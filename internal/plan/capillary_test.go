package plan

import (
	"math"
	"math/rand/v2"
	"testing"

	"example.org/holdfast/internal/gas"
	"example.org/holdfast/internal/units"
)

// cellar is the capillary of a wine cabinet between a filled condenser and the rest of the circuit.
func cellar() Capillary {
	return Capillary{Tube: gas.Tube{Bore: 0.7e-3, Length: 3}, From: 0.3e-3, Into: 1.2e-3, VolumeSE: 0.05, Before: 9e5, Behind: 1e5, Gas: gas.Nitrogen()}
}

// flow is the mass flow, kg/s, of nitrogen at 20 C through a tube: the isothermal equation with
// friction, 64/Re below Re 2300 and Haaland's explicit factor for a drawn tube above (both from any text on pipe
// flow, from memory), written apart from internal/gas and without its choking.
func flow(bore, length, p1, p2 float64) float64 {
	const specific, eta = 8.314462618 / 0.0280134 * 293.15, 17.6e-6
	area := math.Pi / 4 * bore * bore
	m := 1e-6
	for range 200 {
		re := 4 * m / (math.Pi * bore * eta)
		f := 64 / re
		if re > 2300 {
			f = math.Pow(-1.8*math.Log10(6.9/re+math.Pow(1.5e-6/bore/3.7, 1.11)), -2)
		}
		m += 0.3 * (area*math.Sqrt((p1*p1-p2*p2)/(specific*(f*length/bore+2*math.Log(p1/p2)))) - m)
	}
	return m
}

// curve simulates two volumes that equalise, one reading every other second with noise, until nothing happens.
func curve(bore float64, seconds int, both bool, seed uint64) []Reading {
	const specific = 8.314462618 / 0.0280134 * 293.15
	c := cellar()
	rng := rand.New(rand.NewPCG(seed, 5))
	p1, p2 := float64(c.Before), float64(c.Behind)
	var out []Reading
	for t := range seconds {
		if t%2 == 0 {
			near, far := p1+500*rng.NormFloat64(), p2+500*rng.NormFloat64()
			if !both {
				far = math.NaN()
			}
			out = append(out, Reading{float64(t), units.Absolute(near), units.Absolute(far)})
		}
		if t < 20 || p1 <= p2+1 || bore == 0 { // the valve is opened after 20 s
			continue
		}
		q := flow(bore, c.Tube.Length, p1, p2) * specific
		p1 -= q / float64(c.From)
		p2 += q / float64(c.Into)
	}
	return out
}

func TestCapillaryIsJudgedFromItsCurve(t *testing.T) {
	for _, both := range []bool{true, false} {
		for _, c := range []struct {
			bore float64 // m, of the simulated tube
			want Clearness
		}{{0.7e-3, Clear}, {0.5e-3, PartlyBlocked}, {0.2e-3, Blocked}, {0, Blocked}} {
			got, err := cellar().Measured(curve(c.bore, 900, both, 1))
			if err != nil || got.Word != c.want || got.Confidence < 0.85 {
				t.Errorf("bore %.1f mm, both gauges %v: %s with %.2f, bore %.2f mm, %v; want %s", 1e3*c.bore, both, got.Word, got.Confidence, 1e3*got.Bore, err, c.want)
			}
			if c.bore > 0.3e-3 && math.Abs(got.Bore/c.bore-1) > 0.08 {
				t.Errorf("bore %.2f mm is found as %.2f mm", 1e3*c.bore, 1e3*got.Bore)
			}
		}
	}
}

// A narrow tube between the two limits is not called with more confidence than there is.
func TestCapillaryNearTheLimitIsUncertain(t *testing.T) {
	got, err := cellar().Measured(curve(0.9*0.7e-3, 900, true, 2))
	if err != nil || got.Confidence > 0.9 {
		t.Errorf("at the limit between clear and partly blocked: %s with %.2f, %v", got.Word, got.Confidence, err)
	}
}

func TestTubeThatIsTooFastIsNoticed(t *testing.T) {
	got, err := cellar().Measured(curve(1.1e-3, 600, true, 3))
	if err != nil || !got.TooFast || got.Word != Clear {
		t.Errorf("1.1 mm where 0.7 is stated: %+v, %v", got, err)
	}
}

// Times worked out elsewhere for nitrogen at 11 bar absolute in 0.3 l against 1 bar in 1.5 l: within 10 mbar
// of each other after 80, 165 and 30 s; and by hand, where they meet: (11 x 0.3 + 1 x 1.5)/1.8 bar.
func TestExpectedCurve(t *testing.T) {
	for _, c := range []struct{ mm, m, seconds float64 }{{0.7, 3, 80}, {0.6, 4, 165}, {0.9, 2, 30}} {
		x := Capillary{Tube: gas.Tube{Bore: c.mm / 1000, Length: c.m}, From: 0.3e-3, Into: 1.5e-3, Before: 11e5, Behind: 1e5, Gas: gas.Nitrogen()}
		if got := x.Time(x.Tube.Bore, 1-0.001); math.Abs(got/c.seconds-1) > 0.25 {
			t.Errorf("%g mm x %g m: %.0f s, elsewhere %.0f", c.mm, c.m, got, c.seconds)
		}
		if got := float64(x.Final()) / 1e5; math.Abs(got-4.8/1.8) > 1e-9 {
			t.Errorf("they meet at %.4f bar", got)
		}
		half := x.Time(x.Tube.Bore, 0.5)
		if r := x.Judge(0, 0.5, half, 0); math.Abs(r.Share-1) > 0.001 || r.Word != Clear {
			t.Errorf("its own half-time makes it %s, %.3f of its bore", r.Word, r.Share)
		}
	}
}

// Into the open air only the filled end counts.
func TestCapillaryIntoTheOpen(t *testing.T) {
	c := cellar()
	c.Into = units.Volume(math.Inf(1))
	if c.Final() != c.Behind {
		t.Errorf("it ends at %g Pa", float64(c.Final()))
	}
	if open, closed := c.Time(c.Tube.Bore, 0.5), cellar().Time(c.Tube.Bore, 0.5); !(open > closed && open < 1.4*closed) {
		t.Errorf("half-time %.1f s into the open, %.1f s into 1.2 l", open, closed)
	}
}

package gas_test

import (
	"fmt"
	"math"
	"testing"

	"example.org/holdfast/internal/gas"
	"example.org/holdfast/internal/units"
)

// Worked figures of the flow laws (EN 1779 annex, ISO 20486, from memory),
// computed apart: 1e-4 Pa m3/s of nitrogen at 21 bar and 20 °C as a loss of
// refrigerant at its 40 °C saturation pressure, gas at 20 °C.
func TestRefrigerantLossesComputedApart(t *testing.T) {
	const q, k = units.LeakRate(1e-4), units.Temperature(293.15)
	from := gas.State{Fluid: gas.Nitrogen(), Pressure: 21e5, Temperature: k}
	for _, c := range []struct {
		name               string
		pressure           units.Absolute
		viscous, molecular float64 // ratios of throughput
		grams              float64 // a year of 365.25 days, viscous
	}{
		{"R600a", 531208, 0.14739, 0.149325, 11.0839},
		{"R134a", 1016593, 0.351768, 0.239956, 46.4382},
		{"R290", 1369420, 0.93003, 0.505699, 53.061},
	} {
		r := mustRefrigerant(t, c.name)
		to := gas.State{Fluid: r, Pressure: c.pressure, Temperature: k}
		viscous := gas.Translate(q, gas.Viscous, from, to, atm)
		near(t, c.name+" viscous", float64(viscous/q), c.viscous, 5e-4)
		near(t, c.name+" molecular", float64(gas.Translate(q, gas.Molecular, from, to, atm)/q), c.molecular, 5e-5)
		near(t, c.name+" g/yr", gas.MassFlow(viscous, r.MolarMass(), k).GramsPerYear(), c.grams, 1e-3)
	}
}

// Helium instead of nitrogen at the same pressures: the laminar factor is that of
// the viscosities, 1.114 from nitrogen to helium, the molecular √(M/M') = 0.378 (computed apart).
func TestHeliumAgainstNitrogen(t *testing.T) {
	s := func(name string) gas.State {
		return gas.State{Fluid: mustGas(t, name), Pressure: 21e5, Temperature: 293.15}
	}
	near(t, "laminar", 1/float64(gas.Translate(1, gas.Viscous, s("nitrogen"), s("helium"), atm)), 1.1142, 5e-3)
	near(t, "molecular", 1/float64(gas.Translate(1, gas.Molecular, s("nitrogen"), s("helium"), atm)), 0.3780, 2e-4)
}

// A pore of 5 µm radius and 5 mm length, nitrogen from 21 bar to the atmosphere:
// 0.00614506 Pa m3/s by Hagen-Poiseuille (computed apart). The tube also counts what the gas
// needs to get moving, which takes off some per cent.
func TestAPoreIsPoiseuilles(t *testing.T) {
	pore := gas.Tube{Bore: 10e-6, Length: 5e-3}
	q := float64(pore.Throughput(21e5, atm, 293.15, gas.Nitrogen()))
	if !(q < 0.00614506*1.002 && q > 0.00614506*0.9) {
		t.Errorf("%.6g Pa m3/s, Hagen-Poiseuille gives 0.00614506", q)
	}
}

// The vacuum-decay leak rate of 40 CFR 1065.644: 2 litres from 25300 to 50600 Pa
// in 70 s at 293.15 K is 0.00030 mol/s (answer from memory, inputs read in a copy of the regulation).
func ExampleThroughput_vacuumDecay() {
	const volume, k = 2e-3, 293.15
	rise := units.PressureRate((50600.0 - 25300.0) / 70)
	q := gas.Throughput(volume, rise, 38000, k, gas.DryAir())
	fmt.Printf("%.5f mol/s\n", float64(q)/(gas.R*k))
	// Output: 0.00030 mol/s
}

// The volumes of tubes a metre long, from the inside diameters of ASTM B280
// (table of refdata/testdata, computed apart): 3/8 inch holds 49 ml, a capillary of 0.031 inch half of one.
func TestVolumesOfTubes(t *testing.T) {
	for mm, ml := range map[float64]float64{1.651: 2.141, 4.826: 18.292, 7.899: 49.009, 10.922: 93.690, 19.939: 312.246, 0.7874: 0.487} {
		near(t, fmt.Sprint(mm, " mm"), (gas.Tube{Bore: mm / 1000, Length: 1}).Volume().Litres()*1000, ml, math.Max(5e-4/ml, 5e-4))
	}
}

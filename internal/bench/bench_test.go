package bench_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"example.org/holdfast/internal/bench"
	"example.org/holdfast/internal/gas"
	"example.org/holdfast/internal/units"
)

// quiet is a section in a room where nothing moves, watched by perfect instruments.
func quiet() bench.Params {
	return bench.Params{
		Volume: 0.3e-3, StartPressure: 20e5, Interval: 1, Hold: 3600,
		SectionProbe: bench.Thermometer{},
	}
}

// Of an ideal gas at constant temperature the three laws have closed forms.
func TestLeakFollowsItsLaw(t *testing.T) {
	const leak, start = 0.2, 2e5 // per hour; Pa, low enough for helium to be ideal within 1e-3
	for _, c := range []struct {
		law  gas.FlowLaw
		want func(hours float64) float64 // P/P0
	}{
		{gas.Choked, func(h float64) float64 { return math.Exp(-leak * h) }},
		// dx/dt = -r (x²-a²)/(1-a²), x = P/P0, a = Pa/P0, integrates to atanh.
		{gas.Viscous, func(h float64) float64 {
			a := 101325 / start
			return a / math.Tanh(math.Atanh(a)+leak*h*a/(1-a*a))
		}},
		{gas.Molecular, func(h float64) float64 {
			a := 101325 / start
			return a + (1-a)*math.Exp(-leak*h/(1-a))
		}},
	} {
		p := quiet()
		p.Leak, p.Law, p.StartPressure = leak, c.law, start
		p.Gas, _ = gas.Lookup("helium") // nearly ideal: pressure and amount go together
		b := bench.New(p, 1)
		for _, hours := range []float64{0.25, 0.5, 1, 2} {
			got := float64(b.At(hours*3600).TruePressure) / start
			if want := c.want(hours); math.Abs(got-want) > 1.5e-4 {
				t.Errorf("%v after %g h: P/P0 = %.5f, closed form %.5f", c.law, hours, got, want)
			}
		}
	}
}

// The truth is what a finite difference of the true pressure finds at the start.
func TestTruthIsTheInitialSlope(t *testing.T) {
	for _, law := range []gas.FlowLaw{gas.Viscous, gas.Molecular, gas.Choked} {
		p := quiet()
		p.Leak, p.Law, p.LeakOpensAt = 0.03, law, 600
		b := bench.New(p, 1)
		before, at, after := b.At(300), b.At(600), b.At(660)
		if before.TruePressure != 20e5 || at.TruePressure != 20e5 {
			t.Errorf("%v: pressure moves before the leak opens: %v, %v", law, before.TruePressure, at.TruePressure)
		}
		got := float64(at.TruePressure-after.TruePressure) / 60
		truth := b.Truth()
		if truth.OpensAt != 600 || math.Abs(got/float64(truth.Rate)-1) > 1e-3 {
			t.Errorf("%v: first minute loses %.4f Pa/s, truth %+v", law, got, truth)
		}
	}
}

// A burst joint empties the section to the atmosphere and no further.
func TestGrossLeakEndsAtTheAtmosphere(t *testing.T) {
	for _, law := range []gas.FlowLaw{gas.Viscous, gas.Molecular, gas.Choked} {
		p := quiet()
		p.Leak, p.Law = 3600, law // everything within a second, were it to go on so
		b := bench.New(p, 1)
		if got := float64(b.At(7200).TruePressure); math.Abs(got-101325) > 3000 || math.IsNaN(got) {
			t.Errorf("%v: %.0f Pa left", law, got)
		}
	}
}

// A tight section of nitrogen, slowly warmed: T/P·dP/dT is that of the real gas, 1.0509 at 21 bar and
// 20 °C (Span et al. 2000, JPCRD 29(6) 1361; 1 for an ideal gas).
func TestTightSectionFollowsTheRealGas(t *testing.T) {
	p := quiet()
	p.StartPressure = 21e5
	p.Room = bench.Room{Kind: bench.Drift, Slope: 1}
	b := bench.New(p, 1)
	start, end := b.At(0), b.At(3600)
	got := math.Log(float64(end.TruePressure/start.TruePressure)) / math.Log(float64(end.GasTemperature/start.GasTemperature))
	if math.Abs(got-1.0509) > 3e-4 {
		t.Errorf("dlnP/dlnT = %.4f, want 1.0509", got)
	}
	if end.Amount != start.Amount {
		t.Errorf("a tight section lost gas: %g to %g mol", start.Amount, end.Amount)
	}
}

// One lag behind a steady ramp stands slope × lag behind it.
func TestGasLagsBehindARamp(t *testing.T) {
	p := quiet()
	p.Room = bench.Room{Kind: bench.Drift, Slope: 2}
	p.Thermal.Nodes = []bench.Node{{Weight: 1, Lag: 600}}
	s := bench.New(p, 1).At(1800)
	if got := float64(s.TrueAmbient - s.GasTemperature); math.Abs(got-2.0/6) > 2e-3 {
		t.Errorf("gas is %.4f K behind, want %.4f", got, 2.0/6)
	}
}

func TestFillingHeatDiesOut(t *testing.T) {
	for name, thermal := range map[string]bench.Thermal{
		"nodes": {Fill: []bench.Heat{{Rise: 4, Tau: 100}}},
		"wall":  {Wall: &bench.Wall{FillRise: 4}},
	} {
		p := quiet()
		p.Thermal = thermal
		b := bench.New(p, 1)
		last := math.Inf(1)
		for at := 0.0; at <= 3600; at += 60 {
			s := b.At(at)
			excess := float64(s.GasTemperature - s.TrueAmbient)
			if at == 0 && math.Abs(excess-4) > 1e-9 {
				t.Errorf("%s: starts with %.3f K", name, excess)
			}
			if excess > last+1e-9 || excess < -1e-9 {
				t.Fatalf("%s: excess goes from %.4f to %.4f K at %g s", name, last, excess, at)
			}
			last = excess
		}
		if last > 0.1 {
			t.Errorf("%s: %.3f K left after an hour", name, last)
		}
	}
}

func TestSamplesDoNotDependOnHowOftenTheyAreTaken(t *testing.T) {
	rng := rand.New(rand.NewPCG(7, 7))
	for _, kind := range []bench.Physics{bench.PhysicsA, bench.PhysicsB, bench.PhysicsC, bench.PhysicsD} {
		p := bench.RandomParams(rng, kind)
		often, seldom := bench.New(p, 3), bench.New(p, 3)
		for at := 0.0; at <= 1800; at += 0.7 {
			often.At(at)
		}
		a, b := often.At(1900), seldom.At(1900)
		if a.TruePressure != b.TruePressure || a.GasTemperature != b.GasTemperature || a.TrueAmbient != b.TrueAmbient {
			t.Errorf("physics %s: %+v against %+v", kind, a, b)
		}
	}
}

func TestSameSeedSameHoldOtherSeedOtherHold(t *testing.T) {
	p := bench.BottleCooler(bench.DemoLeaking)
	a, b, c := bench.New(p, 5), bench.New(p, 5), bench.New(p, 6)
	same := true
	for at := 0.0; at < 600; at += 5 {
		x, y, z := a.At(at), b.At(at), c.At(at)
		if x.Pressure != y.Pressure || x.Ambient != y.Ambient {
			t.Fatalf("at %g s: %+v against %+v", at, x, y)
		}
		same = same && x.Pressure == z.Pressure
	}
	if same {
		t.Error("another seed gives the same hold")
	}
}

func TestTheRecordBeforeTheFilling(t *testing.T) {
	p := bench.BottleCooler(0)
	p.PreRecord = 600
	b := bench.New(p, 1)
	for at := -600.0; at < 0; at += 10 {
		s := b.At(at)
		if math.Abs(float64(s.Pressure)-101325) > 2000 || s.T != at || math.IsNaN(float64(s.Ambient)) {
			t.Fatalf("at %g s: %+v", at, s)
		}
	}
	if s := b.At(0); math.Abs(float64(s.Pressure)-19.5e5) > 2000 {
		t.Errorf("when the valve closes: %+v", s)
	}
}

func TestGaugeSensorSeesTheBarometer(t *testing.T) {
	p := quiet()
	p.Barometer.Slope = -300 // Pa/h
	p.Sensor.Gauge = true
	b := bench.New(p, 1)
	first, last := b.At(0), b.At(3600)
	if got := float64(last.PressureGauge - first.PressureGauge); math.Abs(got-300) > 1 {
		t.Errorf("gauge pressure rises by %.1f Pa, want 300", got)
	}
	if first.PressureGauge.Absolute(units.StandardAtmosphere) != first.Pressure {
		t.Errorf("gauge and absolute do not fit: %+v", first)
	}
}

// Every kind of event in one hold, one after another; long because there are seven.
func TestEvents(t *testing.T) {
	p := quiet()
	p.Sensor = bench.Sensor{Noise: 100, Step: 10}
	p.RoomProbe = bench.Thermometer{Noise: 0.02}
	p.Events = []bench.Event{
		{Kind: bench.Freeze, At: 100, For: 50},
		{Kind: bench.Dropout, At: 200, For: 50},
		{Kind: bench.Spike, At: 300, For: 1, Size: 50000},
		{Kind: bench.Hand, At: 400, For: 60, Size: 2},
		{Kind: bench.Stuck, At: 900, For: 50},
		{Kind: bench.Step, At: 2000, Size: 1500},
		{Kind: bench.Touch, At: 3000, For: 20, Size: 3},
	}
	b := bench.New(p, 1)
	s := make([]bench.Sample, 3600)
	for i := range s {
		s[i] = b.At(float64(i))
	}
	for i := 100; i < 150; i++ {
		if s[i].Pressure != s[99].Pressure {
			t.Fatalf("freeze: reading moves at %d s", i)
		}
	}
	if s[199].Missing || !s[200].Missing || !s[249].Missing || s[250].Missing {
		t.Error("dropout is not from 200 to 250 s")
	}
	if rise := float64(s[300].Pressure - s[299].Pressure); math.Abs(rise-5e4) > 1000 || s[300].TruePressure != s[299].TruePressure {
		t.Errorf("spike of %.0f Pa", rise)
	}
	if warm := s[460].GasTemperature - s[399].GasTemperature; warm < 1 || warm > 2 {
		t.Errorf("a hand for a minute warms the gas by %.2f K", warm)
	}
	if rest := s[880].GasTemperature - s[399].GasTemperature; math.Abs(float64(rest)) > 0.01 {
		t.Errorf("seven minutes later %.3f K of the hand are left", rest)
	}
	for i := 900; i < 950; i++ {
		if s[i].Ambient != s[899].Ambient {
			t.Fatalf("stuck: thermometer moves at %d s", i)
		}
	}
	mean := func(from, to int) float64 {
		var sum float64
		for _, x := range s[from:to] {
			sum += float64(x.Pressure)
		}
		return sum / float64(to-from)
	}
	if step := mean(2000, 2500) - mean(1500, 2000); math.Abs(step-1500) > 50 {
		t.Errorf("step of %.0f Pa, want 1500", step)
	}
	if touched := s[3019].Ambient - s[2999].Ambient; math.Abs(float64(touched)-3) > 0.2 {
		t.Errorf("touch of %.2f K, want 3", touched)
	}
}

// Every hold of the population must be something that could stand on a bench.
func TestPopulationIsPlausible(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 2))
	tight, n := 0, 0
	for _, kind := range []bench.Physics{bench.PhysicsA, bench.PhysicsB, bench.PhysicsC, bench.PhysicsD} {
		for i := range 40 {
			p := bench.RandomParams(rng, kind)
			n++
			if p.Leak == 0 {
				tight++
			} else if p.Leak < 0.001 || p.Leak > 0.2 {
				t.Errorf("%s: leak %g", p.Name, p.Leak)
			}
			b := bench.New(p, uint64(i))
			for at := 0.0; at <= 1800; at += 100 {
				s := b.At(at)
				c := s.TrueAmbient.Celsius()
				off := float64(s.GasTemperature - s.TrueAmbient)
				if !(c > 0 && c < 40) || !(math.Abs(off) < 14) {
					t.Fatalf("%s at %g s: room %.1f °C, gas off by %.1f K", p.Name, at, c, off)
				}
				if at > 1000 && !(math.Abs(off) < 6) {
					t.Fatalf("%s at %g s: gas still off by %.1f K", p.Name, at, off)
				}
				if e := math.Abs(float64(s.Pressure - s.TruePressure)); !(e < 4000) {
					t.Fatalf("%s at %g s: reading off by %.0f Pa", p.Name, at, e)
				}
			}
		}
	}
	if share := float64(tight) / float64(n); share < 0.25 || share > 0.55 {
		t.Errorf("%.0f %% tight, want about 40 %%", 100*share)
	}
}

func BenchmarkHour(b *testing.B) {
	rng := rand.New(rand.NewPCG(1, 1))
	for _, kind := range []bench.Physics{bench.PhysicsA, bench.PhysicsB, bench.PhysicsC, bench.PhysicsD} {
		p := bench.RandomParams(rng, kind)
		p.Leak = 0.01
		b.Run(string(kind), func(b *testing.B) {
			for b.Loop() {
				s := bench.New(p, 1)
				for at := 0.0; at <= 3600; at++ {
					s.At(at)
				}
			}
		})
	}
}

// Each kind of room must show the movement it is named for over half a day, and no other.
func TestRoomsMoveAsNamed(t *testing.T) {
	for name, want := range map[string]struct{ least, most float64 }{ // K, highest less lowest
		"still": {0.05, 0.6}, "drift": {13.5, 15.5}, "heater": {0.8, 2}, "door": {1, 7}, "day": {2.9, 6.6},
	} {
		p := quiet()
		room, err := bench.RoomNamed(name)
		if err != nil || room.Kind.String() != name {
			t.Fatalf("%s: %v, %v", name, room.Kind, err)
		}
		p.Room = room
		b := bench.New(p, 4)
		lowest, highest := math.Inf(1), math.Inf(-1)
		for at := 0.0; at <= 12*3600; at += 60 {
			air := float64(b.At(at).TrueAmbient)
			lowest, highest = min(lowest, air), max(highest, air)
		}
		if span := highest - lowest; !(span > want.least && span < want.most) {
			t.Errorf("%s: the air moves by %.2f K, want %.2f to %.2f", name, span, want.least, want.most)
		}
	}
	if _, err := bench.RoomNamed("sauna"); err == nil {
		t.Error("an unknown room was found")
	}
}

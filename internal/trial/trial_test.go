package trial

import (
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"example.org/holdfast/drivers"
	"example.org/holdfast/internal/units"
)

// record makes 60 readings in 30 s of what at says.
func record(at func(i int) drivers.Reading) []Heard {
	var all []Heard
	for i := range 60 {
		all = append(all, Heard{float64(i) / 2, at(i)})
	}
	return all
}

// gauge makes a reading of a gauge pressure in Pa in a room of 21 C.
func gauge(pa float64) drivers.Reading {
	r := drivers.Empty()
	r.Pressure, r.Ref, r.Ambient = pa, units.GaugeRef, units.FromCelsius(21)
	return r
}

func absolute(pa float64) drivers.Reading {
	r := gauge(pa)
	r.Ref = units.AbsoluteRef
	return r
}

// found gives the words of what was found.
func found(r Result) string {
	var all []string
	for _, f := range r.Findings {
		all = append(all, f.What)
	}
	return strings.Join(all, " ")
}

// Long: the table.
func TestWhatIsWrongIsSaidInWords(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 2))
	noise := func(sd float64) float64 { return sd * rng.NormFloat64() }
	at := func(c float64) func(int) drivers.Reading {
		return func(int) drivers.Reading {
			r := gauge(10e5 + noise(30))
			r.Ambient = units.FromCelsius(c)
			return r
		}
	}
	for _, c := range []struct {
		name  string
		set   Setup
		at    func(i int) drivers.Reading
		found string
		words string
	}{
		{"well", Setup{}, func(int) drivers.Reading { return gauge(10e5 + noise(30)) }, "", ""},
		{"open and at zero", Setup{Open: true}, func(int) drivers.Reading { return gauge(500 + noise(30)) }, "", ""},
		{"open, absolute, well", Setup{Open: true}, func(int) drivers.Reading { return absolute(99000 + noise(30)) }, "", ""},
		{"not at zero", Setup{Open: true, Spec: drivers.Spec{PressureRange: 25e5}}, func(int) drivers.Reading { return gauge(20000 + noise(30)) }, "zero", "0.2"},
		{"absolute called gauge", Setup{}, func(int) drivers.Reading { return gauge(101325 + noise(30)) }, "reference", "_abs"},
		{"gauge called absolute", Setup{Open: true}, func(int) drivers.Reading { return absolute(500 + noise(30)) }, "reference", "measures gauge"},
		{"psi called bar", Setup{Open: true, PerUnit: 1e5}, func(int) drivers.Reading { return absolute(14.6e5 + noise(30)) }, "unit", "in psi"},
		{"kPa called bar", Setup{Open: true, PerUnit: 1e5}, func(int) drivers.Reading { return absolute(100.9e5 + noise(30)) }, "unit", "in kPa"},
		{"noise", Setup{Spec: drivers.Spec{PressureRange: 25e5}}, func(int) drivers.Reading { return gauge(10e5 + noise(10000)) }, "noise", "shielding"},
		{"frozen", Setup{}, func(int) drivers.Reading { return gauge(10e5) }, "still", "frozen"},
		{"a spike", Setup{}, func(i int) drivers.Reading {
			if i == 30 {
				return gauge(12e5)
			}
			return gauge(10e5 + noise(30))
		}, "spikes", "1 single readings"},
		{"a step", Setup{}, func(i int) drivers.Reading { return gauge(10e5 + 20000*math.Floor(float64(i)/30) + noise(30)) }, "steps", "jumped 1 times"},
		{"drift", Setup{}, func(i int) drivers.Reading { return gauge(10e5 + 20*float64(i) + noise(30)) }, "drift", "a minute"},
		{"Fahrenheit called Celsius", Setup{}, at(70), "unit", "in Fahrenheit? Then it is 21"},
		{"an oven", Setup{}, at(150), "unit", "the room is at 150"},
		{"garbage", Setup{}, func(int) drivers.Reading {
			return drivers.Doubtful("??", "unreadable bytes in the line: check the baud rate")
		}, "unusable", "60 of 60 readings cannot be used, most often: unreadable"},
		{"now and then a bad one", Setup{}, func(i int) drivers.Reading {
			if i%30 == 7 {
				return drivers.Doubtful("", "the checksum is wrong")
			}
			return gauge(10e5 + noise(30))
		}, "unusable", "2 of 60"},
	} {
		r := Look(record(c.at), c.set)
		words := ""
		for _, f := range r.Findings {
			words += f.Words + "\n"
		}
		if found(r) != c.found || !strings.Contains(words, c.words) {
			t.Errorf("%s: found %q (%s), want %q with %q", c.name, found(r), words, c.found, c.words)
		}
	}
}

func TestSilenceAndFewReadingsAreSaid(t *testing.T) {
	if r := Look(nil, Setup{}); found(r) != "silent" || !r.Findings[0].Bad {
		t.Errorf("%+v", r)
	}
	if r := Look([]Heard{{0, gauge(10e5)}, {1, gauge(10e5)}}, Setup{}); found(r) != "few" || r.Findings[0].Bad {
		t.Errorf("%+v", r)
	}
}

// The line of least squares through four points, worked by hand: slope 1.4, and noise of a known kind.
func TestTheFigures(t *testing.T) {
	if s := slope([]float64{0, 1, 2, 3}, []float64{0, 1, 3, 4}); math.Abs(s-1.4) > 1e-12 {
		t.Errorf("slope %v", s)
	}
	rng := rand.New(rand.NewPCG(3, 4))
	var all []Heard
	for i := range 5000 {
		all = append(all, Heard{float64(i), gauge(10e5 + 100*rng.NormFloat64())})
	}
	r := Look(all, Setup{})
	if r.Readings != 5000 || r.Seconds != 4999 || math.Abs(r.Noise-100) > 6 || math.Abs(r.Mean-10e5) > 10 || math.Abs(r.Drift) > 0.01 {
		t.Errorf("%+v", r)
	}
}

func TestAFalseAlarmIsRare(t *testing.T) {
	rng := rand.New(rand.NewPCG(5, 6))
	alarms := 0
	for range 500 {
		r := Look(record(func(int) drivers.Reading { return gauge(10e5 + 200*rng.NormFloat64()) }), Setup{})
		if len(r.Findings) > 0 {
			alarms++
		}
	}
	if alarms > 5 {
		t.Errorf("%d alarms in 500 trials of an instrument without fault", alarms)
	}
}

package hold_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"example.org/holdfast/internal/bench"
	"example.org/holdfast/internal/gas"
	"example.org/holdfast/internal/hold"
	"example.org/holdfast/internal/holdlog"
	"example.org/holdfast/internal/units"
	"example.org/holdfast/internal/verdict"
)

// held judges a simulated hold of an hour.
func held(p bench.Params, seed uint64, set holdlog.Settings) *hold.State {
	p.Interval, p.Hold = 10, 3600
	set.For = p.Hold
	h := hold.New()
	h.Apply(holdlog.HeaderRecord(holdlog.Header{Settings: set}, 1))
	b := bench.New(p, seed)
	for t := 0.0; t <= p.Hold; t += p.Interval {
		m := b.At(t)
		s := holdlog.NoSample()
		s.Pressure, s.Ref, s.Ambient = float64(m.Pressure), units.AbsoluteRef, m.Ambient
		h.Apply(holdlog.Record{Kind: holdlog.KindSample, Elapsed: t, Wall: 1, Sample: s})
	}
	return h.State()
}

// hose is a blank hold of 30 ml of hose, valve and sensor at p that loses a
// share of its pressure an hour.
func hose(t *testing.T, share float64, p units.Absolute, law gas.FlowLaw, seed uint64) holdlog.Blank {
	t.Helper()
	params := bench.BottleCooler(share)
	params.Volume, params.StartPressure, params.Law = 0.03e-3, p, law
	b, err := hold.BlankOf(held(params, seed, holdlog.Settings{Volume: params.Volume, VolumeError: 0.02}))
	if err != nil {
		t.Fatal(err)
	}
	return b
}

// TestTheOwnLeakLiesInTheIntervalOnceTheBlankIsOff holds pairs of sections and
// hoses whose leaks the bench knows, at other pressures and under each flow law.
func TestTheOwnLeakLiesInTheIntervalOnceTheBlankIsOff(t *testing.T) {
	t.Parallel()
	const pairs, leastInside, hoseShare, ownShare = 30, 26, 0.05, 0.006 // 26 of 30: what 95 % falls below once in 60
	inside, without := 0, 0
	for i := range pairs {
		rng := rand.New(rand.NewPCG(7, uint64(i)))
		law := gas.FlowLaw(i % 3)
		blankAt := units.Absolute((8 + 12*rng.Float64()) * 1e5)
		set := holdlog.Settings{Volume: 0.25e-3, VolumeError: 0.02, Blank: hose(t, hoseShare, blankAt, law, uint64(100+i))}

		params := bench.BottleCooler(0)
		const air = units.StandardAtmosphere
		start := params.StartPressure
		theHose := hoseShare * float64(blankAt) * 0.03 / 0.25 * law.Drive(start, air) / law.Drive(blankAt, air) // Pa/h, ideal gas
		own := ownShare * float64(start)
		params.Leak, params.Law = (own+theHose)/float64(start), law
		st := held(params, uint64(200+i), set)
		r := st.Estimate.Rate
		if lo, hi := r.Lo*3600, r.Hi*3600; lo <= own && own <= hi {
			inside++
		} else {
			t.Logf("pair %d, %v, blank at %.0f Pa: own leak %.0f Pa/h outside %.0f to %.0f", i, law, float64(blankAt), own, lo, hi)
		}
		if !st.Blank.Proven {
			t.Errorf("pair %d: a hose that loses 5 %%/h is not seen", i)
		}
		if r.Hi*3600 < own+theHose {
			without++
		}
	}
	t.Logf("%d of %d inside; %d intervals leave out the sum of both leaks", inside, pairs, without)
	if inside < leastInside {
		t.Errorf("the own leak lies in %d of %d intervals", inside, pairs)
	}
	if without < pairs/4 {
		t.Errorf("only %d of %d intervals are below the sum of both leaks: was anything taken off?", without, pairs)
	}
}

func TestTakingABlankOffWidensAndAnUnprovenOneTakesNothingOff(t *testing.T) {
	t.Parallel()
	section := bench.BottleCooler(bench.DemoLeaking)
	set := holdlog.Settings{Volume: 0.25e-3, VolumeError: 0.05, Limit: "0.5%/h"}
	plain := held(section, 5, set).Estimate
	blank := hose(t, 0.05, 12e5, gas.Viscous, 4)
	for _, rate := range []float64{-3, 0, 0.5, 1.9, 2, 10} { // of its uncertainty
		blank.Rate = units.PressureRate(rate) * blank.Error
		set.Blank = blank
		st := held(section, 5, set)
		e := st.Estimate
		if e.SE <= plain.SE || e.Rate.Half() <= plain.Rate.Half() {
			t.Errorf("blank of %v sd: half-width %v, without %v", rate, e.Rate.Half(), plain.Rate.Half())
		}
		if math.Abs(e.WidthSensor+e.WidthTemperature+e.WidthSettling+st.Blank.Share-1) > 1e-9 {
			t.Errorf("blank of %v sd: the shares of the width do not sum to one", rate)
		}
		if st.Blank.Loss.Value < 0 || st.Blank.Loss.Lo < 0 || st.Blank.Loss.Hi <= 0 {
			t.Errorf("blank of %v sd: %+v", rate, st.Blank.Loss)
		}
		if off := plain.Rate.Value - e.Rate.Value; math.Abs(off-st.Blank.Loss.Value) > 1e-9 {
			t.Errorf("blank of %v sd: %v taken off, %v stated", rate, off, st.Blank.Loss.Value)
		}
		if rate < 1.96 && (st.Blank.Proven || e.Rate.Hi < plain.Rate.Hi) {
			t.Errorf("blank of %v sd made the leak look smaller: up to %v, without it %v", rate, e.Rate.Hi, plain.Rate.Hi)
		}
		if rate == 10 && (!st.Blank.Proven || e.Rate.Value >= plain.Rate.Value) {
			t.Error("a hose that surely leaks is not taken off")
		}
	}
}

func TestTheVolumesSetHowMuchABlankIs(t *testing.T) {
	t.Parallel()
	blank := hose(t, 0.05, 19.5e5, gas.Viscous, 4)
	loss := func(change func(*holdlog.Settings)) float64 {
		set := holdlog.Settings{Volume: 0.25e-3, Blank: blank}
		change(&set)
		return held(bench.BottleCooler(0.02), 5, set).Blank.Loss.Value
	}
	one := loss(func(*holdlog.Settings) {})
	if twice := loss(func(s *holdlog.Settings) { s.Blank.Volume *= 2 }); math.Abs(twice/one-2) > 1e-6 {
		t.Errorf("a blank of twice the volume is %v times as much", twice/one)
	}
	if half := loss(func(s *holdlog.Settings) { s.Volume *= 2 }); math.Abs(half/one-0.5) > 1e-6 {
		t.Errorf("in a section of twice the volume it is %v times as much", half/one)
	}
	if same := loss(func(s *holdlog.Settings) { s.Blank.SameVolume, s.Volume = true, 0 }); math.Abs(same/float64(blank.Rate)-1) > 0.02 {
		t.Errorf("in the same volume at nearly the same pressure it is %v times as much", same/float64(blank.Rate))
	}
}

func TestWhatIsSaidOfABlank(t *testing.T) {
	t.Parallel()
	const day = 24 * 3600 * 1000
	blank := hose(t, 0.05, 12e5, gas.Viscous, 4)
	set := holdlog.Settings{Volume: 0.25e-3, Limit: "0.5%/h", Blank: blank}
	v := held(bench.BottleCooler(0.02), 5, set).Verdict
	if !strings.Contains(fmt.Sprint(v.Reasons), "alone lose") || len(v.Warnings) > 0 {
		t.Errorf("reasons %q, warnings %q", v.Reasons, v.Warnings)
	}
	set.Blank = blank
	set.VolumeError, set.Blank.VolumeError = 0.01, 0.3
	if v := held(bench.BottleCooler(0.02), 5, set).Verdict; !strings.Contains(v.Narrower, "volumes measured better") {
		t.Errorf("a volume known to 30 %%: %q", v.Narrower)
	}
	set.Blank.VolumeError, set.Blank.Pressure = 0.01, 4e5
	if v := held(bench.BottleCooler(0.05), 5, set).Verdict; !strings.Contains(v.Narrower, "at the pressure of the section") {
		t.Errorf("a blank held at a fifth of the pressure: %q", v.Narrower)
	}
	set.Blank, set.VolumeError = blank, 0
	set.Blank.Wall = 20000 * day
	set.Limit = "0.3%/h"
	v = held(bench.BottleCooler(0.02), 5, set).Verdict
	if !strings.Contains(fmt.Sprint(v.Warnings), "is of 2024-10-04") {
		t.Errorf("nothing is said of the old blank: %q", v.Warnings)
	}
	if !strings.HasPrefix(v.Advice[0], "Change the hose") {
		t.Errorf("a hose that takes more than half the limit: %q", v.Advice)
	}
}

func TestABlankThatCannotBeBroughtToTheSectionIsRefused(t *testing.T) {
	t.Parallel()
	blank := holdlog.Blank{File: "hose.jsonl", Rate: 0.1, Error: 0.01, Pressure: 12e5, Temperature: 293, Volume: 3e-5}
	for want, set := range map[string]holdlog.Settings{
		"(--volume)":         {Blank: blank},
		"(--blank-volume)":   {Volume: 3e-4, Blank: holdlog.Blank{Rate: 0.1, Error: 0.01, Pressure: 12e5, Temperature: 293}},
		"two volumes":        {Blank: holdlog.Blank{Rate: 0.1, Error: 0.01, Pressure: 12e5, Temperature: 293}},
		"pressure hold only": {Kind: "vacuum", Volume: 3e-4, Blank: blank},
	} {
		if err := hold.Check(set); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%v, want %q in it", err, want)
		}
	}
	if err := hold.Check(holdlog.Settings{Volume: 3e-4, Blank: blank}); err != nil {
		t.Error(err)
	}
	for want, st := range map[string]*hold.State{
		"ran out":      held(bench.BottleCooler(60), 1, holdlog.Settings{}),
		"never filled": hold.New().State(),
	} {
		if _, err := hold.BlankOf(st); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%v, want %q in it", err, want)
		}
	}
	if st := held(bench.BottleCooler(0.02), 5, holdlog.Settings{}); st.Blank != nil || st.Verdict.Word == verdict.Tight {
		t.Error("without a blank nothing is taken off")
	}
}

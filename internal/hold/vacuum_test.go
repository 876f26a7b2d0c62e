package hold_test

import (
	"encoding/json"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"example.org/holdfast/internal/decay"
	"example.org/holdfast/internal/hold"
	"example.org/holdfast/internal/holdlog"
	"example.org/holdfast/internal/units"
	"example.org/holdfast/internal/verdict"
)

// vacuum records two hours of a section: ten minutes of pumping down to start
// Pa, then p(t) more, read each five seconds by a gauge of 0.3 Pa and 0.3 %.
func vacuum(accept string, start float64, p func(t float64) float64) []holdlog.Record {
	rnd := rand.New(rand.NewPCG(1, 2))
	recs := []holdlog.Record{{Kind: holdlog.KindHeader, Header: &holdlog.Header{Settings: holdlog.Settings{Kind: "vacuum", Accept: accept, For: 7200}}}}
	const pumping = 600.0
	for at := 0.0; at < pumping+7260; at += 5 {
		v := start + 90e3*math.Exp(-at/40)
		if at > pumping {
			v = start + p(at-pumping)
		}
		s := holdlog.NoSample()
		s.Ref, s.Ambient = units.AbsoluteRef, units.FromCelsius(20)
		s.Pressure = math.Max(v+rnd.NormFloat64()*(0.3+0.003*v), 0.1)
		recs = append(recs, holdlog.Record{Kind: holdlog.KindSample, Elapsed: at, Sample: s})
	}
	return recs
}

func levelling(amp, tau float64) func(float64) float64 {
	return func(t float64) float64 { return -amp * math.Expm1(-t/tau) }
}

func TestVacuumVerdicts(t *testing.T) {
	still := func(float64) float64 { return 0 }
	for name, c := range map[string]struct {
		accept string
		start  float64
		p      func(float64) float64
		word   verdict.Word
		shape  decay.Shape
		say    string // in phrase, reasons or causes
	}{
		"flat":                    {"80Pa@60min", 40, still, verdict.Tight, decay.RiseFlat, "flat"},
		"flat in microns":         {"600 micron@60min", 40, still, verdict.Tight, decay.RiseFlat, "flat"},
		"flat, not deep enough":   {"80Pa@60min", 120, still, verdict.Unproven, decay.RiseFlat, "above the acceptance"},
		"flat, nothing to accept": {"", 40, still, verdict.Unproven, decay.RiseFlat, "acceptance"},
		"flat, time not over":     {"80Pa@3h", 40, still, verdict.Unproven, decay.RiseFlat, "wait until about 3h after"},
		"leak":                    {"80Pa@60min", 40, func(t float64) float64 { return t / 6 }, verdict.Leaking, decay.RiseLeak, "steadily"},
		"leak within acceptance":  {"5000Pa@60min", 40, func(t float64) float64 { return t / 6 }, verdict.Leaking, decay.RiseLeak, "steadily"},
		"wet":                     {"5000Pa@60min", 40, levelling(2300, 900), verdict.Unproven, decay.RiseMoisture, "capillary"},
		"gassing":                 {"5000Pa@60min", 40, levelling(120, 600), verdict.Unproven, decay.RiseOutgassing, "capillary"},
	} {
		t.Run(name, func(t *testing.T) {
			s := apply(vacuum(c.accept, c.start, c.p)).State()
			if s.Rise == nil {
				t.Fatal("no rise")
			}
			b, _ := json.Marshal(s.Verdict)
			if s.Verdict.Word != c.word || s.Rise.Shape != c.shape || !strings.Contains(string(b), c.say) {
				t.Errorf("%s, shape %s, want %s, %s, saying %q: %s; %+v", s.Verdict.Word, s.Rise.Shape, c.word, c.shape, c.say, b, *s.Rise)
			}
			if !strings.Contains(string(b), "Never energise") || !strings.Contains(string(b), "has the say") {
				t.Errorf("the cautions are missing: %s", b)
			}
			if s.Segment != 1 || s.SegmentStart < 200 || s.SegmentStart > 640 {
				t.Errorf("segment %d from %.0f s, want 1 from the end of pumping", s.Segment, s.SegmentStart)
			}
		})
	}
}

func TestPumpingAgainIsANewRise(t *testing.T) {
	recs := vacuum("80Pa@60min", 40, func(t float64) float64 {
		if t > 1800 && t < 5000 {
			return 600
		}
		return 0
	})
	if s := apply(recs).State(); s.Segment != 2 || s.Verdict.Word == verdict.Tight {
		t.Errorf("segment %d, %s; want a second one that is not proven yet", s.Segment, s.Verdict.Word)
	}
}

func TestHostileVacuumRecordsNeverPanic(t *testing.T) {
	h := hold.New()
	h.Apply(holdlog.Record{Kind: holdlog.KindHeader, Header: &holdlog.Header{Settings: holdlog.Settings{Kind: "vacuum", Accept: "80Pa@60min"}}})
	for _, v := range []float64{math.NaN(), math.Inf(1), 1e-300, -1e308, 1e308, 0, 1, 40, 1e8} {
		for _, e := range []float64{0, 1e12, -5, math.NaN(), 30, 1e3, 1e4, 1e5, 3} {
			s := holdlog.NoSample()
			s.Pressure, s.Ref, s.Ambient = v, units.AbsoluteRef, units.Temperature(v)
			h.Apply(holdlog.Record{Kind: holdlog.KindSample, Elapsed: e, Sample: s})
			h.Apply(holdlog.Record{Kind: holdlog.KindEvent, Elapsed: e, Event: holdlog.Event{Kind: holdlog.EventClosed}})
			h.Apply(holdlog.Record{Kind: holdlog.KindSample, Elapsed: e + 25, Sample: s})
			h.Apply(holdlog.Record{Kind: holdlog.KindSample, Elapsed: e + 2000, Sample: s})
		}
	}
	if _, err := json.Marshal(h.State()); err != nil {
		t.Errorf("the state holds what cannot be written: %v", err)
	}
}

// A vacuum gauge read by eye: seven readings in an hour, in whole microns.
func TestVacuumReadByHand(t *testing.T) {
	const micron = 101325.0 / 760e3
	for name, c := range map[string]struct {
		p    func(t float64) float64
		word verdict.Word
	}{
		"flat": {levelling(1.5, 900), verdict.Tight},
		"leak": {func(t float64) float64 { return t / 12 }, verdict.Leaking},
		"wet":  {levelling(2300, 900), verdict.Unproven},
	} {
		rnd := rand.New(rand.NewPCG(3, 4))
		recs := []holdlog.Record{{Kind: holdlog.KindHeader, Header: &holdlog.Header{Settings: holdlog.Settings{Kind: "vacuum", Accept: "anz-deep"}}}}
		for at := 0.0; at <= 3600; at += 600 {
			s := holdlog.NoSample()
			s.Ref, s.Ambient = units.AbsoluteRef, units.FromCelsius(20)
			v := (42 + c.p(at)) * (1 + 0.003*rnd.NormFloat64())
			s.Pressure = math.Round(v/micron) * micron
			recs = append(recs, holdlog.Record{Kind: holdlog.KindSample, Elapsed: at, Sample: s})
		}
		if s := apply(recs).State(); s.Verdict.Word != c.word {
			t.Errorf("%s: %s, %s, want %s; %+v", name, s.Verdict.Word, s.Verdict.Phrase, c.word, *s.Rise)
		}
	}
}

func TestLostVacuumIsCalledAtOnce(t *testing.T) {
	s := apply(vacuum("80Pa@60min", 40, func(t float64) float64 { return math.Min(100*t, 9e4) })).State()
	if s.Verdict.Word != verdict.Leaking || !s.Rise.Gross || len(s.Alarms) == 0 || s.Alarms[0].Elapsed > s.SegmentStart+400 {
		t.Errorf("%s, %s, alarms %v", s.Verdict.Word, s.Verdict.Phrase, s.Alarms)
	}
}

func TestTheValveClosedByHandBeginsTheRise(t *testing.T) {
	recs := vacuum("80Pa@60min", 40, func(float64) float64 { return 0 })
	closed := holdlog.Record{Kind: holdlog.KindEvent, Elapsed: 900, Event: holdlog.Event{Kind: holdlog.EventClosed}}
	recs = append(recs[:182], append([]holdlog.Record{closed}, recs[182:]...)...)
	if s := apply(recs).State(); math.Abs(s.SegmentStart-905) > 5 {
		t.Errorf("the rise begins at %.0f s, want 905", s.SegmentStart)
	}
}

func TestPublishedAcceptances(t *testing.T) {
	a, err := hold.ParseAcceptance("ANZ-deep")
	if err != nil || math.Abs(float64(a.Start)-66.66) > 0.01 || math.Abs(float64(a.Most)-79.99) > 0.01 || a.After != 3600 {
		t.Errorf("%+v, %v; want 500 to 600 micron for an hour", a, err)
	}
	if _, err := hold.ParseAcceptance("anz"); err == nil || !strings.Contains(err.Error(), "anz-deep") {
		t.Errorf("an unknown name gives %v", err)
	}
	recs := vacuum("ufgs-15182", 55, func(float64) float64 { return 0 }) // it asks for 300 micron, 40 Pa
	if s := apply(recs).State(); s.Verdict.Word != verdict.Unproven || !strings.Contains(s.Verdict.Phrase, "pumped down") {
		t.Errorf("begun too high: %s, %s", s.Verdict.Word, s.Verdict.Phrase)
	}
}

// BenchmarkVacuum is two hours at ten readings a second, looks and all.
func BenchmarkVacuum(b *testing.B) {
	recs := vacuum("80Pa@60min", 40, levelling(2300, 900))
	var dense []holdlog.Record
	for _, r := range recs {
		dense = append(dense, r)
		for i := 1; i < 50 && r.Kind == holdlog.KindSample; i++ {
			c := r
			c.Elapsed += float64(i) * 0.1
			dense = append(dense, c)
		}
	}
	b.ResetTimer()
	for b.Loop() {
		apply(dense)
	}
	b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N*len(dense)), "ns/sample")
}

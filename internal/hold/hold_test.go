package hold_test

import (
	"encoding/json"
	"math"
	"strings"
	"testing"

	"example.org/holdfast/internal/bench"
	"example.org/holdfast/internal/hold"
	"example.org/holdfast/internal/holdlog"
	"example.org/holdfast/internal/units"
	"example.org/holdfast/internal/verdict"
)

// records makes a hold on the bench: before lets the pressure rise from the
// room's to the start within a minute, as a filling does.
func records(p bench.Params, set holdlog.Settings, before bool) (recs []holdlog.Record) {
	set.For = p.Hold
	recs = append(recs, holdlog.HeaderRecord(holdlog.Header{Settings: set}, 1000))
	b := bench.New(p, 3)
	p = b.Params()
	offset := 0.0
	sample := func(t, pa float64, temp units.Temperature) {
		s := holdlog.NoSample()
		s.Pressure, s.Ref, s.Ambient = pa, units.AbsoluteRef, temp
		recs = append(recs, holdlog.Record{Kind: holdlog.KindSample, Elapsed: t, Wall: 1000 + int64(1000*t), Sample: s})
	}
	if before {
		offset = 120
		for t := 0.0; t < offset; t += p.Interval {
			pa := 101325 + (float64(p.StartPressure)-101325)*math.Max(0, (t-60)/60)
			sample(t, pa, 293)
		}
	}
	for t := 0.0; t <= p.Hold+5; t += p.Interval {
		s := b.At(t)
		sample(offset+t, float64(s.Pressure), s.Ambient)
	}
	return recs
}

func apply(recs []holdlog.Record) *hold.Hold {
	h := hold.New()
	for _, r := range recs {
		h.Apply(r)
	}
	return h
}

func TestFillingEndsAtThePeakAndTheHoldIsJudgedFromThere(t *testing.T) {
	s := apply(records(bench.BottleCooler(bench.DemoLeaking), holdlog.Settings{Limit: "0.5%/h", Volume: 0.25e-3, Refrigerant: "R600a"}, true)).State()
	if math.Abs(s.SegmentStart-120) > 5 {
		t.Errorf("segment starts at %.0f s, the valve closed at 120 s", s.SegmentStart)
	}
	if s.Verdict.Word != verdict.Leaking || s.Phase != hold.Done {
		t.Errorf("verdict %s (%s) in phase %s, want leaking and done", s.Verdict.Word, s.Verdict.Phrase, s.Phase)
	}
	var kinds []string
	for _, a := range s.Alarms {
		kinds = append(kinds, string(a.Kind))
	}
	if got := strings.Join(kinds, " "); got != "leak time" {
		t.Errorf("rang for %q, want once for the leak and once for the time", got)
	}
	if !s.Verdict.Leak.HasRefrigerant {
		t.Error("grams a year are not stated though volume and refrigerant are known")
	}
}

func TestTightNeedsALimitAndProof(t *testing.T) {
	recs := records(bench.BottleCooler(0), holdlog.Settings{Limit: "0.5%/h"}, false)
	if s := apply(recs).State(); s.Verdict.Word != verdict.Tight {
		t.Errorf("with a limit: %s, %s", s.Verdict.Word, s.Verdict.Phrase)
	}
	recs[0].Header.Settings.Limit = ""
	if s := apply(recs).State(); s.Verdict.Word != verdict.Unproven {
		t.Errorf("without a limit: %s", s.Verdict.Word)
	}
	recs[0].Header.Settings.Limit = "0.5%/h"
	if s := apply(recs[:400]).State(); s.Verdict.Word != verdict.Unproven || s.Verdict.Phrase != "too early to say" {
		t.Errorf("after 400 s: %s, %s", s.Verdict.Word, s.Verdict.Phrase)
	}
}

func TestRefillStartsANewSegmentThatForgetsTheOld(t *testing.T) {
	leaky, tight := bench.BottleCooler(0.3), bench.BottleCooler(0)
	recs := records(leaky, holdlog.Settings{Limit: "0.5%/h"}, false)[:1200]
	if s := apply(recs).State(); s.Verdict.Word != verdict.Leaking {
		t.Fatalf("first segment: %s", s.Verdict.Word)
	}
	at := recs[len(recs)-1].Elapsed
	recs = append(recs, holdlog.Record{Kind: holdlog.KindEvent, Elapsed: at + 1, Event: holdlog.Event{Kind: holdlog.EventRefill}})
	for _, r := range records(tight, holdlog.Settings{}, true)[1:] {
		r.Elapsed += at + 2
		recs = append(recs, r)
	}
	s := apply(recs).State()
	if s.Segment != 2 || s.Verdict.Word != verdict.Tight {
		t.Errorf("segment %d: %s, %s; want 2, tight", s.Segment, s.Verdict.Word, s.Verdict.Phrase)
	}
}

func TestPressureThatJumpsUpIsANewFilling(t *testing.T) {
	recs := records(bench.BottleCooler(0), holdlog.Settings{}, false)[:900]
	at := recs[len(recs)-1].Elapsed
	for i := 1; i <= 60; i++ {
		r := recs[len(recs)-1]
		r.Elapsed = at + float64(i)
		r.Sample.Pressure = 19.5e5 + 0.5e5*math.Min(float64(i), 6)
		recs = append(recs, r)
	}
	if s := apply(recs).State(); s.Segment != 2 {
		t.Errorf("segment %d, want 2", s.Segment)
	}
}

func TestSameRecordsGiveTheSameStateAndOldStatesStayAsTheyWere(t *testing.T) {
	recs := records(bench.BottleCooler(bench.DemoLeaking), holdlog.Settings{Limit: "0.5%/h"}, true)
	text := func(s *hold.State) string {
		b, err := json.Marshal(s)
		if err != nil {
			t.Fatal(err)
		}
		return string(b)
	}
	h := hold.New()
	var kept []*hold.State
	var texts []string
	for i, r := range recs {
		h.Apply(r)
		if i%500 == 0 {
			kept, texts = append(kept, h.State()), append(texts, text(h.State()))
		}
	}
	for i, s := range kept {
		if text(s) != texts[i] {
			t.Fatalf("state %d changed after it was given out", i)
		}
	}
	if text(apply(recs).State()) != text(h.State()) {
		t.Error("the same records gave another state")
	}
}

func TestLimitsInEveryUnitAgree(t *testing.T) {
	// One limit, four ways to say it. 1 mbar.l/s = 0.1 Pa.m3/s (testdata of
	// internal/units); 0.25 L losing 2000 Pa/h is 0.25e-3*2000/3600 Pa.m3/s for
	// an ideal gas, and nitrogen is ideal within 1 % here.
	p := bench.BottleCooler(0)
	rate := func(limit string) float64 {
		s := apply(records(p, holdlog.Settings{Limit: limit, Volume: 0.25e-3, Refrigerant: "R600a"}, false)[:700]).State()
		return s.LimitRate * 3600
	}
	if got := rate("2000Pa/h"); math.Abs(got-2000) > 1e-6 {
		t.Errorf("2000 Pa/h became %.1f", got)
	}
	if got := rate("20mbar/h"); math.Abs(got-2000) > 1e-6 {
		t.Errorf("20 mbar/h became %.1f", got)
	}
	if got := rate("1.389e-3mbar.l/s"); math.Abs(got/2000-1) > 0.02 {
		t.Errorf("1.389e-3 mbar.l/s became %.1f Pa/h, want about 2000", got)
	}
	if a, b := rate("3g/yr"), rate("6g/yr"); !(a > 0) || math.Abs(b/a-2) > 1e-9 {
		t.Errorf("3 and 6 g/yr became %.1f and %.1f Pa/h", a, b)
	}
}

func TestSettingsThatNeedMoreAreRefused(t *testing.T) {
	for limit, want := range map[string]string{"3g/yr": "volume", "1e-5mbar.l/s": "volume", "nonsense": "limit"} {
		err := hold.Check(holdlog.Settings{Limit: limit})
		if err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("limit %q: %v, want something about %q", limit, err, want)
		}
	}
	if err := hold.Check(holdlog.Settings{Gas: "laughing gas"}); err == nil {
		t.Error("an unknown gas was taken")
	}
}

func TestLettingThePressureOutAfterwardsSpoilsNothing(t *testing.T) {
	vent := func(after float64) *hold.State {
		p := bench.BottleCooler(0)
		recs := records(p, holdlog.Settings{Limit: "0.5%/h"}, false)
		for i := range recs {
			if recs[i].Elapsed > after {
				recs = recs[:i]
				break
			}
		}
		last := recs[len(recs)-1]
		for i := 1; i <= 90; i++ {
			r := last
			r.Elapsed += float64(i)
			r.Sample.Pressure = 101325 + (last.Sample.Pressure-101325)*math.Exp(-float64(i)/10)
			recs = append(recs, r)
		}
		return apply(recs).State()
	}
	s := vent(3603)
	if s.Verdict.Word != verdict.Tight || len(s.Verdict.Warnings) == 0 || s.Alarms[len(s.Alarms)-1].Kind != hold.AlarmReleased {
		t.Errorf("let out after the set time: %s, warnings %q, alarms %v", s.Verdict.Word, s.Verdict.Warnings, s.Alarms)
	}
	if s := vent(2400); s.Verdict.Word != verdict.Leaking {
		t.Errorf("a burst during the hold: %s, %s", s.Verdict.Word, s.Verdict.Phrase)
	}
}

func TestAnEditedHeaderIsNoPanic(t *testing.T) {
	recs := records(bench.BottleCooler(0), holdlog.Settings{Limit: "3g/yr", Gas: "none", Altitude: 1e9, Tolerate: "x"}, false)[:900]
	if s := apply(recs).State(); s.Verdict.Limit.Set || len(s.Events) == 0 {
		t.Errorf("limit %v, %d events; want none set and the mistake said", s.Verdict.Limit, len(s.Events))
	}
}

func TestHostileRecordsNeverPanic(t *testing.T) {
	h := hold.New()
	for _, v := range []float64{math.NaN(), math.Inf(1), math.Inf(-1), -1e308, 1e308, 0, 1, 2e6} {
		for _, e := range []float64{0, 1e9, -5, math.NaN(), math.Inf(1), 3} {
			s := holdlog.NoSample()
			s.Pressure, s.Ambient, s.Barometer = v, units.Temperature(v), units.Absolute(v)
			h.Apply(holdlog.Record{Kind: holdlog.KindSample, Elapsed: e, Sample: s})
			h.Apply(holdlog.Record{Kind: holdlog.KindEvent, Elapsed: e, Event: holdlog.Event{Kind: holdlog.EventClosed}})
		}
	}
	if _, err := json.Marshal(h.State()); err != nil {
		t.Errorf("the state holds what cannot be written: %v", err)
	}
}

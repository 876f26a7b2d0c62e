package main

import (
	"math"
	"testing"

	"example.org/holdfast/internal/hold"
	"example.org/holdfast/internal/holdlog"
	"example.org/holdfast/internal/verdict"
)

// leakyRecords are those of a hold that loses 0.8 % an hour, judged by a limit of 0.4 %/h.
func leakyRecords(t *testing.T) []holdlog.Record {
	t.Helper()
	file := simulated(t, "leaky.jsonl", "--leak", "0.8%/h", "--pressure", "10bar", "--for", "1h", "--seed", "3", "--limit", "0.4%/h")
	var records []holdlog.Record
	src := source{}
	if _, err := src.each(file, func(r holdlog.Record) error { records = append(records, r); return nil }); err != nil {
		t.Fatal(err)
	}
	return records
}

func TestWhatIfJudgesAnewAndLeavesTheRecordAlone(t *testing.T) {
	records := leakyRecords(t)
	w := whatIf(taped(records))
	judge := func(i int, text string) *hold.State {
		answers := make([]string, askTo+1)
		answers[i] = text
		st, err := w.Judge(answers)
		if err != nil {
			t.Fatalf("%q: %v", text, err)
		}
		return st
	}
	was := judge(askVolume, "")
	if was.Verdict.Word != verdict.Leaking {
		t.Fatalf("as recorded: %s", was.Verdict.Word)
	}
	if st := judge(askLimit, "3%/h"); st.Verdict.Word != verdict.Tight {
		t.Errorf("with a limit of 3 %%/h: %s", st.Verdict.Word)
	}
	if st := judge(askVolume, "0.3L"); !st.PerPascal.HasThroughput || was.PerPascal.HasThroughput {
		t.Error("a volume gives no flow, or there was one before")
	}
	if st := judge(askTo, "30min"); math.Abs(st.Elapsed-st.SegmentStart-1800) > 15 || !st.Ended {
		t.Errorf("up to 30min: held %.0f s, ended %v", st.Elapsed-st.SegmentStart, st.Ended)
	}
	st := judge(askFrom, "20min")
	if from := st.SegmentStart - was.SegmentStart; math.Abs(from-1200) > 15 {
		t.Errorf("from 20min: it counts from %.0f s after the filling", from)
	}
	if v, lo, hi := st.Estimate.Rate.Value, was.Estimate.Rate.Lo/1.5, was.Estimate.Rate.Hi*1.5; v < lo || v > hi {
		t.Errorf("from 20min: leak %.2f Pa/s, as recorded %.2f to %.2f", v, was.Estimate.Rate.Lo, was.Estimate.Rate.Hi)
	}
	if st := judge(askThermometer, "none"); st.HasAmbient || st.Estimate.Rate.Half() <= was.Estimate.Rate.Half() {
		t.Errorf("without the thermometer: has one %v, half-width %.3f, with it %.3f", st.HasAmbient, st.Estimate.Rate.Half(), was.Estimate.Rate.Half())
	}
	if st := judge(askThermometer, "2K"); !st.HasAmbient || st.Estimate.Rate.Half() <= 1.1*was.Estimate.Rate.Half() {
		t.Errorf("a thermometer true to 2 K weighs as much as before: half-width %.3f, was %.3f", st.Estimate.Rate.Half(), was.Estimate.Rate.Half())
	}
	if st := judge(askThermometer, "part"); !st.HasSection || st.HasAmbient {
		t.Error("the thermometer is not taken as on the part")
	}
	if st := judge(askAir, "1400m"); math.Abs(float64(st.Atmosphere)-85500) > 500 { // ISO 2533: 856 hPa at 1400 m
		t.Errorf("at 1400 m the air has %.0f Pa", float64(st.Atmosphere))
	}
	if again := judge(askVolume, ""); again.Verdict.Phrase != was.Verdict.Phrase {
		t.Error("the record itself was changed")
	}
}

func TestWhatIfRefusesNonsense(t *testing.T) {
	w := whatIf(taped(nil))
	for i, text := range map[int]string{askVolume: "lots", askLimit: "few", askGas: "xenon?", askAir: "high", askThermometer: "moon", askFrom: "later", askTo: "-5min"} {
		if echo, err := w.Read(i, text); err == nil {
			t.Errorf("%q is read as %q", text, echo)
		}
	}
}

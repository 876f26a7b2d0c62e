package scpi

import (
	"context"
	"math"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"example.org/holdfast/drivers"
	"example.org/holdfast/drivers/drivertest"
)

// tickingClock goes on by a millisecond whenever somebody looks: patience is counted in reads of the port.
func tickingClock() drivers.Clock {
	var now atomic.Int64
	return drivers.Clock{
		Now:   func() time.Duration { return time.Duration(now.Add(int64(time.Millisecond))) },
		Sleep: func(ctx context.Context, d time.Duration) error { now.Add(int64(d)); return ctx.Err() },
	}
}

const fields = "pressure_bar_abs,ambient_c"

func mustNew(t testing.TB, fields string) drivers.Driver {
	t.Helper()
	d, err := New(Config{Fields: fields, Patience: 60 * time.Millisecond, Clock: tickingClock()})
	if err != nil {
		t.Fatal(err)
	}
	return d
}

func TestConformance(t *testing.T) {
	d := mustNew(t, fields)
	capture := drivertest.Load(t, "testdata/gauge.capture")
	drivertest.Conform(t, d, capture)
	all, _ := drivertest.Readings(t.Context(), d.Source(drivertest.Play(capture, drivertest.Faults{})))
	if len(all) != 4 || len(drivertest.Good(all)) != 3 || math.Abs(all[0].Pressure-1098400) > 1e-6 || !strings.Contains(all[2].Doubt, "no value") {
		for _, r := range all {
			t.Log(drivertest.Describe(r))
		}
		t.Error("want three readings, and a doubt in the third place")
	}
}

// answering is an instrument that says the same to every question.
type answering struct {
	say, coming string
}

func (a *answering) Write(b []byte) (int, error) { a.coming += a.say; return len(b), nil }
func (a *answering) Read(b []byte) (int, error) {
	n := copy(b, a.coming)
	a.coming = a.coming[n:]
	return n, nil
}
func (a *answering) Close() error { return nil }

func TestAnswersThatCannotBeUsedAreDoubts(t *testing.T) {
	for _, c := range []struct{ fields, answer, doubt string }{
		{"pressure_bar", "", "no answer to MEAS:PRES?"},
		{"pressure_bar", "-113,\"Undefined header\"\n", "no usable number"},
		{"pressure_bar", "ERR\n", "no usable number"},
		{"pressure_bar", "9.9E37\n", "overloaded"},
		{"pressure_bar", "-9.9E37\n", "overloaded"},
		{"pressure_bar", "145 psi\n", "not in the unit"},
		{"pressure_bar_abs", "-1\n", "below zero"},
		{"READ?=section_c", "900\n", "outside"},
		{"pressure_psi", "145 psi\n", ""},
		{"FETC?=section_c", "21.5\r\n", ""},
	} {
		r, err := mustNew(t, c.fields).Source(&answering{say: c.answer}).Read(t.Context())
		if err != nil || c.doubt == "" && r.Doubt != "" || !strings.Contains(r.Doubt, c.doubt) {
			t.Errorf("%q: %s, %v, want %q", c.answer, drivertest.Describe(r), err, c.doubt)
		}
	}
}

func TestALateAnswerIsNotTakenForThatOfTheNextQuestion(t *testing.T) {
	port := &answering{}
	src := mustNew(t, "pressure_bar,ambient_c").Source(port)
	if r, _ := src.Read(t.Context()); r.Doubt == "" {
		t.Fatal("silence gives a value")
	}
	port.coming, port.say = "99\n", "20\n"
	if r, err := src.Read(t.Context()); err != nil || r.Pressure != 20e5 || r.Ambient.Celsius() != 20 {
		t.Errorf("%s, %v", drivertest.Describe(r), err)
	}
}

func TestConfigurationsThatCannotWorkAreRefused(t *testing.T) {
	for _, fields := range []string{"", "MEAS:PRES=pressure_bar", "A\x1b?=pressure_bar", "A?=pressure_furlong"} {
		if _, err := New(Config{Fields: fields, Clock: tickingClock()}); err == nil {
			t.Errorf("%q is accepted", fields)
		}
	}
}

func FuzzAnswer(f *testing.F) {
	f.Add("+1.098400E+01\r\n")
	f.Add("9.91E37\n")
	f.Fuzz(func(t *testing.T, answer string) {
		r, err := mustNew(t, fields).Source(&answering{say: answer}).Read(t.Context())
		if err != nil || r.Doubt == "" && !(r.Pressure >= 0 && r.Pressure <= 1e8) {
			t.Errorf("%q: %s, %v", answer, drivertest.Describe(r), err)
		}
	})
}

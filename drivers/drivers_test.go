package drivers

import (
	"bytes"
	"context"
	"errors"
	"io"
	"math"
	"strings"
	"testing"
	"testing/iotest"
	"time"

	"example.org/holdfast/internal/units"
)

func TestFieldsAreReadWithAndWithoutKeys(t *testing.T) {
	all, err := ParseFields("holding:0:float32=pressure_bar_abs, -, ambient_f")
	if err != nil || len(all) != 3 {
		t.Fatalf("%+v, %v", all, err)
	}
	if f := all[0]; f.Key != "holding:0:float32" || f.Name != "pressure_bar_abs" || f.Column.Quantity != units.PressureQuantity || f.Column.Ref != units.AbsoluteRef {
		t.Errorf("%+v", f)
	}
	if !all[1].Skip || all[2].Key != "" || all[2].Column.Quantity != units.AmbientQuantity {
		t.Errorf("%+v", all)
	}
	for _, text := range []string{"", " ", "-", "=pressure_bar", "a=pressure_bar,A=ambient_c", "pressure_bar,pressure_psi", "humidity"} {
		if all, err := ParseFields(text); err == nil {
			t.Errorf("%q: %+v", text, all)
		}
	}
}

func TestThePressureIsCalibratedAndTheRestIsNot(t *testing.T) {
	fields, err := ParseFields("pressure_bar,ambient_c")
	if err != nil {
		t.Fatal(err)
	}
	r := Empty()
	cal := Calibration{Scale: 1.01, Zero: 5000}
	for i, si := range []float64{10e5, 294.65} {
		if err := fields[i].Put(&r, si, cal); err != nil {
			t.Error(err)
		}
	}
	if math.Abs(r.Pressure-1005e3) > 1e-6 || r.Ambient != 294.65 {
		t.Errorf("%+v", r)
	}
	if err := cal.Check(fields[1:]); err == nil {
		t.Error("a calibration without a pressure is accepted")
	}
}

func TestARoomInKelvinIsSuspected(t *testing.T) {
	fields, err := ParseFields("ambient_c")
	if err != nil {
		t.Fatal(err)
	}
	r := Empty()
	if err := fields[0].Put(&r, 294+273.15, Calibration{}); err == nil || !strings.Contains(err.Error(), "is 294 in kelvin?") {
		t.Errorf("error %v", err)
	}
}

func TestLinesComeWholeInAnyPieces(t *testing.T) {
	const text = "half\r\none\ntwo\r\r\n\nthree\rtail"
	for _, port := range []io.Reader{strings.NewReader(text), iotest.OneByteReader(strings.NewReader(text)), iotest.DataErrReader(strings.NewReader(text))} {
		var got []string
		l := NewLines(port)
		for {
			line, err := l.Next(t.Context())
			if err != nil {
				if !errors.Is(err, io.EOF) {
					t.Error(err)
				}
				break
			}
			got = append(got, line.Text)
		}
		if strings.Join(got, "|") != "one|two|three" {
			t.Errorf("%q", got)
		}
	}
}

func TestALineWithoutEndIsCut(t *testing.T) {
	l := NewWholeLines(bytes.NewReader(append(bytes.Repeat([]byte{'U'}, 1<<20), "\nnext\n"...)))
	line, err := l.Next(t.Context())
	if err != nil || !line.Long || len(line.Text) != MaxLine {
		t.Errorf("%d characters, long %v, %v", len(line.Text), line.Long, err)
	}
	if line, err = l.Next(t.Context()); err != nil || line.Long || line.Text != "next" {
		t.Errorf("%+v, %v", line, err)
	}
}

func TestAPaceIsKeptAndNotCaughtUpWith(t *testing.T) {
	now := time.Duration(0)
	clock := Clock{
		Now:   func() time.Duration { return now },
		Sleep: func(ctx context.Context, d time.Duration) error { now += d; return ctx.Err() },
	}
	var p Pace
	var at []time.Duration
	for _, work := range []time.Duration{0, 300 * time.Millisecond, 2500 * time.Millisecond, 0} {
		if err := p.Wait(t.Context(), clock, time.Second); err != nil {
			t.Fatal(err)
		}
		at = append(at, now)
		now += work
	}
	for i, want := range []time.Duration{0, time.Second, 2 * time.Second, 4500 * time.Millisecond} {
		if at[i] != want {
			t.Errorf("reading %d at %v, want %v", i, at[i], want)
		}
	}
}

func FuzzParseFields(f *testing.F) {
	f.Add("P=pressure_bar_abs,-,T=ambient_c")
	f.Add("holding:0*0.1-40=section_c")
	f.Fuzz(func(t *testing.T, text string) {
		all, err := ParseFields(text)
		if err != nil {
			return
		}
		seen := map[units.Quantity]bool{}
		for _, field := range all {
			if !field.Skip && seen[field.Column.Quantity] {
				t.Errorf("%q: a quantity stands twice: %+v", text, all)
			}
			seen[field.Column.Quantity] = true
		}
	})
}

package pipe

import (
	"math"
	"strings"
	"testing"

	"example.org/holdfast/drivers"
	"example.org/holdfast/drivers/drivertest"
)

const fields = "P=pressure_bar_abs,T=ambient_c"

func TestConformance(t *testing.T) {
	d, err := New(Config{Fields: fields})
	if err != nil {
		t.Fatal(err)
	}
	capture := drivertest.Load(t, "testdata/script.capture")
	drivertest.Conform(t, d, capture)
	all, _ := drivertest.Readings(t.Context(), d.Source(drivertest.Play(capture, drivertest.Faults{})))
	if len(drivertest.Good(all)) != 5 || math.Abs(all[0].Pressure-1098400) > 1e-6 {
		t.Errorf("%d readings of 5 lines; the first line of a program counts", len(all))
	}
}

func TestTheCalibrationIsPassedOn(t *testing.T) {
	d, err := New(Config{Fields: fields, Calibration: drivers.Calibration{Scale: 2, Zero: 1e5}})
	if err != nil {
		t.Fatal(err)
	}
	all, _ := drivertest.Readings(t.Context(), d.Source(drivertest.Play(drivertest.Stream([]byte("P=10\n")), drivertest.Faults{})))
	if len(all) != 1 || all[0].Pressure != 19e5 {
		t.Errorf("%+v", all)
	}
}

func TestFieldsAreWanted(t *testing.T) {
	if _, err := New(Config{}); err == nil || !strings.HasPrefix(err.Error(), "pipe: ") {
		t.Errorf("error %v", err)
	}
}

func FuzzPipe(f *testing.F) {
	f.Add([]byte("P=10.984 T=21.5\n"))
	f.Add([]byte("\x00\xff\n{\"p\":1}\n"))
	f.Fuzz(func(t *testing.T, data []byte) {
		d, err := New(Config{Fields: fields})
		if err != nil {
			t.Fatal(err)
		}
		all, _ := drivertest.Readings(t.Context(), d.Source(drivertest.Play(drivertest.Stream(data), drivertest.Faults{})))
		for _, r := range all {
			if r.Doubt == "" && !(r.Pressure >= 0) && math.IsNaN(float64(r.Ambient)) {
				t.Errorf("%q: %s", data, drivertest.Describe(r))
			}
		}
	})
}

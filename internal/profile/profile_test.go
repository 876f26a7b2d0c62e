package profile

import (
	"errors"
	"io/fs"
	"math"
	"path/filepath"
	"strings"
	"testing"

	"example.org/holdfast/internal/units"
)

func TestAProfileSaysAllOfADevice(t *testing.T) {
	p, err := Load(filepath.Join("testdata", "cellar.toml"))
	if err != nil {
		t.Fatal(err)
	}
	if p.Driver != "line" || p.Port != "/dev/serial/by-id/usb-gauge-1" || p.Baud != 115200 ||
		p.Fields != "pressure_bar_abs,-,ambient_c" || p.Scale != 1.002 {
		t.Errorf("got %+v", p)
	}
	for _, c := range []struct {
		what      string
		got, want float64
	}{
		{"zero", float64(p.Zero), 2000},
		{"range", float64(p.Spec.PressureRange), 25e5},
		{"accuracy", float64(p.Spec.PressureAccuracy), 6250}, // 0.25 % of 25 bar
		{"step", float64(p.Spec.PressureStep), 100},
		{"temperature step", float64(p.Spec.TemperatureStep), 0.1},
		{"interval", p.Spec.Interval, 2},
	} {
		if math.Abs(c.got-c.want) > 1e-9 {
			t.Errorf("%s %v, want %v", c.what, c.got, c.want)
		}
	}
}

func TestTheKeysOfABusAndACalibration(t *testing.T) {
	p, err := Load(filepath.Join("testdata", "condenser.toml"))
	if err != nil {
		t.Fatal(err)
	}
	want := Profile{
		Driver: "modbus", USB: "1a86:7523", USBSerial: "A50285BI", Baud: 19200, Parity: "even", UnitID: 7,
		Fields: "holding:0:float32=pressure_bar_abs", Scale: 1.001, Zero: -300, Calibrated: "2026-03-01", Drift: 1600,
		ZeroDrift: 240, Stability: units.PaPerHour(50),
	}
	want.Spec.PressureRange = 16e5
	if p != want {
		t.Errorf("got %+v, want %+v", p, want)
	}
}

func TestMistakesNameTheirLine(t *testing.T) {
	for _, c := range []struct{ text, says string }{
		{"", "no driver"},
		{"port = \"x\"\n", "no driver"},
		{"driver = \"line\"\n\npresure_step = \"1mbar\"\n", "line 3: presure_step"},
		{"driver = \"line\"\n[line]\nbaud = 1\n", "line 2: line"},
		{"driver = \"line\"\nstep = \"1mbar\nbaud = 9600\n", "line 2"},
		{"driver = \"line\"\nbaud = \"fast\"\n", "line 2"},
		{"driver = \"line\"\nstep = 0.1\n", "line 2"},
		{"driver = \"line\"\nstep = \"0.1\"\n", "line 2: step"},
		{"driver = \"line\"\nstep = \"-1bar\"\n", "not above zero"},
		{"driver = \"line\"\nbaud = -1\n", "line 2: baud"},
		{"driver = \"line\"\nscale = nan\n", "line 2: scale"},
		{"driver = \"line\"\naccuracy = \"0.25%\"\n", "line 2: accuracy"},
		{"driver = \"line\"\naccuracy = \"0.25%FS\"\n", "needs the range"},
		{"driver = \"line\"\ninterval = \"5\"\n", "line 2: interval"},
		{"driver = \"line\"\ninterval = \"1ns\"\n", "line 2: interval: \"1ns\" is no time between two readings"},
		{"driver = \"line\"\nbaud = 1000000000\n", "line 2: baud"},
		{"driver = \"line\"\nscale = 1e308\n", "line 2: scale: 1e+308 is no factor"},
		{"driver = \"line\"\nrange = \"1e308bar\"\n", "line 2: range: pressure difference \"1e308bar\" is larger than anything in this trade"},
		{"driver = \"line\"\nrange = \"25bar\"\nzero_drift = \"1bar/1e-300K\"\n", "line 3: zero_drift"},
		{"driver = \"line\"\ndriver = \"line\"\n", "line 2"},
		{"driver = \"line\"\nusb = \"7523\"\n", "line 2: usb"},
		{"driver = \"line\"\nport = \"x\"\nusb = \"1a86:7523\"\n", "line 3: usb"},
		{"driver = \"line\"\nusb_serial = \"A5\"\n", "line 2: usb_serial"},
		{"driver = \"modbus\"\nparity = \"mark\"\n", "line 2: parity"},
		{"driver = \"modbus\"\nunit_id = 248\n", "line 2: unit_id"},
		{"driver = \"line\"\ncalibrated = \"1.3.2026\"\n", "line 2: calibrated"},
		{"driver = \"line\"\ndrift = \"0.1%FS\"\n", "line 2: drift"},
		{"driver = \"line\"\nzero_drift = \"0.1%FS/K\"\n", "line 2: zero_drift"},
		{"driver = \"line\"\nzero_drift = \"4mbar\"\n", "line 2: zero_drift"},
		{"driver = \"line\"\nzero_drift = \"4mbar/0K\"\n", "line 2: zero_drift"},
		{"driver = \"line\"\nstability = \"4mbar\"\n", "line 2: stability"},
		{"driver = \"line\"\nstability = \"1%/h\"\n", "line 2: stability"},
	} {
		p, err := Parse(c.text)
		if err == nil || !strings.Contains(err.Error(), c.says) {
			t.Errorf("%q: %+v, error %v, want %q in it", c.text, p, err, c.says)
		}
	}
}

func TestAMissingFileIsToldApart(t *testing.T) {
	if _, err := Load(filepath.Join(t.TempDir(), "none.toml")); !errors.Is(err, fs.ErrNotExist) {
		t.Errorf("error %v", err)
	}
}

func FuzzParse(f *testing.F) {
	f.Add("driver = \"line\"\nstep = \"1mbar\"\n")
	f.Add("[x]\ny = 1")
	f.Fuzz(func(t *testing.T, text string) {
		p, err := Parse(text)
		if err != nil {
			return
		}
		if p.Driver == "" || p.Baud < 0 || p.Spec.PressureStep < 0 || p.Spec.Interval < 0 || math.IsNaN(p.Scale) {
			t.Errorf("%q: accepted %+v", text, p)
		}
	})
}

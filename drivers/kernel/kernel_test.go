package kernel

import (
	"context"
	"errors"
	"io/fs"
	"math"
	"strings"
	"testing"
	"testing/fstest"
	"time"

	"golang.org/x/tools/txtar"

	"example.org/holdfast/drivers"
	"example.org/holdfast/drivers/drivertest"
	"example.org/holdfast/internal/units"
)

// tree is the fake /sys, with some files put in the place of its own.
func tree(t testing.TB, changed map[string]string) fstest.MapFS {
	t.Helper()
	archive, err := txtar.ParseFile("testdata/sys.txtar")
	if err != nil {
		t.Fatal(err)
	}
	all := fstest.MapFS{}
	for _, f := range archive.Files {
		all[f.Name] = &fstest.MapFile{Data: f.Data}
	}
	for name, text := range changed {
		all[name] = &fstest.MapFile{Data: []byte(text)}
	}
	return all
}

func still() drivers.Clock {
	return drivers.Clock{
		Now:   func() time.Duration { return 0 },
		Sleep: func(ctx context.Context, _ time.Duration) error { return ctx.Err() },
	}
}

func chip(t testing.TB, kind string, cfg Config) *Chip {
	t.Helper()
	cfg.Clock = still()
	c, err := newChip(buses()[kind], cfg)
	if err != nil {
		t.Fatal(err)
	}
	return c
}

// Long: the table. The examples of numbers are those of the kernel's documents, see the tree.
func TestChannelsAreReadInTheirUnits(t *testing.T) {
	nan := math.NaN()
	for _, c := range []struct {
		kind, device, fields, points string
		pa, ambient, section, baro   float64 // Pa, K, K, Pa
	}{
		{"w1", "", "ambient_c", "", nan, 294.025, nan, nan},
		{"w1", "28-0316a2795abc", "section_f", "", nan, nan, 294.025, nan}, // the kernel's unit counts, not the column's
		{"hwmon", "cabinet", "section_c", "", nan, nan, 294.65, nan},
		{"hwmon", "hwmon0", "in0=pressure_bar,temp1=ambient_c", "0.5V=0bar,4.5V=16bar", 8e5, 294.65, nan, nan},
		{"hwmon", "cabinet", "curr1=pressure_bar_abs", "4mA=0bar,20mA=25bar", 12.5e5, nan, nan, nan},
		{"iio", "barometer", "barometer_hpa,ambient_c", "", nan, 296.6, nan, 101325},
		{"iio", "iio:device1", "pressure_bar", "", 995e3, nan, nan, nan}, // (20000 - 100) * 0.05 kPa
		{"iio", "converter", "voltage0=pressure_bar", "0.5V=0bar,4.5V=10bar", 5e5, nan, nan, nan},
		{"iio", "converter", "current0=pressure_bar", "4mA=-1bar,20mA=15bar", 7e5, nan, nan, nan},
	} {
		src, err := chip(t, c.kind, Config{Root: tree(t, nil), Device: c.device, Fields: c.fields, Points: c.points}).Open(t.Context())
		if err != nil {
			t.Errorf("%s %s: %v", c.kind, c.fields, err)
			continue
		}
		r, err := src.Read(t.Context())
		same := func(got, want float64) bool { return math.IsNaN(got) && math.IsNaN(want) || math.Abs(got-want) < 1e-6 }
		if err != nil || r.Doubt != "" || r.Raw == "" || !same(r.Pressure, c.pa) || !same(float64(r.Ambient), c.ambient) ||
			!same(float64(r.Section), c.section) || !same(float64(r.Barometer), c.baro) {
			t.Errorf("%s %s: %s, %v", c.kind, c.fields, drivertest.Describe(r), err)
		}
	}
}

const (
	thermometer = "bus/w1/devices/28-0316a2795abc/w1_slave"
	converter   = "bus/iio/devices/iio:device2/"
)

// Long: the table.
func TestFaultsAreDoubtsWithTheKernelsWords(t *testing.T) {
	for _, c := range []struct {
		kind, fields, points, file, text, doubt string
	}{
		{"w1", "ambient_c", "", thermometer, "4e 01 4b 46 7f ff 02 10 00 : crc=71 NO\n4e 01 4b 46 7f ff 02 10 00 t=20875\n", "CRC is wrong"},
		{"w1", "ambient_c", "", thermometer, "50 05 4b 46 7f ff 0c 10 1c : crc=1c YES\n50 05 4b 46 7f ff 0c 10 1c t=85000\n", "has not measured"},
		{"w1", "ambient_c", "", thermometer, "d0 07 4b 46 7f ff 0c 10 1c : crc=1c YES\nd0 07 4b 46 7f ff 0c 10 1c t=125000\n", "end of its range"},
		{"w1", "ambient_c", "", thermometer, "00 00 00 00 00 00 00 00 00 : crc=00 YES\n00 00 00 00 00 00 00 00 00 t=0\n", "short circuit"},
		{"w1", "ambient_c", "", thermometer, "", "two lines"},
		{"w1", "ambient_c", "", thermometer, "4e : crc=71 YES\n4e t=warm\n", "no number"},
		{"w1", "pressure_bar", "", "", "", "temperature is a temperature"},
		{"hwmon", "temp2=ambient_c", "", "", "", "open or short"},
		{"hwmon", "in0=ambient_c", "", "", "", "two points"},
		{"hwmon", "fan1=ambient_c", "", "", "", "none of"},
		{"iio", "voltage1=pressure_bar", "0.5V=0bar,4.5V=25bar", "", "", "wire is broken"}, // 0.0125 V
		{"iio", "voltage0=pressure_bar", "0.5V=0bar,2V=25bar", "", "", "short circuit"},
		{"iio", "voltage0=pressure_bar", "4mA=0bar,20mA=25bar", "", "", "points are of a current"},
		{"iio", "current0=pressure_bar", "4mA=0bar,20mA=25bar", converter + "in_current0_raw", "355", "wire is broken"},
		{"iio", "current0=pressure_bar", "4mA=0bar,20mA=25bar", converter + "in_current0_raw", "2110", "short circuit"},
		{"iio", "current0=pressure_bar", "4mA=0bar,20mA=25bar", converter + "in_current0_raw", "\x1b[2J", "no number"},
		{"iio", "voltage0=pressure_bar", "", "", "", "two points"},
	} {
		device := map[string]string{"w1": "", "hwmon": "cabinet", "iio": "converter"}[c.kind]
		changed := map[string]string{}
		if c.file != "" {
			changed[c.file] = c.text
		}
		src, err := chip(t, c.kind, Config{Root: tree(t, changed), Device: device, Fields: c.fields, Points: c.points}).Open(t.Context())
		if err != nil {
			t.Errorf("%s %q: %v", c.fields, c.text, err)
			continue
		}
		r, err := src.Read(t.Context())
		if err != nil || !strings.Contains(r.Doubt, c.doubt) || !math.IsNaN(r.Pressure) || !math.IsNaN(float64(r.Ambient)) ||
			strings.ContainsRune(r.Raw+r.Doubt, 0x1b) {
			t.Errorf("%s %q: %s, %v; want %q", c.fields, c.text, drivertest.Describe(r), err, c.doubt)
		}
	}
}

// NE 43 as commonly quoted, from memory: valid from 3.8 to 20.5 mA, a fault to 3.6 and from 21 mA.
func TestASignalWithinTheLimitsOfTheWiringIsUsed(t *testing.T) {
	for raw, bar := range map[string]float64{"380": -0.3125, "2050": 25.78125} {
		src, err := chip(t, "iio", Config{
			Root: tree(t, map[string]string{converter + "in_current0_raw": raw}), Device: "converter",
			Fields: "current0=pressure_bar", Points: "4mA=0bar,20mA=25bar",
		}).Open(t.Context())
		if err != nil {
			t.Fatal(err)
		}
		if r, err := src.Read(t.Context()); err != nil || r.Doubt != "" || math.Abs(r.Pressure-bar*1e5) > 1e-6 {
			t.Errorf("%s: %s, %v", raw, drivertest.Describe(r), err)
		}
	}
}

func TestADeviceIsFoundOrTheOthersAreNamed(t *testing.T) {
	for _, c := range []struct{ kind, device, fields, says string }{
		{"iio", "", "barometer_hpa", "which of iio:device0 (barometer), iio:device1"},
		{"iio", "hygrometer", "barometer_hpa", "no device \"hygrometer\", but iio:device0"},
		{"iio", "transducer", "temp=ambient_c", "channel \"temp\" is not there"},
		{"w1", "28-000000000000", "ambient_c", "but 28-0316a2795abc"},
	} {
		_, err := chip(t, c.kind, Config{Root: tree(t, nil), Device: c.device, Fields: c.fields}).Open(t.Context())
		if err == nil || !strings.Contains(err.Error(), c.says) || c.device != "" && !errors.Is(err, fs.ErrNotExist) {
			t.Errorf("%s %q: %v, want %q in it", c.kind, c.device, err, c.says)
		}
	}
	_, err := chip(t, "w1", Config{Root: fstest.MapFS{}, Fields: "ambient_c"}).Open(t.Context())
	if err == nil || !strings.Contains(err.Error(), "shows no device") {
		t.Errorf("an empty tree: %v", err)
	}
}

func TestAFolderOrANameIsTaken(t *testing.T) {
	for _, c := range []struct{ given, root, name string }{
		{"/sys/bus/iio/devices/iio:device0", "/sys", "iio:device0"},
		{"/elsewhere/sys/class/hwmon/hwmon3/", "/elsewhere/sys", "hwmon3/"},
		{"28-0316a2795abc", "/sys", "28-0316a2795abc"},
		{"", "/sys", ""},
	} {
		if root, name := Split(c.given); root != c.root || name != c.name {
			t.Errorf("%q: %q, %q", c.given, root, name)
		}
	}
}

func TestAThermometerThatIsPulledOffEndsTheSource(t *testing.T) {
	root := tree(t, nil)
	src, err := chip(t, "w1", Config{Root: root, Fields: "ambient_c"}).Open(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	delete(root, thermometer)
	if r, err := src.Read(t.Context()); err != nil || r.Ambient != units.FromCelsius(20.875) {
		t.Errorf("without w1_slave: %s, %v", drivertest.Describe(r), err)
	}
	delete(root, "bus/w1/devices/28-0316a2795abc/temperature")
	if _, err := src.Read(t.Context()); !errors.Is(err, fs.ErrNotExist) {
		t.Errorf("error %v", err)
	}
}

func TestCloseAndContextEndASource(t *testing.T) {
	src, err := chip(t, "w1", Config{Root: tree(t, nil), Fields: "ambient_c"}).Open(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	if _, err := src.Read(ctx); !errors.Is(err, context.Canceled) {
		t.Errorf("error %v", err)
	}
	src.Close()
	if _, err := src.Read(t.Context()); err == nil {
		t.Error("a closed source gives readings")
	}
}

func TestConfigurationsThatCannotWorkAreRefused(t *testing.T) {
	for _, c := range []struct{ kind, fields, points, says string }{
		{"iio", "", "", "no fields"},
		{"iio", "../pressure=pressure_bar", "", "which channel"},
		{"hwmon", "pressure_bar", "", "which channel"},
		{"iio", "voltage0=pressure_bar", "4mA=0bar", "two points"},
		{"iio", "voltage0=pressure_bar", "4mA=0bar,20V=25bar", "not understood"},
		{"iio", "voltage0=pressure_bar", "20mA=25bar,4mA=0bar", "smaller signal"},
		{"iio", "voltage0=pressure_bar", "4mA=0,20mA=25", "point"},
		{"iio", "voltage0=pressure_bar", "4kg=0bar,20kg=25bar", "not understood"},
	} {
		_, err := newChip(buses()[c.kind], Config{Root: tree(t, nil), Fields: c.fields, Points: c.points, Clock: still()})
		if err == nil || !strings.Contains(err.Error(), c.says) {
			t.Errorf("%q %q: %v, want %q in it", c.fields, c.points, err, c.says)
		}
	}
}

func FuzzPoints(f *testing.F) {
	f.Add("4mA=0bar,20mA=25bar", 0.012)
	f.Add("0.5V=-1bar,4.5V=15bar", 0.3)
	f.Fuzz(func(t *testing.T, text string, signal float64) {
		p, err := parsePoints(text)
		if err != nil {
			return
		}
		pa, err := p.pressure(measure{kind: p.kind, value: signal})
		if err == nil && p.signal[0] > 0 && signal < 0.8*p.signal[0] {
			t.Errorf("%q at %v: %v Pa from a broken wire", text, signal, pa)
		}
	})
}

func FuzzW1Slave(f *testing.F) {
	f.Add("4e 01 4b 46 7f ff 02 10 71 : crc=71 YES\n4e 01 4b 46 7f ff 02 10 71 t=20875\n")
	f.Add("\x1b[2J\nt=")
	f.Fuzz(func(t *testing.T, text string) {
		src, err := chip(t, "w1", Config{Root: tree(t, map[string]string{thermometer: text}), Fields: "ambient_c"}).Open(t.Context())
		if err != nil {
			t.Fatal(err)
		}
		r, err := src.Read(t.Context())
		if err != nil || r.Doubt == "" && !(r.Ambient > 150 && r.Ambient < 450) || strings.ContainsAny(r.Raw+r.Doubt, "\x00\x1b\u009b") {
			t.Errorf("%q: %s, %v", text, drivertest.Describe(r), err)
		}
	})
}

package main

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"example.org/holdfast/internal/holdlog"
	"example.org/holdfast/internal/profile"
)

// Long: the table.
func TestFlagsBelongToTheDeviceBeforeThem(t *testing.T) {
	file := filepath.Join(t.TempDir(), "gauge.toml")
	if err := os.WriteFile(file, []byte("driver = \"line\"\nport = \"/dev/a\"\nfields = \"pressure_bar\"\nbaud = 4800\n"), 0o644); err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		args string
		want []profile.Profile
		err  string
	}{
		{"hold --device line --port /dev/x --baud 115200 --fields pressure_bar_abs,- --for 1h --device line --port=/dev/y --fields ambient_c --scale 0.1 --zero=-0.02bar",
			[]profile.Profile{
				{Driver: "line", Port: "/dev/x", Baud: 115200, Fields: "pressure_bar_abs,-"},
				{Driver: "line", Port: "/dev/y", Fields: "ambient_c", Scale: 0.1, Zero: -2000},
			}, ""},
		{"hold --device line --profile " + file, []profile.Profile{{Driver: "line", Port: "/dev/a", Fields: "pressure_bar", Baud: 4800}}, ""},
		{"hold --profile " + file + " --port /dev/b --device manual",
			[]profile.Profile{{Driver: "line", Port: "/dev/b", Fields: "pressure_bar", Baud: 4800}, {Driver: "manual"}}, ""},
		{"hold --port /dev/x", nil, "belongs to no device"},
		{"hold --device line --baud -5", nil, "no speed"},
		{"hold --device line --scale 0", nil, "no factor"},
		{"hold --device line --zero 3", nil, "--zero"},
		{"hold --profile no-such-file", nil, "no-such-file"},
	} {
		got, err := groupDevices(strings.Fields(c.args))
		if c.err != "" {
			if err == nil || !strings.Contains(err.Error(), c.err) {
				t.Errorf("%s: error %v, want one with %q", c.args, err, c.err)
			}
			continue
		}
		if err != nil {
			t.Errorf("%s: %v", c.args, err)
			continue
		}
		if len(got) != len(c.want) {
			t.Errorf("%s: %+v", c.args, got)
			continue
		}
		for i := range got {
			if got[i] != c.want[i] {
				t.Errorf("%s: device %d is %+v, want %+v", c.args, i, got[i], c.want[i])
			}
		}
	}
}

func TestTheDevicesOfALogCanBeOpenedAnew(t *testing.T) {
	want := []profile.Profile{
		{Driver: "line", Port: "/dev/x", Baud: 115200, Fields: "pressure_bar_abs", Scale: 2, Zero: 100},
		{Driver: "line", Port: "/dev/y", Fields: "ambient_c"},
	}
	p := livePlan{}
	var err error
	if p.instruments, err = buildDevices(want, deviceOptions{}); err != nil {
		t.Fatal(err)
	}
	p.setDevices()
	if a, b := p.header.Devices[0].Name, p.header.Devices[1].Name; a != "line" || b != "line 2" {
		t.Errorf("named %q and %q", a, b)
	}
	line, err := holdlog.AppendLine(nil, holdlog.HeaderRecord(p.header, 1))
	if err != nil {
		t.Fatal(err)
	}
	r, err := holdlog.NewReader(strings.NewReader(string(line))).Next()
	if err != nil {
		t.Fatal(err)
	}
	for i, got := range profilesOf(*r.Header) {
		if got != want[i] {
			t.Errorf("device %d comes back as %+v, want %+v", i, got, want[i])
		}
	}
}

// What a device never sends can be named only where acquire knows what it was meant to send, and where.
func TestEveryDeviceOnAPortSaysWhatItIsMeantToGive(t *testing.T) {
	for _, c := range []struct{ driver, fields string }{
		{"line", "P=pressure_bar,T=ambient_c"}, {"nmea", "LINE=pressure_bar_abs"}, {"scpi", "MEAS:PRES?=pressure_bar_abs"}, {"modbus", "holding:0:float32=pressure_bar_abs"},
	} {
		out, err := buildDevices([]profile.Profile{{Driver: c.driver, Port: "/dev/x", Fields: c.fields, Baud: 9600}}, deviceOptions{})
		if err != nil {
			t.Errorf("%s: %v", c.driver, err)
			continue
		}
		if d := out[0].device; d.Port != "/dev/x" || d.Gives != c.fields {
			t.Errorf("%s: port %q, gives %q", c.driver, d.Port, d.Gives)
		}
	}
}

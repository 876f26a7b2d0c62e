//go:build linux

package main

import (
	"encoding/json"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"example.org/holdfast/internal/profile"
)

// The tree is laid out as the kernel does it: Documentation/ABI/testing/sysfs-tty, sysfs-bus-usb.
func TestPortsAreFoundWithoutOpeningThem(t *testing.T) {
	root := t.TempDir()
	usb := "sys/devices/pci0000:00/usb1/1-2/"
	for name, text := range map[string]string{
		usb + "idVendor": "1a86\n", usb + "idProduct": "7523\n", usb + "product": "USB Serial\x1b[2J\n",
		usb + "1-2:1.0/ttyUSB0/tty/ttyUSB0/dev":                   "188:0\n",
		"sys/devices/pci0000:00/usb1/1-3/idVendor":                "2341\n",
		"sys/devices/pci0000:00/usb1/1-3/idProduct":               "0043\n",
		"sys/devices/pci0000:00/usb1/1-3/serial":                  "7583\n",
		"sys/devices/pci0000:00/usb1/1-3/1-3:1.0/tty/ttyACM0/dev": "166:0\n",
		"sys/devices/platform/serial8250/tty/ttyS0/type":          "4\n",
		"sys/devices/platform/serial8250/tty/ttyS1/type":          "0\n",
		"sys/devices/virtual/tty/tty1/dev":                        "4:1\n",
	} {
		writeFile(t, root, name, text)
	}
	link := func(from, to string) {
		from = filepath.Join(root, from)
		if err := os.MkdirAll(filepath.Dir(from), 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.Symlink(to, from); err != nil {
			t.Fatal(err)
		}
	}
	link("sys/class/tty/ttyUSB0", "../../devices/pci0000:00/usb1/1-2/1-2:1.0/ttyUSB0/tty/ttyUSB0")
	link(usb+"1-2:1.0/ttyUSB0/tty/ttyUSB0/device", "../../../ttyUSB0")
	link("sys/class/tty/ttyACM0", "../../devices/pci0000:00/usb1/1-3/1-3:1.0/tty/ttyACM0")
	link("sys/devices/pci0000:00/usb1/1-3/1-3:1.0/tty/ttyACM0/device", "../../../1-3:1.0")
	for _, s := range []string{"ttyS0", "ttyS1"} {
		link("sys/class/tty/"+s, "../../devices/platform/serial8250/tty/"+s)
		link("sys/devices/platform/serial8250/tty/"+s+"/device", "../../../serial8250")
	}
	link("sys/class/tty/tty1", "../../devices/virtual/tty/tty1")
	link("dev/serial/by-id/usb-adapter-if00", "../../ttyUSB0")

	want := []port{
		{Path: "/dev/ttyACM0", USB: "2341:0043", USBSerial: "7583"},
		{Path: "/dev/ttyS0"},
		{Path: "/dev/ttyUSB0", ByID: "/dev/serial/by-id/usb-adapter-if00", USB: "1a86:7523", Product: "USB Serial[2J"},
	}
	if got := portsUnder(root); !slices.Equal(got, want) {
		t.Errorf("found %+v", got)
	}
	for _, c := range []struct{ usb, serial, path, says string }{
		{"1A86:7523", "", "/dev/ttyUSB0", ""},
		{"2341:0043", "7583", "/dev/ttyACM0", ""},
		{"2341:0043", "7584", "", "no port with USB numbers"},
	} {
		path, err := usbPort(root, c.usb, c.serial)
		if path != c.path || (err == nil) != (c.says == "") || err != nil && !strings.Contains(err.Error(), c.says) {
			t.Errorf("%s %s: %q, %v", c.usb, c.serial, path, err)
		}
	}
}

// script writes a script that prints lines and gives the flags of a device that reads it.
func script(t *testing.T, text, fields string) []string {
	t.Helper()
	dir := t.TempDir()
	writeFile(t, dir, "gauge.sh", "#!/bin/sh\n"+text+"\n")
	name := filepath.Join(dir, "gauge.sh")
	if err := os.Chmod(name, 0o755); err != nil {
		t.Fatal(err)
	}
	return []string{"--device", "pipe", "--command", name, "--fields", fields}
}

// Long: the table.
func TestCheckSaysWhatIsWrong(t *testing.T) {
	const loop = `i=0; while [ $i -lt 100 ]; do i=$((i+1)); %s; sleep 0.1; done`
	for _, c := range []struct {
		name, script, fields string
		flags                []string
		code                 int
		what, says           string
	}{
		{"well", `echo "10.98$((i%3)) 21.5"`, "pressure_bar,ambient_c", nil, 0, "", "nothing wrong"},
		{"a room in kelvin", `echo "10.98$((i%3)) 294.6"`, "pressure_bar,ambient_c", nil, 4, "unusable", "in kelvin?"},
		{"a room in Fahrenheit", `echo "10.98$((i%3)) 70.5"`, "pressure_bar,ambient_c", nil, 4, "unit", "Fahrenheit?"},
		{"not at zero", `echo "0.21$((i%3))"`, "pressure_bar", []string{"--open"}, 4, "zero", "open and reads"},
		{"absolute", `echo "1.01$((i%3))"`, "pressure_bar", []string{"--open"}, 4, "reference", "_abs"},
		{"wrong baud rate", `printf '\377\376\200\n'`, "pressure_bar", nil, 4, "unusable", "check the baud rate"},
		{"boot text", `[ $i -gt 3 ] && echo "10.98$((i%3))" || echo booting`, "pressure_bar", nil, 0, "", "nothing wrong"},
		{"silent", `true`, "pressure_bar", nil, 4, "silent", "nothing came from it"},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			args := append([]string{"devices", "check", "--for", "2s"}, append(script(t, fmt.Sprintf(loop, c.script), c.fields), c.flags...)...)
			p := plain(t, args...)
			code := p.exit(time.Minute)
			<-p.read
			if code != c.code || !strings.Contains(p.text(), c.says) {
				t.Errorf("exit code %d, want %d with %q; it said\n%s", code, c.code, c.says, p.text())
			}
			q := plain(t, append(args, "--json")...)
			q.exit(time.Minute)
			<-q.read
			var got checkedDevice
			if err := json.Unmarshal([]byte(q.text()), &got); err != nil {
				t.Fatalf("%v in %s", err, q.text())
			}
			what := ""
			for _, f := range got.Findings {
				what += f.What
			}
			if what != c.what || got.Device != "pipe" {
				t.Errorf("found %q, want %q: %s", what, c.what, q.text())
			}
		})
	}
}

// The instrument at the other end of the line looks at the speed that the program set.
func TestCheckFindsTheSpeedThatADeviceTalksAt(t *testing.T) {
	t.Parallel()
	link, command := feeder(t)
	command("baud 115200")
	args := []string{"devices", "check", "--for", "1s", "--device", "line", "--port", link, "--fields", "pressure_bar_abs,ambient_c"}
	p := plain(t, args...)
	code := p.exit(time.Minute)
	<-p.read
	for _, want := range []string{"check the baud rate", "nothing can be read at 9600 baud", "at 115200 baud it can be read: add --baud 115200"} {
		if code != exitIO || !strings.Contains(p.text(), want) {
			t.Errorf("exit code %d, want %q; it said\n%s", code, want, p.text())
		}
	}
	p = plain(t, append(args, "--baud", "115200")...)
	p.exit(time.Minute)
	<-p.read
	if !strings.Contains(p.text(), "bar absolute") || strings.Contains(p.text(), "can be read") {
		t.Errorf("at its speed it says\n%s", p.text())
	}
	command("freeze")
	command("pull") // what the terminal still holds goes with it
	command("plug")
	p = plain(t, append(args, "--baud", "115200")...)
	p.exit(time.Minute)
	<-p.read
	if !strings.Contains(p.text(), "wrong for a reading that is frozen") {
		t.Errorf("of a gauge that stands still it says\n%s", p.text())
	}
}

func TestCheckSaysWhyAPortDoesNotOpen(t *testing.T) {
	p := plain(t, "devices", "check", "--device", "line", "--port", "/dev/no-such-port", "--fields", "pressure_bar")
	if code := p.exit(time.Minute); code != exitIO || !strings.Contains(p.text(), "plugged in") {
		t.Errorf("exit code %d; it said\n%s", code, p.text())
	}
}

// The gauge reads 2 % too much and 0.05 bar besides; the person says what is true.
func TestCalibrationFindsZeroAndScale(t *testing.T) {
	dir := t.TempDir()
	// What it reads follows a file that the test changes, as a person would change the pressure.
	writeFile(t, dir, "reads", "0.05")
	writeFile(t, dir, "gauge.sh", "#!/bin/sh\ni=0; while [ $i -lt 300 ]; do i=$((i+1)); echo \"$(cat "+dir+"/reads)$((i%2))\"; sleep 0.05; done\n")
	if err := os.Chmod(filepath.Join(dir, "gauge.sh"), 0o755); err != nil {
		t.Fatal(err)
	}
	file := filepath.Join(dir, "gauge.toml")
	writeFile(t, dir, "gauge.toml", "driver = \"pipe\" # a script\ncommand = \""+dir+"/gauge.sh\"\nfields = \"pressure_bar\"\n")
	p := newProcess(t, "devices", "calibrate", file, "--for", "1s")
	in, err := p.cmd.StdinPipe()
	if err != nil {
		t.Fatal(err)
	}
	p.cmd.Stdout, p.cmd.Stderr = lockedWriter{p}, lockedWriter{p}
	if err := p.cmd.Start(); err != nil {
		t.Fatal(err)
	}
	p.await("press Enter")
	fmt.Fprintln(in)
	p.await("Enter alone")
	writeFile(t, dir, "reads", "10.25") // 10 bar and 2 % and 0.05 bar
	time.Sleep(200 * time.Millisecond)
	fmt.Fprintln(in, "10.00 bar")
	if code := p.exit(time.Minute); code != 0 {
		t.Fatalf("exit code %d; it said\n%s", code, p.text())
	}
	got, err := profile.Load(file)
	if err != nil {
		t.Fatal(err)
	}
	if math.Abs(got.Scale-1/1.02) > 2e-4 || math.Abs(float64(got.Zero)-5000/1.02) > 60 || got.Calibrated == "" {
		t.Errorf("found scale %v, zero %v, on %q", got.Scale, float64(got.Zero), got.Calibrated)
	}

	log := filepath.Join(dir, "x.jsonl")
	q := plain(t, "hold", "--plain", "--for", "2s", "--log", log, "--profile", file)
	q.exit(time.Minute)
	l, err := lastOf(log)
	if err != nil || len(l.header.Devices) != 1 || l.header.Devices[0].Calibrated != got.Calibrated || l.header.Devices[0].Zero != got.Zero {
		t.Errorf("the log's header has %+v, %v", l.header.Devices, err)
	}
}

// lockedWriter adds to what a process said.
type lockedWriter struct{ p *process }

func (w lockedWriter) Write(b []byte) (int, error) {
	w.p.mu.Lock()
	defer w.p.mu.Unlock()
	return w.p.said.Write(b)
}

func TestACalibrationThatIsNoneIsRefused(t *testing.T) {
	for _, c := range []struct {
		low, high, trueLow, trueHigh float64
		says                         string
	}{
		{0, 10e5, 0, 10e5, ""},
		{5000, 10.25e5, 0, 10e5, ""},
		{0, 145e5, 0, 10e5, "is no calibration"}, // psi read as bar
		{0, 0, 0, 10e5, "is no calibration"},
		{0, 1000, 0, 1000, "at least"},
	} {
		cal, err := twoPoints(c.low, c.high, c.trueLow, c.trueHigh)
		switch {
		case c.says == "":
			if err != nil || math.Abs(cal.Apply(c.low)-c.trueLow) > 1e-6 || math.Abs(cal.Apply(c.high)-c.trueHigh) > 1e-6 {
				t.Errorf("%+v: %+v, %v", c, cal, err)
			}
		case err == nil || !strings.Contains(err.Error(), c.says):
			t.Errorf("%+v: error %v", c, err)
		}
	}
}

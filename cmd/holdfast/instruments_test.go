//go:build linux

package main

import (
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"golang.org/x/tools/txtar"

	"example.org/holdfast/drivers/peertest"
	"example.org/holdfast/internal/holdlog"
)

// transmitter starts a MODBUS unit made of libmodbus on a line and gives our end of it.
func transmitter(t *testing.T) string {
	t.Helper()
	line := peertest.NewLine(t)
	peertest.Libmodbus(t, line.Far, "1")
	return line.Near
}

// kernelTree writes the fake /sys of the kernel driver's tests to a disk.
func kernelTree(t *testing.T) string {
	t.Helper()
	archive, err := txtar.ParseFile(filepath.Join("..", "..", "drivers", "kernel", "testdata", "sys.txtar"))
	if err != nil {
		t.Fatal(err)
	}
	root := t.TempDir()
	for _, f := range archive.Files {
		writeFile(t, root, f.Name, string(f.Data))
	}
	return root
}

func TestDevicesOfDifferentKindsAreRecordedTogether(t *testing.T) {
	sys, log := kernelTree(t), filepath.Join(t.TempDir(), "x.jsonl")
	p := plain(t, "hold", "--for", "5s", "--plain", "--log", log, "--limit", "1%/h",
		"--device", "modbus", "--port", transmitter(t), "--fields", "holding:0:float32=pressure_bar_abs", "--interval", "200ms",
		"--device", "w1", "--port", sys+"/bus/w1/devices/28-0316a2795abc", "--fields", "section_c",
		"--device", "iio", "--port", sys+"/bus/iio/devices/iio:device0", "--fields", "barometer_hpa,ambient_c", "--interval", "3s")
	if code := p.exit(time.Minute); code != 3 {
		t.Fatalf("exit code %d; it said\n%s", code, p.text())
	}
	full, oldest := 0, 0.0
	for _, r := range samples(log) {
		s := r.Sample
		if math.Abs(s.Pressure-1012345.6) < 0.1 && math.Abs(float64(s.Section)-294.025) < 1e-3 &&
			math.Abs(float64(s.Ambient)-296.6) < 1e-3 && s.Barometer == 101325 {
			full++
		}
		oldest = max(oldest, s.Skew)
	}
	if oldest < 1 || oldest > 5 {
		t.Errorf("the barometer comes every 3 s, and the oldest value beside a pressure is said to be %v s old", oldest)
	}
	if full < 15 {
		t.Errorf("%d samples with all four quantities in 5 s at 5 a second; it said\n%s", full, p.text())
	}
}

func TestAProgramThatDiesIsStartedAgain(t *testing.T) {
	dir := t.TempDir()
	script := "#!/bin/sh\necho starting >&2\nfor i in 1 2 3 4 5; do echo \"P=10.98$i T=21.5\"; sleep 0.1; done\necho out of paper >&2\nexit 7\n"
	writeFile(t, dir, "gauge.sh", script)
	if err := os.Chmod(filepath.Join(dir, "gauge.sh"), 0o755); err != nil {
		t.Fatal(err)
	}
	log := filepath.Join(dir, "x.jsonl")
	p := plain(t, "hold", "--for", "4s", "--plain", "--log", log, "--device", "pipe",
		"--command", filepath.Join(dir, "gauge.sh"), "--fields", "P=pressure_bar_abs,T=ambient_c")
	if code := p.exit(time.Minute); code != 3 {
		t.Fatalf("exit code %d; it said\n%s", code, p.text())
	}
	lost, back := 0, 0
	for _, e := range eventsOf(t, log) {
		switch e.Kind {
		case holdlog.EventLost:
			if !strings.Contains(e.Text, "exit status 7") || !strings.Contains(e.Text, "out of paper") {
				t.Errorf("lost: %q", e.Text)
			}
			lost++
		case holdlog.EventBack:
			back++
		}
	}
	if lost < 2 || back < 1 {
		t.Errorf("lost %d times, back %d times; it said\n%s", lost, back, p.text())
	}
}

func TestWhatIsPipedInIsRecordedToItsEnd(t *testing.T) {
	log := filepath.Join(t.TempDir(), "x.jsonl")
	p := newProcess(t, "hold", "--for", "1h", "--plain", "--log", log, "--device", "pipe", "--port", "-", "--fields", "pressure_bar_abs,ambient_c")
	p.cmd.Stdin = strings.NewReader(strings.Repeat("10.98,21.5\n", 50))
	out, err := p.cmd.CombinedOutput()
	if got := len(samples(log)); got != 50 {
		t.Errorf("%d samples of 50 lines, %v; it said\n%s", got, err, out)
	}
}

// eventsOf reads what happened from a log.
func eventsOf(t *testing.T, path string) (all []holdlog.Event) {
	t.Helper()
	f, err := os.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	for r := holdlog.NewReader(f); ; {
		rec, err := r.Next()
		if err != nil {
			return all
		}
		if rec.Kind == holdlog.KindEvent {
			all = append(all, rec.Event)
		}
	}
}

// Opened twice, the port would be refused: it is locked.
func TestTwoDevicesShareABus(t *testing.T) {
	log, port := filepath.Join(t.TempDir(), "x.jsonl"), transmitter(t)
	p := plain(t, "hold", "--for", "4s", "--plain", "--log", log, "--limit", "1%/h",
		"--device", "modbus", "--port", port, "--fields", "holding:2:float32:cdab=pressure_bar_abs", "--interval", "200ms",
		"--device", "modbus", "--port", port, "--fields", "input:0:int16*0.1=section_c", "--interval", "500ms")
	if code := p.exit(time.Minute); code != 3 {
		t.Fatalf("exit code %d; it said\n%s", code, p.text())
	}
	both := 0
	for _, r := range samples(log) {
		if math.Abs(r.Sample.Pressure-1012345.6) < 0.1 && math.Abs(float64(r.Sample.Section)-294.65) < 1e-3 {
			both++
		}
	}
	if both < 10 {
		t.Errorf("%d samples with both quantities; it said\n%s", both, p.text())
	}
}

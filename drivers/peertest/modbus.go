//go:build linux

package peertest

import (
	"bufio"
	_ "embed" // the two programs
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
)

//go:embed testdata/libmodbus_peer.c
var libmodbus string

//go:embed testdata/pymodbus_peer.py
var pymodbus string

// Missing skips a test whose peer is not on this machine; in CI, which installs them, it fails.
func Missing(t *testing.T, what string) {
	t.Helper()
	if os.Getenv("HOLDFAST_CI") != "" {
		t.Fatalf("%s; .ci/run installs it", what)
	}
	t.Skip(what)
}

// Libmodbus starts a unit made of libmodbus on a terminal and waits until it serves.
func Libmodbus(t *testing.T, tty, unit string) {
	t.Helper()
	program := filepath.Join(t.TempDir(), "peer")
	build := exec.Command("cc", "-o", program, "-x", "c", "-", "-lmodbus")
	build.Stdin = strings.NewReader(libmodbus)
	if out, err := build.CombinedOutput(); err != nil {
		Missing(t, "no libmodbus to test against (cc and package libmodbus-dev): "+err.Error()+" "+string(out))
	}
	serve(t, exec.Command(program, tty, unit))
}

// Pymodbus starts units made of pymodbus on a terminal and waits until they serve.
func Pymodbus(t *testing.T, tty string, units ...string) {
	t.Helper()
	for _, python := range []string{"/usr/bin/python3", "python3"} {
		if exec.Command(python, "-c", "import pymodbus, serial_asyncio").Run() == nil {
			serve(t, exec.Command(python, append([]string{"-c", pymodbus, tty}, units...)...))
			return
		}
	}
	Missing(t, "no pymodbus to test against (packages python3-pymodbus and python3-serial-asyncio)")
}

// serve starts a peer and waits until it says that it is ready. It ends with the test.
func serve(t *testing.T, cmd *exec.Cmd) {
	t.Helper()
	cmd.Stderr = os.Stderr
	out, err := cmd.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		_ = cmd.Process.Kill() // it may have ended by itself
		_ = cmd.Wait()
	})
	if line, err := bufio.NewReader(out).ReadString('\n'); err != nil || strings.TrimSpace(line) != "ready" {
		t.Fatalf("the peer said %q, %v", line, err)
	}
}

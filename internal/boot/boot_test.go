//go:build unix

package boot_test

import (
	"errors"
	"io"
	"os"
	"os/exec"
	"strings"
	"syscall"
	"testing"
	"time"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/creack/pty"

	_ "example.org/holdfast/internal/boot"
)

// asChild makes this test binary stand for a program that imports bubbletea and answers --version.
const asChild = "HOLDFAST_BOOT_CHILD"

func TestMain(m *testing.M) {
	if os.Getenv(asChild) != "" {
		_ = tea.Quit // so that bubbletea is linked in, with its init
		os.Stdout.WriteString("version\n")
		return
	}
	os.Exit(m.Run())
}

// On a terminal that answers nothing the program must say its version at once
// and ask the terminal nothing (without this package: 5 s, and a query of the
// background colour, ESC ] 11 ; ?).
func TestStartingAsksTheTerminalNothing(t *testing.T) {
	cmd := exec.Command(os.Args[0])
	cmd.Env = append(os.Environ(), asChild+"=1", "TERM=xterm-256color", "COLORTERM=", "CI=")
	start := time.Now()
	f, err := pty.Start(cmd)
	if err != nil {
		t.Skipf("no pseudo-terminal here: %v", err)
	}
	out, err := io.ReadAll(f)
	if err != nil && !errors.Is(err, syscall.EIO) { // the end of a pseudo-terminal
		t.Fatal(err)
	}
	if err := cmd.Wait(); err != nil {
		t.Fatal(err)
	}
	if took := time.Since(start); took > 3*time.Second {
		t.Errorf("it took %v to say the version", took)
	}
	if s := strings.TrimSpace(string(out)); s != "version" {
		t.Errorf("the terminal got %q, want the version alone", s)
	}
}

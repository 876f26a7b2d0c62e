//go:build linux

package peertest

import (
	"io"
	"os"
	"path/filepath"
	"sync"
	"testing"

	"github.com/charmbracelet/x/term"
	"github.com/creack/pty"
)

// Line is a serial line. Its near end is an adapter that can be pulled out; the
// instrument at the far end never notices.
type Line struct {
	// Near is a link to the adapter's terminal, as /dev/serial/by-id has them.
	Near string
	// Far is the name of the instrument's terminal.
	Far string

	t   *testing.T
	far *os.File // the other side of Far

	mu          sync.Mutex
	near, slave *os.File // the other side of what Near leads to, and that; nil = pulled out
	spare       []*os.File
}

// NewLine gives a line whose adapter is plugged in. It ends with the test.
func NewLine(t *testing.T) *Line {
	t.Helper()
	l := &Line{t: t, Near: filepath.Join(t.TempDir(), "usb-adapter-if00")}
	far, slave := terminal(t)
	l.far, l.Far = far, slave.Name()
	l.Plug()
	go l.deliver()
	t.Cleanup(func() {
		l.Pull()
		far.Close()
		slave.Close()
		for _, f := range l.spare {
			f.Close()
		}
	})
	return l
}

// terminal opens a pseudo-terminal that changes no byte.
func terminal(t *testing.T) (master, slave *os.File) {
	t.Helper()
	master, slave, err := pty.Open()
	if err != nil {
		t.Fatal(err)
	}
	if _, err := term.MakeRaw(slave.Fd()); err != nil {
		t.Fatal(err)
	}
	return master, slave
}

// Plug plugs the adapter in: Near leads to it again, under another name than before.
func (l *Line) Plug() {
	l.t.Helper()
	l.mu.Lock()
	defer l.mu.Unlock()
	before, _ := os.Readlink(l.Near + ".was") // fails the first time
	l.near, l.slave = terminal(l.t)
	if l.slave.Name() == before { // the system gives the lowest number that is free
		l.spare = append(l.spare, l.near, l.slave)
		l.near, l.slave = terminal(l.t)
	}
	if err := os.Symlink(l.slave.Name(), l.Near); err != nil {
		l.t.Fatal(err)
	}
	go io.Copy(l.far, l.near) // until it is pulled out
}

// Pull pulls the adapter out: whoever has it open sees it go.
func (l *Line) Pull() {
	l.mu.Lock()
	defer l.mu.Unlock()
	if l.near == nil {
		return
	}
	l.near.Close()
	l.slave.Close()
	l.near = nil
	os.Remove(l.Near + ".was")
	os.Rename(l.Near, l.Near+".was")
}

// deliver passes on what the instrument says, to nobody while the adapter is out.
func (l *Line) deliver() {
	b := make([]byte, 512)
	for {
		n, err := l.far.Read(b)
		if err != nil {
			return // the test is over
		}
		l.mu.Lock()
		if l.near != nil {
			_, _ = l.near.Write(b[:n]) // pulled out meanwhile, perhaps: nobody is there to tell
		}
		l.mu.Unlock()
	}
}

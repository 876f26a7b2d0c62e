//go:build linux

package main

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"syscall"
	"testing"
	"time"

	"github.com/creack/pty"

	"example.org/holdfast/drivers"
	"example.org/holdfast/drivers/line"
	"example.org/holdfast/internal/acquire"
	"example.org/holdfast/internal/holdlog"
)

// openerEnv is the path of a port to open by TestOpenerProcess, which is run as a second process with it set.
const openerEnv = "HOLDFAST_TEST_OPENER"

// ledger keeps the records of a run and lets a test wait for them.
type ledger struct {
	mu      sync.Mutex
	records []holdlog.Record
}

func (l *ledger) emit(r holdlog.Record) {
	l.mu.Lock()
	defer l.mu.Unlock()
	l.records = append(l.records, r)
}

func (l *ledger) count(is func(holdlog.Record) bool) (n int) {
	l.mu.Lock()
	defer l.mu.Unlock()
	for _, r := range l.records {
		if is(r) {
			n++
		}
	}
	return n
}

func (l *ledger) await(t *testing.T, what string, n int, is func(holdlog.Record) bool) {
	t.Helper()
	for begin := time.Now(); l.count(is) < n; time.Sleep(10 * time.Millisecond) {
		if time.Since(begin) > 20*time.Second {
			t.Fatalf("no %s in 20 s; have %+v", what, l.records)
		}
	}
}

func isSample(r holdlog.Record) bool { return r.Kind == holdlog.KindSample }

func isEvent(k holdlog.EventKind) func(holdlog.Record) bool {
	return func(r holdlog.Record) bool { return r.Kind == holdlog.KindEvent && r.Event.Kind == k }
}

// lineGauge reads the feeder's lines behind a link into a ledger.
func lineGauge(t *testing.T, link string) (*acquire.Acquirer, *ledger) {
	t.Helper()
	driver, err := line.New(line.Config{Fields: "pressure_bar_abs,ambient_c"})
	if err != nil {
		t.Fatal(err)
	}
	book := &ledger{}
	a, err := acquire.New(acquire.Config{Emit: book.emit, Devices: []acquire.Device{{
		Name: "line",
		Open: func(context.Context) (drivers.Source, error) {
			port, err := openSerial(link, 115200)
			if err != nil {
				return nil, err
			}
			return driver.Source(port), nil
		},
	}}})
	if err != nil {
		t.Fatal(err)
	}
	return a, book
}

func TestAnUnpluggedGaugeIsFoundAgainUnderItsLink(t *testing.T) {
	link, command := feeder(t)
	a, book := lineGauge(t, link)
	ctx, cancel := context.WithCancel(t.Context())
	done := make(chan error, 1)
	go func() { done <- a.Run(ctx) }()

	book.await(t, "sample", 5, isSample)
	name, _ := os.Readlink(link)
	command("pull")
	book.await(t, "loss", 1, isEvent(holdlog.EventLost))
	before := book.count(isSample)
	command("plug")
	if again, _ := os.Readlink(link); again == name {
		t.Errorf("it is %s again", again)
	}
	book.await(t, "return", 1, isEvent(holdlog.EventBack))
	book.await(t, "sample after the return", before+5, isSample)
	cancel()
	if err := <-done; err != nil {
		t.Error(err)
	}

	book.mu.Lock()
	defer book.mu.Unlock()
	for _, r := range book.records {
		switch {
		case r.Kind == holdlog.KindReject:
			t.Errorf("a line was not understood: %q, %s", r.Text, r.Why)
		case isSample(r) && (r.Sample.Pressure < 19.99e5 || r.Sample.Pressure > 20.02e5 || r.Sample.Ambient.Celsius() < 21.4):
			t.Errorf("sample %+v", r.Sample)
		case isEvent(holdlog.EventLost)(r) && !strings.Contains(r.Event.Text, "unplugged"):
			t.Errorf("lost because %q", r.Event.Text)
		}
	}
	// The port is let go of: it can be opened again at once.
	port, err := openSerial(link, 115200)
	if err != nil {
		t.Fatal(err)
	}
	port.Close()
}

func TestAPortOpenElsewhereIsInUse(t *testing.T) {
	link, _ := feeder(t)
	port, err := openSerial(link, 0)
	if err != nil {
		t.Fatal(err)
	}
	defer port.Close()
	if _, err := openSerial(link, 0); !errors.Is(err, errInUse) || explain(err).hint == "" || explain(err).code != exitIO {
		t.Errorf("second open: %v", err)
	}
}

// Long: one port through silence, an empty read and its close.
func TestSilenceIsNoErrorAndCloseEndsARead(t *testing.T) {
	link, command := feeder(t)
	command("mute")
	port, err := openSerial(link, 0)
	if err != nil {
		t.Fatal(err)
	}
	b := make([]byte, 4096)
	for begin := time.Now(); ; {
		n, err := port.Read(b)
		if err != nil {
			t.Fatal(err)
		}
		if n == 0 {
			break
		}
		if time.Since(begin) > 10*time.Second {
			t.Fatal("a mute device goes on talking")
		}
	}
	if n, err := port.Read(nil); n != 0 || err != nil {
		t.Errorf("an empty read gives %d, %v", n, err)
	}
	ended := make(chan error)
	go func() {
		for {
			if _, err := port.Read(b); err != nil {
				ended <- err
				return
			}
		}
	}()
	time.Sleep(50 * time.Millisecond)
	begin := time.Now()
	if err := port.Close(); err != nil {
		t.Error(err)
	}
	if err := <-ended; !errors.Is(err, os.ErrClosed) || errors.Is(err, errUnplugged) {
		t.Errorf("our own close reads as %v", err)
	}
	if took := time.Since(begin); took > closePatience {
		t.Errorf("close took %v", took)
	}
}

func TestWhatIsNoPortIsRefusedWithAHint(t *testing.T) {
	file := filepath.Join(t.TempDir(), "file")
	if err := os.WriteFile(file, nil, 0o600); err != nil {
		t.Fatal(err)
	}
	for path, is := range map[string]error{
		filepath.Join(t.TempDir(), "none"): fs.ErrNotExist,
		file:                               nil,
		t.TempDir():                        nil,
	} {
		_, err := openSerial(path, 0)
		if err == nil || is != nil && !errors.Is(err, is) || explain(err).hint == "" || explain(err).code != exitIO {
			t.Errorf("%s: %v, hint %q", path, err, explain(err).hint)
		}
	}
}

// TestOpenerProcess opens a port and prints what comes of it.
func TestOpenerProcess(t *testing.T) {
	path := os.Getenv(openerEnv)
	if path == "" {
		t.Skip("only as a child process")
	}
	_, err := openSerial(path, 0)
	if err == nil {
		fmt.Println("opened")
		return
	}
	fmt.Printf("permission=%v error=%v hint=%s\n", errors.Is(err, fs.ErrPermission), err, explain(err).hint)
}

func TestAPortOfAnotherGroupNamesTheGroupToJoin(t *testing.T) {
	if os.Geteuid() != 0 {
		t.Skip("needs root, to be somebody else")
	}
	master, slave, err := pty.Open()
	if err != nil {
		t.Fatal(err)
	}
	defer master.Close()
	defer slave.Close()
	const nobody, tty = 65534, 5 // group 5 is tty on this system's standard base; its name is looked up
	for _, c := range []struct {
		gid  int
		mode fs.FileMode
		says string
	}{
		{tty, 0o660, "sudo usermod -aG " + groupName(t, tty) + " $USER\", then log out and in again"},
		{tty, 0o600, "Only root may open it"},
		{0, 0o660, "Only root may open it"},
	} {
		if err := errors.Join(os.Chown(slave.Name(), 0, c.gid), os.Chmod(slave.Name(), c.mode)); err != nil {
			t.Fatal(err)
		}
		out := asUser(t, nobody, openerEnv+"="+slave.Name())
		if !strings.Contains(out, "permission=true") || !strings.Contains(out, slave.Name()) || !strings.Contains(out, c.says) {
			t.Errorf("group %d, mode %o: got %q, want %q in it", c.gid, c.mode, out, c.says)
		}
	}
}

// groupName reads the name of a group from the system's own table, by another way than the program's.
func groupName(t *testing.T, gid int) string {
	t.Helper()
	table, err := os.ReadFile("/etc/group")
	if err != nil {
		t.Skip(err)
	}
	for row := range strings.Lines(string(table)) {
		if cols := strings.Split(row, ":"); len(cols) > 2 && cols[2] == fmt.Sprint(gid) {
			return cols[0]
		}
	}
	t.Skipf("no group %d here", gid)
	return ""
}

// asUser runs TestOpenerProcess as another user. The binary is handed over as
// a descriptor, because the folder it lies in is closed to others.
func asUser(t *testing.T, uid uint32, env string) string {
	t.Helper()
	self, err := os.Open(os.Args[0])
	if err != nil {
		t.Fatal(err)
	}
	defer self.Close()
	cmd := exec.Command("/proc/self/fd/3", "-test.run=^TestOpenerProcess$")
	cmd.ExtraFiles = []*os.File{self}
	cmd.Dir = "/"
	cmd.Env = append(os.Environ(), env)
	cmd.SysProcAttr = &syscall.SysProcAttr{Credential: &syscall.Credential{Uid: uid, Gid: uid}}
	out, err := cmd.CombinedOutput()
	if err != nil && len(out) == 0 {
		t.Skipf("cannot run as user %d here: %v", uid, err)
	}
	return string(out)
}

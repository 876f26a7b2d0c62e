//go:build linux

package main

import (
	"bufio"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/creack/pty"
	"golang.org/x/sys/unix"
)

// feederEnv is the path of the link to the terminal of TestFeederProcess, which is run as a second process with it set.
const feederEnv = "HOLDFAST_TEST_FEEDER"

// feed is an instrument at the other end of a pseudo-terminal.
type feed struct {
	t             *testing.T
	link          string
	master, slave *os.File // nil = unplugged
	spare         *os.File // has the name of the terminal that went away
	tick          *time.Ticker
	mute, frozen  bool
	baud          uint32 // the speed that it talks at; 0 = the other end's, whatever that is
	n             int
}

// feederLine is the n-th line of the feeder; it prints no other values.
func feederLine(n int) string { return fmt.Sprintf("%.3f,21.50\r\n", 20+float64(n%10)/1000) }

// TestFeederProcess prints a line every 50 ms and does as it is told, a command
// a line: mute, talk, freeze, thaw; every 10ms; baud 115200, to be unreadable at others; say "quoted bytes"; pull hangs
// up; plug is back behind the same link, as another terminal.
func TestFeederProcess(t *testing.T) {
	link := os.Getenv(feederEnv)
	if link == "" {
		t.Skip("only as a child process")
	}
	commands := make(chan string)
	go func() {
		defer close(commands)
		for in := bufio.NewScanner(os.Stdin); in.Scan(); {
			commands <- in.Text()
		}
	}()
	f := &feed{t: t, link: link, tick: time.NewTicker(50 * time.Millisecond)}
	f.plug()
	fmt.Println("ready")
	for {
		select {
		case c, ok := <-commands:
			if !ok {
				return
			}
			f.obey(c)
			fmt.Println("ready")
		case <-f.tick.C:
			if f.master != nil && !f.mute {
				io.WriteString(f.master, f.asHeard(feederLine(f.n)))
				if !f.frozen {
					f.n++
				}
			}
		}
	}
}

// asHeard is what a line comes to at the other end, which may listen at another speed.
func (f *feed) asHeard(line string) string {
	if f.baud == 0 {
		return line
	}
	set, err := unix.IoctlGetTermios(int(f.slave.Fd()), unix.TCGETS)
	if err != nil {
		f.t.Fatal(err)
	}
	if set.Cflag&unix.CBAUD == f.baud {
		return line
	}
	return strings.Repeat("\xff\x80\xfe", len(line)/6) + "\n"
}

func (f *feed) obey(command string) {
	verb, arg, _ := strings.Cut(command, " ")
	switch verb {
	case "mute", "talk":
		f.mute = verb == "mute"
	case "freeze", "thaw":
		f.frozen = verb == "freeze"
	case "baud":
		f.baud = map[string]uint32{"115200": unix.B115200, "1800": unix.B1800}[arg]
	case "every":
		d, err := time.ParseDuration(arg)
		if err != nil {
			f.t.Fatal(err)
		}
		f.tick.Reset(d)
	case "say":
		text, err := strconv.Unquote(arg)
		if err != nil {
			f.t.Fatal(err)
		}
		io.WriteString(f.master, text)
	case "pull":
		f.master.Close()
		f.slave.Close()
		os.Remove(f.link)
		f.master = nil
	case "plug":
		f.plug()
	default:
		f.t.Fatalf("no command %q", command)
	}
}

func (f *feed) plug() {
	was := ""
	if f.slave != nil {
		was = f.slave.Name()
	}
	var err error
	if f.master, f.slave, err = pty.Open(); err == nil && f.slave.Name() == was {
		f.spare = f.master
		f.master, f.slave, err = pty.Open()
	}
	if err == nil {
		err = os.Symlink(f.slave.Name(), f.link)
	}
	if err != nil {
		f.t.Fatal(err)
	}
}

// feeder starts the instrument and gives its link and a way to command it.
func feeder(t *testing.T) (link string, command func(string)) {
	t.Helper()
	link = filepath.Join(t.TempDir(), "gauge")
	cmd := exec.Command(os.Args[0], "-test.run=^TestFeederProcess$")
	cmd.Env = append(os.Environ(), feederEnv+"="+link)
	cmd.Stderr = os.Stderr
	in, err := cmd.StdinPipe()
	if err != nil {
		t.Fatal(err)
	}
	out, err := cmd.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	answers := bufio.NewScanner(out)
	ready := func() {
		t.Helper()
		if !answers.Scan() || answers.Text() != "ready" {
			t.Fatalf("the feeder says %q", answers.Text())
		}
	}
	t.Cleanup(func() {
		in.Close()
		io.Copy(io.Discard, out)
		cmd.Wait()
	})
	ready()
	return link, func(c string) {
		t.Helper()
		if _, err := fmt.Fprintln(in, c); err != nil {
			t.Fatal(err)
		}
		ready()
	}
}

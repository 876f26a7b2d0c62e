//go:build linux

package main

import (
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"syscall"
	"testing"
	"time"

	"example.org/holdfast/drivers/peertest"
	"example.org/holdfast/internal/holdlog"
)

// The faults that a hold must survive, each with the real program on a port
// with an instrument of its own at the other end. DEVELOPERS.md has them in a table.

// endsWhole ends a program by a signal and wants its log whole, with these events in this order among others.
func (p *process) endsWhole(log string, events ...string) judged {
	p.t.Helper()
	p.signal(syscall.SIGTERM)
	if code := p.exit(5 * time.Second); code != 143 {
		p.t.Errorf("exit code %d", code)
	}
	j := reduce(p.t, log)
	if got := j.integrity.State(); got != holdlog.Whole {
		p.t.Errorf("the log is %s", j.integrity)
	}
	all := happened(p.t, log)
	rest := all
	for _, e := range events {
		i := slices.Index(rest, e)
		if i < 0 {
			p.t.Fatalf("events %v, want %v in this order", all, events)
		}
		rest = rest[i+1:]
	}
	if j.state.Verdict.Word == "leaking" {
		p.t.Errorf("the fault is called a leak: %s", j.state.Verdict.Phrase)
	}
	return j
}

func (p *process) records(log string, more int) {
	p.t.Helper()
	n := len(samples(log))
	p.until(fmt.Sprintf("there are %d samples more", more), func() bool { return len(samples(log)) >= n+more })
}

func TestASilentGaugeIsSaidAndHeardAgain(t *testing.T) {
	t.Parallel()
	link, command := feeder(t)
	log := filepath.Join(t.TempDir(), "hold.jsonl")
	p := plain(t, lineHold(link, log)...)
	p.records(log, 40)
	command("mute")
	p.await("lost line")
	command("talk")
	p.await("line is back")
	p.records(log, 20)
	p.endsWhole(log, "lost", "back", "gap", "signal")
}

// A board that restarts in mid line says half a line, then its boot text, here with sequences that would take over a terminal.
func TestADeviceThatRebootsIsReadOn(t *testing.T) {
	t.Parallel()
	link, command := feeder(t)
	log := filepath.Join(t.TempDir(), "hold.jsonl")
	p := plain(t, lineHold(link, log)...)
	p.records(log, 40)
	command("mute")
	command(`say "20.0"`)
	command(`say "\x00\r\n\x1b[2J\x1b]0;owned\x07ets Jul 29 2019 rst:0x1 (POWERON_RESET)\r\nload:0x3fff0018,len:4\r\n\x9b31mready\r\n"`)
	command("talk")
	p.records(log, 20)
	j := p.endsWhole(log, "signal")
	if j.state.Rejected < 3 {
		t.Errorf("%d lines rejected", j.state.Rejected)
	}
	for _, s := range samples(log) {
		if !fed(s) {
			t.Errorf("a sample that was never sent: %+v", s.Sample)
		}
	}
	noEscape(t, "the plain lines", p.text())
}

// fed reports whether the feeder prints such a line.
func fed(r holdlog.Record) bool {
	for n := range 10 {
		if fmt.Sprintf("%.3f", r.Sample.Pressure/1e5) == fmt.Sprintf("%.3f", 20+float64(n)/1000) {
			return fmt.Sprintf("%.2f", r.Sample.Ambient.Celsius()) == "21.50"
		}
	}
	return false
}

func noEscape(t *testing.T, where, text string) {
	t.Helper()
	for _, c := range text {
		if c < ' ' && c != '\n' && c != '\t' || 0x7f <= c && c < 0xa0 {
			t.Errorf("%s: a control character %U", where, c)
			return
		}
	}
}

// Long: the three kinds of damage at every byte of a line.
func TestHalfLinesAndGarbageAtEveryByteGiveNoFalseValue(t *testing.T) {
	t.Parallel()
	link, command := feeder(t)
	command("mute")
	a, book := lineGauge(t, link)
	if err := a.Open(t.Context()); err != nil {
		t.Fatal(err)
	}
	ctx, cancel := context.WithCancel(t.Context())
	done := make(chan error, 1)
	go func() { done <- a.Run(ctx) }()
	say := func(text string) { command("say " + strconv.Quote(text)) }
	isReject := func(r holdlog.Record) bool { return r.Kind == holdlog.KindReject }

	const whole = "19.500,22.25\r\n"
	say("\r\n" + whole)
	book.await(t, "sample", 1, isSample)
	text := len(whole) - 2
	for i := range text {
		n := book.count(isSample)
		say(whole[:i])
		time.Sleep(20 * time.Millisecond)
		say(whole[i:])
		book.await(t, "line in two halves", n+1, isSample)
	}
	good := book.count(isSample)
	for i := 1; i < text; i++ {
		say(whole[:i] + "\xff\x1b[7m" + whole[i:]) // garbage in the middle
	}
	for i := 3; i < text; i++ {
		say(whole[:i] + whole) // the end of a line was lost
	}
	const intact = 2 // a pressure with nothing, or with bytes of no meaning, behind its comma
	say("19.500,\r\n" + "19.500,22.25,\x00\x00\r\n")
	say("19.500\r\n" + ",22.25\r\n" + "1e308,22.25\r\n" + "-1,22.25\r\n" + "NaN,22.25\r\n")
	say(whole)
	book.await(t, "whole line after all that", good+intact+1, isSample)
	cancel()
	if err := <-done; err != nil {
		t.Error(err)
	}
	if n := book.count(isSample); n != good+intact+1 {
		t.Errorf("%d samples of damaged lines", n-good-intact-1)
	}
	if book.count(isReject) == 0 {
		t.Error("nothing was rejected")
	}
	for _, r := range book.records {
		if isSample(r) && (fmt.Sprintf("%.3f", r.Sample.Pressure/1e5) != "19.500" || fmt.Sprintf("%.2f", r.Sample.Ambient.Celsius()) != "22.25") {
			t.Errorf("a false value: %+v", r.Sample)
		}
	}
}

func TestTwoProgramsOnOnePortOrOneLog(t *testing.T) {
	t.Parallel()
	link, _ := feeder(t)
	log := filepath.Join(t.TempDir(), "hold.jsonl")
	p := plain(t, lineHold(link, log)...)
	p.records(log, 20)
	for _, args := range [][]string{
		lineHold(link, log+".2"),
		{"hold", "--plain", "--continue", log},
	} {
		q := plain(t, args...)
		if code := q.exit(10 * time.Second); code != exitIO {
			t.Errorf("the second ends with %d", code)
		}
		<-q.read
		if !strings.Contains(q.text(), "in use") && !strings.Contains(q.text(), "another") {
			t.Errorf("the second says\n%s", q.text())
		}
	}
	p.records(log, 20)
	if j := p.endsWhole(log, "signal"); j.state.Rejected != 0 || len(j.state.Events) != 1 {
		t.Errorf("the first was disturbed: %+v", j.state.Events)
	}
}

func TestAClosedTerminalEndsTheHoldWithAWholeLog(t *testing.T) {
	t.Parallel()
	log := filepath.Join(t.TempDir(), "hold.jsonl")
	p := screen(t, true, "hold", "--device", "sim", "--log", log)
	p.until("it records", func() bool { return len(samples(log)) > 1 })
	p.tty.Close() // the kernel hangs up
	if code := p.exit(4 * time.Second); code != 129 {
		t.Errorf("exit code %d", code)
	}
	if got := reduce(t, log).integrity; got.State() != holdlog.Whole || got.Checked != got.Lines {
		t.Errorf("the log is %s", got)
	}
	if got := happened(t, log); len(got) == 0 || got[len(got)-1] != "signal" {
		t.Errorf("events %v", got)
	}
}

func TestAStoppedProgramMarksTheTimeItDidNotRun(t *testing.T) {
	t.Parallel()
	link, command := feeder(t)
	command("every 500ms")
	log := filepath.Join(t.TempDir(), "hold.jsonl")
	p := plain(t, lineHold(link, log)...)
	p.records(log, 6)
	p.signal(syscall.SIGSTOP)
	time.Sleep(7 * time.Second)
	p.signal(syscall.SIGCONT)
	p.await("gap: asleep")
	p.records(log, 4)
	p.endsWhole(log, "suspend", "signal")
}

func TestALogThatIsRemovedOrMadeReadOnlyIsWholeAtTheEnd(t *testing.T) {
	t.Parallel()
	for name, fault := range map[string]func(string) error{
		"removed":   os.Remove,
		"moved":     func(log string) error { return os.Rename(log, log+".moved") },
		"read-only": func(log string) error { return os.Chmod(log, 0o444) },
	} {
		log := filepath.Join(t.TempDir(), "hold.jsonl")
		p := plain(t, "hold", "--plain", "--device", "sim", "--sim-speed", "10", "--log", log)
		p.until("it records", func() bool { return len(samples(log)) > 10 })
		before := len(samples(log))
		if err := fault(log); err != nil {
			t.Fatal(err)
		}
		events := []string{"signal"}
		if name != "read-only" {
			p.await("written anew at its place")
			events = []string{"write_error", "write_error", "signal"}
		}
		p.until(name+": it records on", func() bool { return len(samples(log)) > before+30 })
		p.endsWhole(log, events...)
		for i, s := range samples(log) {
			if int(s.Elapsed+0.5) != i {
				t.Fatalf("%s: sample %d is of %v s", name, i, s.Elapsed)
			}
		}
	}
}

// smallDisk mounts a disk of its own and gives its folder and a way to make it
// read-only under whoever writes on it, as the kernel does after an error.
func smallDisk(t *testing.T) (dir string, readOnly func()) {
	t.Helper()
	if os.Geteuid() != 0 {
		t.Skip("a disk of its own needs root")
	}
	image := filepath.Join(t.TempDir(), "image")
	writeFile(t, filepath.Dir(image), filepath.Base(image), "")
	if err := os.Truncate(image, 8<<20); err != nil {
		t.Fatal(err)
	}
	dir = t.TempDir()
	for _, command := range [][]string{{"mkfs.ext4", "-q", "-F", image}, {"mount", "-o", "loop", image, dir}} {
		if out, err := exec.Command(command[0], command[1:]...).CombinedOutput(); err != nil {
			t.Skipf("no disk of its own here: %v: %v %s", command, err, out)
		}
	}
	t.Cleanup(func() { exec.Command("umount", "-l", dir).Run() })
	return dir, func() {
		// What it says is not asked: it says "busy" and does it all the same.
		_ = exec.Command("mount", "-o", "remount,abort", dir).Run()
	}
}

func TestADiskThatTurnsReadOnlyLosesNothing(t *testing.T) {
	t.Parallel()
	dir, readOnly := smallDisk(t)
	log := filepath.Join(dir, "hold.jsonl")
	p := plain(t, "hold", "--plain", "--device", "sim", "--sim-speed", "10", "--log", log)
	p.until("it records", func() bool { return len(samples(log)) > 10 })
	readOnly()
	p.await("read-only file system")
	written := len(samples(log))
	p.await("the log goes on in ")
	_, moved, _ := strings.Cut(p.text(), "the log goes on in ")
	moved, _, _ = strings.Cut(moved, "\n")
	p.records(moved, 30)
	p.endsWhole(moved, "write_error", "write_error", "signal")
	if !strings.Contains(p.text(), "the record is "+moved) {
		t.Errorf("in the end it does not say where the record is:\n%s", p.text())
	}
	all := samples(moved)
	if len(samples(log)) != written || len(all) < written+30 {
		t.Errorf("%d samples on the disk that refuses, %d in all", written, len(all))
	}
	for i, s := range all {
		if int(s.Elapsed+0.5) != i {
			t.Fatalf("sample %d is of %v s", i, s.Elapsed)
		}
	}
}

// A gauge whose number stands still says nothing of the gas any more. It takes more than a minute until
// that is certain, and some before it to know the gauge's noise: too long for every run.
func TestAGaugeThatStandsStillIsNoProof(t *testing.T) {
	t.Parallel()
	if os.Getenv("HOLDFAST_LONG") == "" {
		t.Skip("takes two minutes; set HOLDFAST_LONG=1")
	}
	link, command := feeder(t)
	log := filepath.Join(t.TempDir(), "hold.jsonl")
	p := plain(t, lineHold(link, log, "--for", "10m")...)
	recorded := func(until float64) {
		t.Helper()
		p.until(fmt.Sprintf("it has recorded %.0f s", until), func() bool { s := samples(log); return len(s) > 0 && s[len(s)-1].Elapsed > until })
	}
	recorded(25)
	command("freeze")
	for _, at := range []float64{70, 120} { // a wait is given up after a minute
		recorded(at)
	}
	j := p.endsWhole(log, "signal")
	if w := fmt.Sprint(j.state.Verdict.Warnings); !strings.Contains(w, "stood perfectly still") || j.state.Verdict.Word != "unproven" {
		t.Errorf("%s; the warnings are %s", j.state.Verdict.Word, w)
	}
}

func TestATransmitterOnABusUnpluggedIsFoundAgainUnderItsLink(t *testing.T) {
	t.Parallel()
	line := peertest.NewLine(t)
	peertest.Libmodbus(t, line.Far, "1")
	log := filepath.Join(t.TempDir(), "hold.jsonl")
	p := plain(t, "hold", "--plain", "--every", "1s", "--device", "modbus", "--port", line.Near,
		"--fields", "holding:0:float32=pressure_bar_abs", "--interval", "100ms", "--limit", "1%/h", "--log", log)
	p.records(log, 10)
	before, err := os.Readlink(line.Near)
	if err != nil {
		t.Fatal(err)
	}
	line.Pull()
	p.await("lost modbus")
	line.Plug()
	if now, err := os.Readlink(line.Near); err != nil || now == before {
		t.Errorf("it is %s again, %v", now, err)
	}
	p.await("modbus is back")
	p.records(log, 10)
	p.endsWhole(log, "lost", "back", "signal")
	for _, s := range samples(log) {
		if math.Abs(s.Sample.Pressure-1012345.6) > 0.1 {
			t.Errorf("a pressure of %v Pa", s.Sample.Pressure)
		}
	}
}

// Long: one log, killed and gone on with again and again.
func TestKilledAtRandomMomentsNothingIsLostOrCutShort(t *testing.T) {
	t.Parallel()
	rounds := 10
	if n, err := strconv.Atoi(os.Getenv("HOLDFAST_KILLS")); err == nil {
		rounds = n
	}
	link, command := feeder(t)
	command("every 10ms")
	log := filepath.Join(t.TempDir(), "hold.jsonl")
	args := lineHold(link, log, "--for", "10h")
	random := rand.New(rand.NewPCG(1, 2))
	before, lateMost, fruitless := 0, time.Duration(0), 0
	for round := range rounds {
		p := plain(t, args...)
		time.Sleep(time.Duration(200+random.IntN(1000)) * time.Millisecond)
		killed := time.Now()
		p.signal(syscall.SIGKILL)
		p.exit(10 * time.Second)
		all := samples(log)
		switch {
		case len(all) < before:
			t.Fatalf("round %d: %d samples, %d before", round, len(all), before)
		case len(all) == before: // killed before its first reading
			fruitless++
		default:
			late := killed.Sub(time.UnixMilli(all[len(all)-1].Wall))
			lateMost = max(lateMost, late)
			if late > time.Second {
				t.Errorf("round %d: the last sample is %v old", round, late)
			}
		}
		for _, s := range all[before:] {
			if !fed(s) {
				t.Errorf("round %d: a sample that was never sent: %+v", round, s.Sample)
			}
		}
		if before = len(all); before > 0 || fileThere(log) {
			args = []string{"hold", "--plain", "--every", "1s", "--continue", log}
		}
	}
	p := plain(t, args...)
	p.until("it goes on", func() bool { return len(samples(log)) > before+10 })
	p.signal(syscall.SIGTERM)
	p.exit(5 * time.Second)
	j := reduce(t, log)
	if j.integrity.State() != holdlog.Continued || j.integrity.Damaged != 0 || j.integrity.Backwards != 0 {
		t.Errorf("the log is %s, %d lines damaged, %d backwards", j.integrity, j.integrity.Damaged, j.integrity.Backwards)
	}
	if fruitless > rounds/2 {
		t.Errorf("%d of %d were killed before their first reading", fruitless, rounds)
	}
	t.Logf("%d kills, %d before the first reading; %d samples; at most %v lost", rounds, fruitless, len(samples(log)), lateMost)
}

func fileThere(path string) bool {
	_, err := os.Stat(path)
	return err == nil
}

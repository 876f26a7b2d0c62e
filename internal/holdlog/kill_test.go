package holdlog

import (
	"bufio"
	"fmt"
	"os"
	"os/exec"
	"strconv"
	"strings"
	"testing"
	"time"
)

const childEnv = "HOLDLOG_TEST_CHILD"

func TestMain(m *testing.M) {
	if path := os.Getenv(childEnv); path != "" {
		err := writeForEver(path)
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
	os.Exit(m.Run())
}

// writeForEver goes on with a log until it is killed, saying each sample that Append took.
func writeForEver(path string) error {
	w, res, err := Continue(path, time.Now())
	if err != nil {
		return err
	}
	for i := res.Samples; ; i++ {
		r := testSample(i)
		r.Sample.Raw = strings.Repeat("x", i%300)
		if err := w.Append(r); err != nil {
			return err
		}
		fmt.Println(i)
	}
}

// The same log is killed ten times while it is written: every sample that was
// taken is there, once and in order.
func TestKillNineLosesNothingThatWasTaken(t *testing.T) {
	w, path := newLog(t, 0)
	closeLog(t, w)
	taken := -1
	for round := range 10 {
		taken = runAndKill(t, path, time.Duration(10+round*7)*time.Millisecond)
	}
	w, res, err := Continue(path, time.Now())
	if err != nil {
		t.Fatal(err)
	}
	closeLog(t, w)
	if taken < 100 || res.Samples <= taken {
		t.Fatalf("sample %d was taken, the log has %d", taken, res.Samples)
	}
	records, integrity := readLog(t, path)
	for i := range records {
		records[i].Sample.Raw = ""
	}
	onlySamples(t, records, res.Samples)
	if integrity.State() != Continued || integrity.Damaged != 0 {
		t.Error(integrity)
	}
	t.Logf("%d samples in 10 runs", res.Samples)
}

// runAndKill lets a child write for a while after its first sample and gives the last one it said was taken.
func runAndKill(t *testing.T, path string, after time.Duration) int {
	t.Helper()
	cmd := exec.Command(os.Args[0])
	cmd.Env = append(os.Environ(), childEnv+"="+path)
	out, err := cmd.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	taken, killer := -1, (*time.Timer)(nil)
	child := bufio.NewScanner(out)
	for child.Scan() { // until it is killed
		if taken, err = strconv.Atoi(child.Text()); err != nil {
			t.Fatal(err)
		}
		if killer == nil {
			killer = time.AfterFunc(after, func() { _ = cmd.Process.Kill() })
		}
	}
	if killer == nil {
		t.Fatal("the child wrote nothing")
	}
	_ = cmd.Wait()
	return taken
}

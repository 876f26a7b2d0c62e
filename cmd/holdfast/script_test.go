package main

import (
	"errors"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"github.com/rogpeppe/go-internal/testscript"
)

// TestMain makes this binary the program under test as well: run under the name
// holdfast it is holdfast, for the scripts and for every test that needs a process of it.
func TestMain(m *testing.M) {
	for _, v := range os.Environ() {
		if strings.HasPrefix(v, "HOLDFAST_TEST_") { // a child process of a test, perhaps one without the rights to read this binary
			os.Exit(m.Run())
		}
	}
	testscript.Main(m, map[string]func(){"holdfast": main})
}

// TestScripts runs the program as a user gets it: with the race detector the
// scripts would take ten times as long and find nothing, as each command is over at once.
func TestScripts(t *testing.T) {
	bin := t.TempDir()
	if err := os.Rename(buildProgram(t), filepath.Join(bin, "holdfast")); err != nil {
		t.Fatal(err)
	}
	testscript.Run(t, testscript.Params{
		Dir: "testdata/script",
		Setup: func(e *testscript.Env) error {
			e.Setenv("HOLDS", absolute(t, "../../testdata/holds"))
			e.Setenv("JOB", absolute(t, "../../testdata/job"))
			e.Setenv("HOLDFAST_HOME", e.WorkDir+"/home")
			e.Setenv("PATH", bin+string(os.PathListSeparator)+e.Getenv("PATH"))
			return nil
		},
		Cmds: map[string]func(*testscript.TestScript, bool, []string){"exits": exits, "complains": complains},
	})
}

// exits N command...: it ends with this exit code.
func exits(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) < 2 {
		ts.Fatalf("usage: exits code command...")
	}
	err := ts.Exec(args[1], args[2:]...)
	code := 0
	var ended *exec.ExitError
	if errors.As(err, &ended) {
		code = ended.ExitCode()
	} else if err != nil {
		ts.Fatalf("%v", err)
	}
	if args[0] != strconv.Itoa(code) {
		ts.Fatalf("exit code %d, want %s", code, args[0])
	}
}

// complains: the last command said nothing as data, one line that says what is
// wrong and one that says what to do.
func complains(ts *testscript.TestScript, neg bool, args []string) {
	if out := ts.ReadFile("stdout"); out != "" {
		ts.Fatalf("data beside the complaint: %q", out)
	}
	said := ts.ReadFile("stderr")
	lines := strings.Split(strings.TrimSuffix(said, "\n"), "\n")
	if len(lines) != 2 || !strings.HasPrefix(lines[0], "holdfast: ") || !strings.HasPrefix(lines[1], "  ") || len(strings.TrimSpace(lines[1])) < 10 {
		ts.Fatalf("not one line and a hint:\n%s", said)
	}
	if strings.Contains(said, "goroutine") || strings.Contains(said, "%!") {
		ts.Fatalf("a program's insides:\n%s", said)
	}
}

func absolute(t *testing.T, path string) string {
	t.Helper()
	dir, err := os.Getwd()
	if err != nil {
		t.Fatal(err)
	}
	return dir + "/" + path
}

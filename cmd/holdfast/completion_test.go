package main

import (
	"bytes"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"
)

// output runs the program within the test.
func output(t *testing.T, args ...string) string {
	t.Helper()
	var out, talk bytes.Buffer
	if code := run(args, func(string) string { return "" }, strings.NewReader(""), &out, &talk); code != 0 {
		t.Fatalf("holdfast %s: exit %d: %s", strings.Join(args, " "), code, talk.String())
	}
	return out.String()
}

// ask has a shell run a script that ends with the words it offers.
func ask(t *testing.T, shell, script string) []string {
	t.Helper()
	if _, err := exec.LookPath(shell); err != nil {
		if os.Getenv("HOLDFAST_CI") != "" {
			t.Fatalf("no %s: .ci/run must install it", shell)
		}
		t.Skipf("no %s on this machine", shell)
	}
	file := filepath.Join(t.TempDir(), "script")
	if err := os.WriteFile(file, []byte(script), 0o600); err != nil {
		t.Fatal(err)
	}
	out, err := exec.CommandContext(t.Context(), shell, file).CombinedOutput()
	if err != nil {
		t.Fatalf("%v: %s", err, out)
	}
	var words []string
	for line := range strings.Lines(string(out)) {
		word, _, _ := strings.Cut(strings.TrimSpace(line), "\t")
		words = append(words, word)
	}
	return words
}

func TestBashOffersCommandsAndTheirFlags(t *testing.T) {
	for _, c := range []struct{ typed, want, not string }{
		{"holdfast ju", "judge", "--json"},
		{"holdfast devices li", "list", "judge"},
		{"holdfast judge --js", "--json", "judge"},
		{"holdfast simulate --s", "--seed", "--json"},
	} {
		typed := strings.Fields(c.typed)
		got := ask(t, "bash", output(t, "completion", "bash")+
			"COMP_WORDS=("+c.typed+")\nCOMP_CWORD="+string(rune('0'+len(typed)-1))+"\n_holdfast\nprintf '%s\\n' \"${COMPREPLY[@]}\"\n")
		if !slices.Contains(got, c.want) || slices.Contains(got, c.not) {
			t.Errorf("%q: %q", c.typed, got)
		}
	}
}

func TestFishOffersCommandsAndTheirFlags(t *testing.T) {
	for typed, want := range map[string]string{"holdfast ju": "judge", "holdfast judge --js": "--json", "holdfast devices li": "list"} {
		got := ask(t, "fish", output(t, "completion", "fish")+"complete -C '"+typed+"'\n")
		if !slices.Contains(got, want) {
			t.Errorf("%q: %q", typed, got)
		}
	}
}

// TestZshOffersCommandsAndTheirFlags has its own _describe, which prints what it is given.
func TestZshOffersCommandsAndTheirFlags(t *testing.T) {
	for _, c := range []struct{ typed, prefix, want string }{
		{"holdfast", "", "judge"}, {"holdfast judge", "--js", "--json"}, {"holdfast devices", "", "list"},
	} {
		got := ask(t, "zsh", "compdef() { : }; _files() { : }\n_describe() { printf '%s\\n' \"${(@P)2%%:*}\" }\n"+output(t, "completion", "zsh")+
			"words=("+c.typed+" x); CURRENT=${#words}; PREFIX='"+c.prefix+"'\n_holdfast\n")
		if !slices.Contains(got, c.want) {
			t.Errorf("%q: %q", c.typed, got)
		}
	}
}

func TestTheManualPageHasEveryCommandAndFlag(t *testing.T) {
	page := output(t, "man")
	parser, err := (&app{out: &bytes.Buffer{}, err: &bytes.Buffer{}}).parser(&commands{})
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range allWords(parser.Model.Node, "")[1:] {
		if len(c.subs) > 0 {
			continue
		}
		if !strings.Contains(page, ".SS holdfast "+roff(c.path)) {
			t.Errorf("no section for %q", c.path)
		}
		for _, f := range c.flags {
			if f.Name != "help" && f.Name != "version" && !strings.Contains(page, roff("--"+f.Name)) {
				t.Errorf("%q lacks --%s", c.path, f.Name)
			}
		}
	}
	if _, err := exec.LookPath("groff"); err != nil {
		t.Skip("no groff to read it with")
	}
	cmd := exec.CommandContext(t.Context(), "groff", "-man", "-Tutf8", "-ww", "-z")
	cmd.Stdin = strings.NewReader(page)
	if said, err := cmd.CombinedOutput(); err != nil || len(said) > 0 {
		t.Errorf("groff: %v %s", err, said)
	}
}

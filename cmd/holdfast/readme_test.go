package main

import (
	"context"
	"errors"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"
	"time"

	"example.org/holdfast/internal/profile"
)

// shown is one command in the README and what stands below it.
type shown struct {
	line int
	args []string // without the name of the program
	exit int      // from "# exit N"
	want []string // lines of output; "..." stands for any number of them
	run  bool     // in a fence marked "console run"
}

// inline finds a command within a sentence.
var inline = regexp.MustCompile("`holdfast ([a-z][^`]*)`")

// readme gives the commands and the TOML examples of a text in Markdown.
func readme(text string) (commands []shown, profiles []string) {
	fence, toml := "", ""
	lines := strings.Split(text, "\n")
	for i := 0; i < len(lines); i++ {
		line := lines[i]
		switch {
		case strings.HasPrefix(line, "```") && fence == "":
			fence = strings.TrimPrefix(line, "```")
		case strings.HasPrefix(line, "```"):
			if fence == "toml" {
				profiles = append(profiles, toml)
			}
			fence, toml = "", ""
		case fence == "toml":
			toml += line + "\n"
		case fence == "":
			for _, m := range inline.FindAllStringSubmatch(line, -1) {
				commands = append(commands, shown{line: i + 1, args: words(m[1])})
			}
		case !strings.HasPrefix(fence, "console"):
		case strings.HasPrefix(line, "$ holdfast ") || strings.HasPrefix(line, "go run ./cmd/holdfast "):
			c := shown{line: i + 1, run: fence == "console run"}
			for strings.HasSuffix(line, `\`) {
				i++
				line = strings.TrimSuffix(line, `\`) + lines[i]
			}
			command, comment, _ := strings.Cut(line, "  # ")
			if code, ok := strings.CutPrefix(comment, "exit "); ok {
				c.exit, _ = strconv.Atoi(code) // a comment that is no number is none of ours
			}
			_, command, _ = strings.Cut(command, "holdfast ")
			c.args = words(command)
			commands = append(commands, c)
		case fence == "console run" && len(commands) > 0:
			last := &commands[len(commands)-1]
			last.want = append(last.want, line)
		}
	}
	return commands, profiles
}

// words splits a command line as a shell does, as far as the README needs it: blanks and double quotes.
func words(line string) (out []string) {
	for i, part := range strings.Split(line, `"`) {
		if i%2 == 1 {
			out = append(out, part)
			continue
		}
		out = append(out, strings.Fields(part)...)
	}
	return out
}

func TestReadmeCommandsDoWhatIsShown(t *testing.T) {
	text, err := os.ReadFile(filepath.Join("..", "..", "README.md"))
	if err != nil {
		t.Fatal(err)
	}
	commands, profiles := readme(string(text))
	ran := 0
	var program, dir string
	for _, c := range commands {
		a := &app{getenv: func(string) string { return "" }, in: strings.NewReader(""), out: io.Discard, err: io.Discard, now: time.Now}
		if _, _, err := a.parse(c.args); err != nil {
			t.Errorf("README.md:%d: holdfast %s: %v", c.line, strings.Join(c.args, " "), err)
			continue
		}
		if !c.run {
			continue
		}
		if program == "" {
			program, dir = buildProgram(t), t.TempDir()
			if err := os.CopyFS(dir, os.DirFS(filepath.Join("..", "..", "testdata", "job"))); err != nil { // the README says when it works in a copy of it
				t.Fatal(err)
			}
		}
		ran++
		code, out := runProgram(t, program, dir, c.args)
		if code != c.exit {
			t.Errorf("README.md:%d: exit code %d, shown %d; it says\n%s", c.line, code, c.exit, beginning(out))
		}
		if !like(linesOf(out), c.want) {
			t.Errorf("README.md:%d: shows\n%s\nbut holdfast %s says\n%s", c.line, strings.Join(c.want, "\n"), strings.Join(c.args, " "), beginning(out))
		}
	}
	if ran == 0 || len(profiles) == 0 {
		t.Errorf("found %d commands to run and %d profiles: has the README changed its fences?", ran, len(profiles))
	}
	for _, p := range profiles {
		if _, err := profile.Parse(p); err != nil {
			t.Errorf("profile in README.md: %v\n%s", err, p)
		}
	}
}

// buildProgram builds holdfast as a user would get it.
func buildProgram(t testing.TB) string {
	t.Helper()
	program := filepath.Join(t.TempDir(), "holdfast.exe") // a name that every system runs
	if out, err := exec.Command("go", "build", "-o", program, ".").CombinedOutput(); err != nil {
		t.Fatalf("go build: %v\n%s", err, out)
	}
	return program
}

// runProgram runs it and gives its exit code with what it said, data and talk together as on a terminal.
func runProgram(t *testing.T, program, dir string, args []string) (int, string) {
	t.Helper()
	ctx, cancel := context.WithTimeout(t.Context(), time.Minute)
	defer cancel()
	cmd := exec.CommandContext(ctx, program, args...)
	cmd.Dir = dir
	out, err := cmd.CombinedOutput()
	var ended *exec.ExitError
	if err != nil && !errors.As(err, &ended) {
		t.Fatalf("holdfast %s: %v", strings.Join(args, " "), err)
	}
	return cmd.ProcessState.ExitCode(), string(out)
}

// linesOf gives the lines of a text, none of an empty one.
func linesOf(text string) []string {
	text = strings.TrimRight(strings.ReplaceAll(text, "\r\n", "\n"), "\n")
	if text == "" {
		return nil
	}
	return strings.Split(text, "\n")
}

// beginning gives enough of an output to see what is wrong.
func beginning(out string) string {
	lines := linesOf(out)
	return strings.Join(lines[:min(len(lines), 12)], "\n")
}

// number finds the figures, which a better engine may change: the README is held to the words.
var number = regexp.MustCompile(`\d+(\.\d+)?(e[+-]?\d+)?`)

// like reports whether output reads as shown, "..." standing for any number of lines.
func like(out, want []string) bool {
	switch {
	case len(want) == 0:
		return len(out) == 0
	case want[0] == "...":
		for i := range len(out) + 1 {
			if like(out[i:], want[1:]) {
				return true
			}
		}
		return false
	}
	return len(out) > 0 && number.ReplaceAllString(out[0], "#") == number.ReplaceAllString(want[0], "#") && like(out[1:], want[1:])
}

func TestReadmeTestNoticesADifference(t *testing.T) {
	commands, profiles := readme("```console run\n$ holdfast judge \"a b.csv\" \\\n  --json  # exit 3\nUNPROVEN, 12 g/yr\n...\n```\n```toml\ndriver = \"x\"\n```\n")
	if len(commands) != 1 || len(profiles) != 1 {
		t.Fatalf("%d commands, %d profiles", len(commands), len(profiles))
	}
	c := commands[0]
	if got := strings.Join(c.args, "|"); got != "judge|a b.csv|--json" || c.exit != 3 || !c.run {
		t.Errorf("read %+v", c)
	}
	for out, want := range map[string]bool{
		"UNPROVEN, 12.5 g/yr":            true,
		"UNPROVEN, 1e-3 g/yr\nmore\nyet": true,
		"TIGHT, 12 g/yr":                 false,
		"note\nUNPROVEN, 12 g/yr":        false,
		"":                               false,
	} {
		if like(linesOf(out), c.want) != want {
			t.Errorf("%q fits %q: want %v", out, c.want, want)
		}
	}
	if like([]string{"one", "two"}, []string{"one"}) || like([]string{"one"}, nil) {
		t.Error("more output than shown was accepted")
	}
}

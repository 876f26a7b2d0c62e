// Package tuitest is what the tests of the screens share: the rules that every
// frame keeps at any size, and the comparison with frames that a person has
// looked at. It knows no screen and opens nothing but testdata.
package tuitest

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"example.org/holdfast/internal/tui/ui"
)

// Foreign are the letters that tests put into texts from outside; they may be on a screen even where it draws in ASCII.
const Foreign = "zażółć漢字"

// Fits wants a frame for w by h cells to have no more lines and none wider, no
// byte that would reach the terminal as a command, and what the look forbids nowhere.
func Fits(t testing.TB, what, frame string, w, h int, look ui.Look) {
	t.Helper()
	lines := strings.Split(frame, "\n")
	if len(lines) > h {
		t.Fatalf("%s: %d lines for %d rows", what, len(lines), h)
	}
	for i, l := range lines {
		switch {
		case ui.Width(l) > w:
			t.Fatalf("%s: line %d is %d cells wide: %q", what, i, ui.Width(l), l)
		case look.ASCII && strings.ContainsFunc(l, func(r rune) bool { return r > 126 && !strings.ContainsRune(Foreign, r) }):
			t.Fatalf("%s: not ASCII: %q", what, l)
		case look.NoColor && strings.Contains(l, "\x1b"):
			t.Fatalf("%s: escape sequence without colour: %q", what, l)
		case strings.ContainsAny(l, "\x07\x00\r\u202e") || strings.Contains(l, "\x1b]") || strings.Contains(l, "\x1b[2J"):
			t.Fatalf("%s: control bytes from outside reach the screen: %q", what, l)
		}
	}
}

// Golden compares a frame with the one in testdata that was looked at, or writes it there anew.
func Golden(t testing.TB, update bool, name, frame string) {
	t.Helper()
	file := filepath.Join("testdata", name+".txt")
	got := frame + "\n"
	if update {
		if err := os.MkdirAll("testdata", 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(file, []byte(got), 0o644); err != nil {
			t.Fatal(err)
		}
		return
	}
	want, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	if got == string(want) {
		return
	}
	i := 0
	for i < len(got) && i < len(want) && got[i] == want[i] {
		i++
	}
	t.Errorf("%s differs from byte %d on:\ngot  %q\nwant %q", name, i, got[i:min(i+80, len(got))], want[i:min(i+80, len(want))])
}

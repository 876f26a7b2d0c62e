package main

import (
	"os"
	"path/filepath"
	"runtime"
	"strings"

	"github.com/adrg/xdg"

	"example.org/holdfast/internal/tui"
	"example.org/holdfast/internal/tui/ui"
)

// fullScreen reports whether there is a terminal that can show the screen and a keyboard to leave it.
func (a *app) fullScreen() bool {
	return a.getenv("TERM") != "dumb" && tui.IsTerminal(a.in) && tui.IsTerminal(a.out)
}

// width is that of the terminal that lines are written to, in cells; 0 = they go into a pipe or a file, where each stays whole.
func (a *app) width() int { return tui.Width(a.out) }

// look is what the terminal can show. A terminal that says nothing of its
// character set is taken to know UTF-8, as nearly all do.
func (a *app) look(ascii bool) ui.Look {
	locale := a.getenv("LC_ALL")
	for _, name := range []string{"LC_CTYPE", "LANG"} {
		if locale == "" {
			locale = a.getenv(name)
		}
	}
	term := a.getenv("TERM")
	utf8 := locale == "" || strings.Contains(strings.ReplaceAll(strings.ToUpper(locale), "-", ""), "UTF8")
	return ui.Look{
		ASCII:   ascii || term == "linux" || strings.HasPrefix(term, "vt") || !utf8 && runtime.GOOS != "windows",
		NoColor: a.getenv("NO_COLOR") != "" || a.getenv("CLICOLOR") == "0",
	}
}

// holdsFolder is where logs go that were not given a name: the person's data
// folder, or HOLDFAST_HOME.
func (a *app) holdsFolder() string {
	if home := a.getenv("HOLDFAST_HOME"); home != "" {
		return filepath.Join(home, "holds")
	}
	return filepath.Join(xdg.DataHome, "holdfast", "holds")
}

// newLogPath is a dated name that no file has yet.
func (a *app) newLogPath(section string) (string, error) {
	folder := a.holdsFolder()
	if err := os.MkdirAll(folder, 0o755); err != nil {
		return "", err
	}
	base := filepath.Join(folder, a.now().Format("2006-01-02T150405"))
	if s := fileName(section); s != "" {
		base += "_" + s
	}
	path := base + ".jsonl"
	for n := 'b'; exists(path) && n <= 'z'; n++ {
		path = base + string(n) + ".jsonl"
	}
	return path, nil
}

// elsewhere names where the log at path may go on when its disk takes no more.
func (a *app) elsewhere(path string) (names []string) {
	name := a.now().Format("2006-01-02T150405") + "_moved_" + filepath.Base(path)
	for _, folder := range []string{a.holdsFolder(), os.TempDir()} {
		names = append(names, filepath.Join(folder, name))
	}
	return names
}

func exists(path string) bool {
	_, err := os.Lstat(path)
	return err == nil
}

// fileName makes words fit for the name of a file on every system.
func fileName(s string) string {
	s = strings.Map(func(r rune) rune {
		switch {
		case r >= 'a' && r <= 'z', r >= '0' && r <= '9':
			return r
		case r >= 'A' && r <= 'Z':
			return r + 'a' - 'A'
		}
		return '-'
	}, s)
	for strings.Contains(s, "--") {
		s = strings.ReplaceAll(s, "--", "-")
	}
	return strings.Trim(s[:min(len(s), 40)], "-")
}

package main

import (
	"fmt"
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
)

const module = "example.org/holdfast/"

// row is what one package may import of the project itself. A row that ends in
// "/" stands for every package under that folder.
type row struct {
	pkg  string
	may  []string
	pure bool // computes only: no files, no network, no clock
}

// ownImports is the map of the project. DEVELOPERS.md says the same in words;
// change both in the commit that changes the code.
func ownImports() []row {
	return []row{
		{pkg: "internal/units", pure: true},
		{pkg: "refdata", may: []string{"internal/units"}, pure: true},
		{pkg: "internal/gas", may: []string{"internal/units", "refdata"}, pure: true},
		{pkg: "internal/decay", may: []string{"internal/units"}, pure: true},
		{pkg: "internal/verdict", may: []string{"internal/decay", "internal/units", "refdata"}, pure: true},
		{pkg: "internal/hold", may: []string{"internal/decay", "internal/gas", "internal/holdlog", "internal/units", "internal/verdict", "refdata"}, pure: true},
		{pkg: "internal/plan", may: []string{"internal/decay", "internal/gas", "internal/units", "internal/verdict", "refdata"}, pure: true},
		{pkg: "internal/bench", may: []string{"internal/gas", "internal/units"}, pure: true},
		{pkg: "internal/holdlog", may: []string{"internal/units"}},
		{pkg: "internal/job", may: []string{"internal/decay", "internal/gas", "internal/hold", "internal/holdlog", "internal/units", "internal/verdict", "refdata"}},
		{pkg: "internal/report", may: []string{"internal/decay", "internal/gas", "internal/hold", "internal/holdlog", "internal/job", "internal/plan", "internal/units", "internal/verdict", "refdata"}, pure: true},
		{pkg: "internal/trial", may: []string{"drivers", "internal/units"}, pure: true},
		{pkg: "internal/profile", may: []string{"drivers", "internal/units"}},
		{pkg: "drivers", may: []string{"internal/units"}, pure: true},
		{pkg: "drivers/sim", may: []string{"drivers", "internal/bench", "internal/units"}},
		{pkg: "drivers/pipe", may: []string{"drivers", "drivers/line"}},
		{pkg: "drivers/", may: []string{"drivers", "internal/units"}},
		{pkg: "internal/acquire", may: []string{"drivers", "internal/holdlog", "internal/units"}},
		{pkg: "internal/tui", may: []string{"internal/tui/", "internal/hold", "internal/units"}},
		{pkg: "internal/tui/ui", may: []string{"internal/units", "refdata"}},
		{pkg: "internal/tui/", may: []string{"internal/tui/ui", "internal/hold", "internal/holdlog", "internal/units", "internal/verdict", "refdata"}},
		{pkg: "internal/serve", may: []string{"internal/hold", "internal/units"}},
		{pkg: "internal/boot"},
		{pkg: "cmd/holdfast", may: []string{"internal/", "drivers", "drivers/", "refdata"}},
	}
}

// foreignImports says which packages may import a module that is not ours, by
// the beginning of its path. The reasons for each stand in DEVELOPERS.md.
func foreignImports() map[string][]string {
	screen := []string{"internal/tui", "internal/tui/"}
	return map[string][]string{
		"go.bug.st/serial":                  {"cmd/holdfast"},
		"github.com/alecthomas/kong":        {"cmd/holdfast"},
		"github.com/adrg/xdg":               {"cmd/holdfast"},
		"github.com/charmbracelet/":         screen,
		"github.com/charmbracelet/x/term":   append([]string{"drivers/peertest"}, screen...),
		"github.com/creack/pty":             {"drivers/peertest"},
		"github.com/NimbleMarkets/":         screen,
		"github.com/muesli/termenv":         screen,
		"github.com/gofrs/flock":            {"internal/holdlog"},
		"github.com/BurntSushi/toml":        {"internal/job", "internal/profile"},
		"gonum.org/v1/gonum":                {"internal/decay"},
		"rsc.io/qr":                         {"internal/serve"},
		"golang.org/x/sys":                  {"cmd/holdfast", "internal/acquire", "internal/tui"},
		"github.com/charmbracelet/lipgloss": append([]string{"internal/boot"}, screen...), // boot answers its question before it is asked
	}
}

func TestPackagesImportOnlyWhatTheMapAllows(t *testing.T) {
	found, err := checkTree(os.DirFS(filepath.Join("..", "..")), ownImports(), foreignImports())
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range found {
		t.Error(f)
	}
}

// TestTheMapIsHeld breaks each rule once in a small tree and wants it found.
// Its length is the table.
func TestTheMapIsHeld(t *testing.T) {
	rows := []row{
		{pkg: "internal/pure", may: []string{"internal/low"}, pure: true},
		{pkg: "internal/low"},
		{pkg: "cmd/prog", may: []string{"internal/"}},
	}
	foreign := map[string][]string{"go.bug.st/serial": {"cmd/prog"}}
	clean := map[string]string{
		"internal/low/low.go":         "// Package low is low.\npackage low\n",
		"internal/pure/pure.go":       "// Package pure computes.\npackage pure\n\nimport _ \"" + module + "internal/low\"\n",
		"internal/pure/pure_test.go":  "package pure_test\n\nimport (\n\t_ \"os\"\n\t_ \"" + module + "cmd/prog\"\n)\n",
		"internal/pure/testdata/x.go": "package common\n",
		"cmd/prog/main.go":            "// Command prog runs.\npackage main\n\nimport _ \"go.bug.st/serial\"\n",
	}
	for _, c := range []struct{ name, file, text, want string }{
		{"clean", "", "", ""},
		{"upwards", "internal/low/b.go", "package low\n\nimport _ \"" + module + "internal/pure\"\n", "internal/low may not import internal/pure"},
		{"foreign", "internal/low/b.go", "package low\n\nimport _ \"go.bug.st/serial\"\n", "internal/low may not import go.bug.st/serial"},
		{"foreign beginning alike", "cmd/prog/b.go", "package main\n\nimport _ \"go.bug.st/serialized\"\n", "go.bug.st/serialized is not in the table"},
		{"unknown module", "cmd/prog/b.go", "package main\n\nimport _ \"example.com/new\"\n", "example.com/new is not in the table"},
		{"file access", "internal/pure/b.go", "package pure\n\nimport _ \"os\"\n", "computes only and may not import os"},
		{"clock", "internal/pure/b.go", "package pure\n\nimport \"time\"\n\nfunc f() any { return time.Now() }\n", "reads the clock with time.Now"},
		{"init", "internal/low/b.go", "package low\n\nfunc init() {}\n", "func init"},
		{"bad name", "internal/util/a.go", "// Package util is a heap.\npackage util\n", "says nothing"},
		{"not in the map", "internal/new/a.go", "// Package new is new.\npackage new\n", "internal/new has no row"},
		{"no doc", "internal/low/low.go", "package low\n", "internal/low has no doc comment"},
		{"doc of another name", "internal/low/low.go", "// Package high is low.\npackage low\n", "internal/low has no doc comment"},
		{"row without package", "internal/low/low.go", "", "no package for the row internal/low"},
	} {
		t.Run(c.name, func(t *testing.T) {
			dir := t.TempDir()
			for file, text := range clean {
				writeFile(t, dir, file, text)
			}
			switch {
			case c.file != "" && c.text != "":
				writeFile(t, dir, c.file, c.text)
			case c.file != "":
				if err := os.Remove(filepath.Join(dir, c.file)); err != nil {
					t.Fatal(err)
				}
			}
			found, err := checkTree(os.DirFS(dir), rows, foreign)
			if err != nil {
				t.Fatal(err)
			}
			all := strings.Join(found, "\n")
			if c.want == "" && all != "" || !strings.Contains(all, c.want) {
				t.Errorf("found %q, want %q", all, c.want)
			}
		})
	}
}

func writeFile(t *testing.T, dir, name, text string) {
	t.Helper()
	name = filepath.Join(dir, filepath.FromSlash(name))
	if err := os.MkdirAll(filepath.Dir(name), 0o755); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(name, []byte(text), 0o644); err != nil {
		t.Fatal(err)
	}
}

// tree is what is collected while walking.
type tree struct {
	rows    []row
	foreign map[string][]string
	found   []string
	doc     map[string]bool // packages met; true = a doc comment was met
}

// checkTree parses every Go file under root and says where it breaks a rule.
// Files of tests may import anything.
func checkTree(root fs.FS, rows []row, foreign map[string][]string) ([]string, error) {
	tr := &tree{rows: rows, foreign: foreign, doc: map[string]bool{}}
	err := fs.WalkDir(root, ".", func(name string, d fs.DirEntry, err error) error {
		switch {
		case err != nil:
			return err
		case d.IsDir() && name != "." && (strings.HasPrefix(d.Name(), ".") || d.Name() == "testdata"):
			return fs.SkipDir
		case d.IsDir() || path.Ext(name) != ".go":
			return nil
		}
		text, err := fs.ReadFile(root, name)
		if err != nil {
			return err
		}
		return tr.file(name, text)
	})
	if err != nil {
		return nil, err
	}
	for pkg, doc := range tr.doc {
		if !doc {
			tr.add("%s has no doc comment: say in a file of it what \"Package %s\" does and what it does not", pkg, path.Base(pkg))
		}
		if _, ok := tr.row(pkg); !ok {
			tr.add("%s has no row: add it to ownImports here and to the map in DEVELOPERS.md", pkg)
		}
	}
	for _, r := range rows {
		if _, ok := tr.doc[r.pkg]; !ok && !strings.HasSuffix(r.pkg, "/") {
			tr.add("no package for the row %s: take it out of ownImports and of the map in DEVELOPERS.md", r.pkg)
		}
	}
	slices.Sort(tr.found)
	return tr.found, nil
}

func (tr *tree) add(format string, args ...any) {
	tr.found = append(tr.found, fmt.Sprintf(format, args...))
}

// row gives the row of a package, its own before that of its folder.
func (tr *tree) row(pkg string) (row, bool) {
	if i := slices.IndexFunc(tr.rows, func(r row) bool { return r.pkg == pkg }); i >= 0 {
		return tr.rows[i], true
	}
	i := slices.IndexFunc(tr.rows, func(r row) bool { return strings.HasSuffix(r.pkg, "/") && strings.HasPrefix(pkg, r.pkg) })
	if i < 0 {
		return row{}, false
	}
	return tr.rows[i], true
}

func (tr *tree) file(name string, text []byte) error {
	f, err := parser.ParseFile(token.NewFileSet(), name, text, parser.ParseComments|parser.SkipObjectResolution)
	if err != nil {
		return err
	}
	pkg := path.Dir(name)
	for _, d := range f.Decls {
		if fn, ok := d.(*ast.FuncDecl); ok && fn.Recv == nil && fn.Name.Name == "init" && pkg != "internal/boot" {
			tr.add("%s: func init runs behind the reader's back: call it from where it is needed", name)
		}
	}
	if strings.HasSuffix(name, "_test.go") {
		return nil
	}
	if slices.Contains([]string{"common", "util", "utils", "helper", "helpers", "types", "misc"}, f.Name.Name) {
		tr.add("%s: a package named %q says nothing of what it does: name it for that", name, f.Name.Name)
	}
	begins := "Package " + f.Name.Name + " "
	if f.Name.Name == "main" {
		begins = "Command " + path.Base(pkg) + " "
	}
	tr.doc[pkg] = tr.doc[pkg] || strings.HasPrefix(f.Doc.Text(), begins)
	r, _ := tr.row(pkg)
	for _, spec := range f.Imports {
		imported, err := strconv.Unquote(spec.Path.Value)
		if err != nil {
			return err
		}
		tr.imported(name, pkg, r, imported)
	}
	if r.pure {
		tr.clock(name, f)
	}
	return nil
}

func (tr *tree) imported(name, pkg string, r row, imported string) {
	own, ours := strings.CutPrefix(imported, module)
	first, _, _ := strings.Cut(imported, "/")
	switch {
	case ours:
		if !matches(r.may, own) {
			tr.add("%s: %s may not import %s: it may import %s. Move the code to where both can reach it, or hand the value in", name, pkg, own, phrase(r.may))
		}
	case strings.Contains(first, "."):
		tr.module(name, pkg, imported)
	case r.pure && (slices.Contains([]string{"os", "net", "syscall", "log"}, first) || imported == "math/rand"):
		tr.add("%s: %s computes only and may not import %s: hand in what it needs", name, pkg, imported)
	}
}

// module checks the import of somebody else's package: the longest beginning in the table counts.
func (tr *tree) module(name, pkg, imported string) {
	best := ""
	for beginning := range tr.foreign {
		if len(beginning) > len(best) && (imported == beginning || strings.HasPrefix(imported, strings.TrimSuffix(beginning, "/")+"/")) {
			best = beginning
		}
	}
	switch {
	case best == "":
		tr.add("%s: %s is not in the table of modules: a new one needs a reason in DEVELOPERS.md and a line in foreignImports", name, imported)
	case !matches(tr.foreign[best], pkg):
		tr.add("%s: %s may not import %s: only %s may", name, pkg, imported, phrase(tr.foreign[best]))
	}
}

// clock finds calls that ask for the time of day or wait for it.
func (tr *tree) clock(name string, f *ast.File) {
	ast.Inspect(f, func(n ast.Node) bool {
		sel, ok := n.(*ast.SelectorExpr)
		if !ok {
			return true
		}
		x, ok := sel.X.(*ast.Ident)
		if ok && x.Name == "time" && slices.Contains([]string{"Now", "Since", "Until", "Sleep", "After", "Tick", "NewTimer", "NewTicker", "AfterFunc"}, sel.Sel.Name) {
			tr.add("%s: reads the clock with time.%s: take the time from the record instead", name, sel.Sel.Name)
		}
		return true
	})
}

// matches reports whether one of the entries is p, or a folder that holds it.
func matches(entries []string, p string) bool {
	return slices.ContainsFunc(entries, func(e string) bool {
		return e == p || strings.HasSuffix(e, "/") && strings.HasPrefix(p, e)
	})
}

func phrase(entries []string) string {
	if len(entries) == 0 {
		return "nothing of the project"
	}
	return strings.Join(entries, ", ")
}

package job

import (
	"fmt"
	"strings"
)

// place is where a key stands: which table of which kind ("" = before the first).
type place struct {
	table string
	n     int // from 0
	key   string
}

// outline knows the line of every key and table of a job file. Texts over
// several lines are not expected in one.
type outline struct {
	lines []string
	keys  map[place]int // from 0
	heads map[place]int // of [[table]]; key is ""
}

// scan makes the outline of a text.
func scan(text string) outline {
	o := outline{lines: strings.SplitAfter(text, "\n"), keys: map[place]int{}, heads: map[place]int{}}
	if last := len(o.lines) - 1; o.lines[last] == "" {
		o.lines = o.lines[:last]
	}
	count := map[string]int{}
	var at place
	for i, line := range o.lines {
		line = strings.TrimSpace(line)
		if name, ok := strings.CutPrefix(line, "[["); ok {
			name, _, _ = strings.Cut(name, "]]")
			name = strings.TrimSpace(name)
			at = place{table: name, n: count[name]}
			count[name]++
			o.heads[at] = i
			continue
		}
		key, _, found := strings.Cut(line, "=")
		if found && !strings.HasPrefix(line, "#") {
			at.key = strings.Trim(strings.TrimSpace(key), `"'`)
			o.keys[at] = i
			at.key = ""
		}
	}
	return o
}

// at puts the line of a key before an error: of the key, or else of its table.
func (o outline) at(p place, err error) error {
	line, ok := o.keys[p]
	if !ok {
		line, ok = o.heads[place{table: p.table, n: p.n}]
	}
	what := p.key
	if p.table != "" {
		what = strings.TrimSpace(p.table + " " + p.key)
	}
	if !ok {
		return fmt.Errorf("%s: %w", what, err)
	}
	return fmt.Errorf("line %d: %s: %w", line+1, what, err)
}

// first finds the first key of this name in any table of a kind.
func (o outline) first(table, key string) place {
	for n := range len(o.heads) + 1 {
		p := place{table, n, key}
		if _, ok := o.keys[p]; ok {
			return p
		}
	}
	return place{table: table, key: key}
}

package job

import (
	"errors"
	"fmt"
	"reflect"
	"strconv"
	"strings"
	"time"
)

// Value is one key of a table with what it shall be: a string, a bool, a
// time.Time or a []string. The zero value of each is left out.
type Value struct {
	Key   string
	Value any
}

// line writes the value as TOML; ok = there is something to write.
func (v Value) line() (string, bool) {
	switch x := v.Value.(type) {
	case string:
		return v.Key + " = " + quote(x), x != ""
	case bool:
		return v.Key + " = " + strconv.FormatBool(x), x
	case time.Time:
		return v.Key + " = " + x.Format(time.RFC3339), !x.IsZero()
	case []string:
		quoted := make([]string, len(x))
		for i, s := range x {
			quoted[i] = quote(s)
		}
		return v.Key + " = [" + strings.Join(quoted, ", ") + "]", len(x) > 0
	}
	panic(fmt.Sprintf("job: no way to write a %T", v.Value)) // a mistake of the program, met by its first test
}

// quote writes a basic string of TOML.
func quote(s string) string {
	var b strings.Builder
	b.WriteByte('"')
	for _, r := range strings.ToValidUTF8(s, "?") {
		switch {
		case r == '"' || r == '\\':
			b.WriteRune('\\')
			b.WriteRune(r)
		case r < ' ' || r == 0x7f:
			fmt.Fprintf(&b, `\u%04x`, r)
		default:
			b.WriteRune(r)
		}
	}
	b.WriteByte('"')
	return b.String()
}

// appended adds a table at the end of a text.
func appended(text, table string, values []Value) string {
	var b strings.Builder
	b.WriteString(text)
	if text != "" && !strings.HasSuffix(text, "\n") {
		b.WriteByte('\n')
	}
	if table != "" {
		fmt.Fprintf(&b, "\n[[%s]]\n", table)
	}
	for _, v := range values {
		if line, ok := v.line(); ok {
			b.WriteString(line + "\n")
		}
	}
	return b.String()
}

// changed gives one table of a text other values, line by line: a key that is
// there keeps its place and the comment behind it, a new one follows the head.
func changed(text, table string, n int, values []Value) (string, error) {
	for _, v := range values {
		line, ok := v.line()
		if !ok {
			continue
		}
		o := scan(text)
		if i, there := o.keys[place{table, n, v.Key}]; there {
			o.lines[i] = line + comment(o.lines[i]) + "\n"
		} else if head, there := o.heads[place{table: table, n: n}]; there {
			o.lines[head] = strings.TrimSuffix(o.lines[head], "\n") + "\n" + line + "\n"
		} else {
			return "", fmt.Errorf("no table %s %d in it", table, n+1)
		}
		text = strings.Join(o.lines, "")
	}
	return text, nil
}

// comment is what stands behind the value of a line, with the blanks before it.
func comment(line string) string {
	quoted := rune(0)
	for i, r := range line {
		switch {
		case quoted != 0 && r == quoted:
			quoted = 0
		case quoted != 0:
		case r == '"' || r == '\'':
			quoted = r
		case r == '#':
			before := strings.TrimRight(line[:i], " \t")
			return strings.TrimRight(line[len(before):], "\r\n")
		}
	}
	return ""
}

// errByHand is what is said where a change line by line would not come out right.
var errByHand = errors.New("this file is written in a way that holdfast does not change; edit it by hand")

// same compares all but what a change was meant to change: nothing of the others may be lost.
func same(before, after *Job, table string) bool {
	a, b := reflect.ValueOf(*before), reflect.ValueOf(*after)
	for i := range a.NumField() {
		if name := a.Type().Field(i).Name; name != table && !reflect.DeepEqual(a.Field(i).Interface(), b.Field(i).Interface()) {
			return false
		}
	}
	return true
}

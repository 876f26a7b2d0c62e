package holdlog

import (
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

func TestOpenGoesByContentNotByName(t *testing.T) {
	dir := t.TempDir()
	for text, want := range map[string]error{
		string(logOf(t, testSample(0))):          nil,
		"elapsed_s,pressure_pa_abs\n0,2100000\n": nil,
		"":                                       ErrEmpty,
		"\n\n":                                   ErrEmpty,
		"\xff\xfee\x00l\x00a\x00p\x00":           ErrNotLog,
		"\x1f\x8b\x08\x00\x00\x00\x00\x00":       ErrNotLog,
		`X"k":"hdr","t_ms":1}`:                   ErrNotLog,
		"just some words\n":                      ErrColumns,
		strings.Replace(string(logOf(t)), `"v":1`, `"v":9`, 1): ErrVersion,
	} {
		path := filepath.Join(dir, "file.txt")
		if err := os.WriteFile(path, []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
		s, err := Open(path, Options{})
		if err == nil {
			_, err = s.Next()
			_ = s.Close()
		}
		if !errors.Is(err, want) {
			t.Errorf("%.40q: %v, want %v", text, err, want)
		}
	}
	if _, err := Open(filepath.Join(dir, "none"), Options{}); !errors.Is(err, os.ErrNotExist) {
		t.Error(err)
	}
	if _, err := Open(dir, Options{}); err == nil {
		t.Error("a folder was opened")
	}
}

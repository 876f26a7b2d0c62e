package main

import (
	"bufio"
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"

	"example.org/holdfast/internal/holdlog"
	"example.org/holdfast/internal/units"
)

type exportCmd struct {
	File    string   `arg:"" help:"Log of holdfast or CSV file; - reads the standard input."`
	Dialect string   `placeholder:"rfc4180" help:"rfc4180, or semicolon for spreadsheets with decimal commas."`
	Out     string   `placeholder:"FILE" help:"Write to this file instead of the standard output."`
	JSON    bool     `help:"With --out: say on the standard output, as JSON, what was written."`
	Column  []string `sep:"none" placeholder:"pressure=\"P1 (psi)\":psi" help:"Says what a CSV column with another name holds. May be repeated."`
}

func (c *exportCmd) run(a *app) (int, error) {
	dialect, err := holdlog.ParseDialect(c.Dialect)
	if err != nil {
		return exitUsage, usage("", "--dialect: %w", err)
	}
	if c.JSON && c.Out == "" {
		return exitUsage, usage("Add --out FILE.", "--json needs --out, because the CSV goes to the standard output")
	}
	src, err := newSource(a, c.Column, &settingsFlags{})
	if err != nil {
		return exitUsage, err
	}
	src.over = nil
	if c.File == "-" { // it is read twice
		all, err := io.ReadAll(a.in)
		if err != nil {
			return exitIO, fmt.Errorf("standard input: %w", err)
		}
		src.in = bytes.NewReader(all)
	}
	var integrity holdlog.Integrity
	done, err := c.write(a.out, func() (holdlog.Stream, error) { return c.reopen(src, &integrity) }, dialect)
	if err != nil {
		return exitIO, err
	}
	return exitOK, c.report(a, done, integrity)
}

// reopen begins a pass over the file, which leaves its integrity behind at the end.
func (c *exportCmd) reopen(src *source, integrity *holdlog.Integrity) (holdlog.Stream, error) {
	if r, ok := src.in.(*bytes.Reader); ok {
		_, _ = r.Seek(0, io.SeekStart) // to the start it cannot fail
	}
	st, err := src.open(c.File)
	if err != nil {
		return nil, err
	}
	return noting{st, integrity}, nil
}

// report says what was written, and what is wrong with the log.
func (c *exportCmd) report(a *app, done holdlog.Exported, integrity holdlog.Integrity) error {
	if s := integrity.State(); s == holdlog.Torn || s == holdlog.Altered {
		fmt.Fprintf(a.err, "note: the log is %s; every whole sample was written\n", integrity)
	}
	if c.JSON {
		return json.NewEncoder(a.out).Encode(struct {
			V         int      `json:"v"`
			File      string   `json:"file"`
			Out       string   `json:"out"`
			Rows      int      `json:"rows"`
			Columns   []string `json:"columns"`
			Integrity string   `json:"integrity"`
		}{1, c.File, c.Out, done.Rows, list(done.Columns), string(integrity.State())})
	}
	if c.Out != "" {
		fmt.Fprintf(a.err, "%s written to %s\n", units.FormatCount(done.Rows, "row"), c.Out)
	}
	return nil
}

// noting is a Stream that leaves its integrity behind.
type noting struct {
	holdlog.Stream
	integrity *holdlog.Integrity
}

func (n noting) Close() error {
	*n.integrity = n.Integrity()
	return n.Stream.Close()
}

// write writes to the standard output or to a file, which appears only when it is complete.
func (c *exportCmd) write(out io.Writer, open func() (holdlog.Stream, error), d holdlog.Dialect) (done holdlog.Exported, err error) {
	if c.Out == "" {
		b := bufio.NewWriter(out)
		done, err = holdlog.ExportCSV(b, open, d)
		return done, errors.Join(err, b.Flush())
	}
	if same(c.File, c.Out) {
		return done, usage("Choose another name.", "%q is the log itself", c.Out)
	}
	f, err := os.CreateTemp(filepath.Dir(c.Out), "."+filepath.Base(c.Out)+".*")
	if err != nil {
		return done, err
	}
	done, err = holdlog.ExportCSV(f, open, d)
	err = errors.Join(err, f.Chmod(0o644), f.Close())
	if err == nil {
		err = os.Rename(f.Name(), c.Out)
	}
	if err != nil {
		_ = os.Remove(f.Name()) // half a file is of no use
	}
	return done, err
}

// same reports whether two names are one file.
func same(a, b string) bool {
	x, err := os.Stat(a)
	if err != nil {
		return false
	}
	y, err := os.Stat(b)
	return err == nil && os.SameFile(x, y)
}

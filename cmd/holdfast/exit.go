package main

import (
	"errors"
	"fmt"
	"io/fs"
	"syscall"

	"example.org/holdfast/internal/holdlog"
)

// The exit codes that are no verdict; those of a verdict are verdict.Word.ExitCode.
const (
	exitOK    = 0
	exitUsage = 2 // usage or internal trouble
	exitIO    = 4 // instrument, file or other I/O trouble
	exitKill  = 128
)

// failure is an error that knows its exit code and what to do about it.
type failure struct {
	code int
	err  error
	hint string
}

func (f *failure) Error() string { return f.err.Error() }

func (f *failure) Unwrap() error { return f.err }

// usage makes the failure of a wrong command line.
func usage(hint, format string, args ...any) error {
	return &failure{exitUsage, fmt.Errorf(format, args...), hint}
}

// trouble makes the failure of an instrument or a file; without a hint the error itself decides on one.
func trouble(err error, hint string) error {
	return &failure{exitIO, err, hint}
}

// finish says what went wrong, on one line with one for the hint, and gives the exit code.
func (a *app) finish(code int, err error) int {
	if err == nil {
		return code
	}
	f := explain(err)
	if f.hint == "" && f.code == exitUsage && len(a.args) > 0 {
		f.hint = fmt.Sprintf("`holdfast %s --help` shows the flags and how they are written.", a.args[0])
	}
	fmt.Fprintf(a.err, "holdfast: %s\n", oneLine(f.Error()))
	if f.hint != "" {
		fmt.Fprintf(a.err, "  %s\n", oneLine(f.hint))
	}
	return f.code
}

// explain is the one place that turns errors into words with a hint of what to do.
func explain(err error) *failure {
	f := &failure{}
	if !errors.As(err, &f) {
		f = &failure{code: exitIO}
	}
	f = &failure{f.code, err, f.hint} // with what was wrapped around it
	if f.hint != "" {
		return f
	}
	for _, h := range []struct {
		is   error
		hint string
	}{
		{holdlog.ErrVersion, "Use the holdfast that wrote it, or a newer one; the file was not touched."},
		{holdlog.ErrNotLog, "Give a log that holdfast wrote, or a CSV file with a header row."},
		{holdlog.ErrEmpty, "Nothing was recorded in it; check that it is the right file."},
		{holdlog.ErrColumns, "Name the columns as the message says, or tell which is which with --column."},
		{holdlog.ErrExists, "Choose another name; a log is never overwritten."},
		{holdlog.ErrInUse, "Two recordings cannot share a log."},
		{syscall.ENOSPC, "Make room on the disk, or record to another one with --log."},
		{fs.ErrNotExist, "Check the spelling and the folder."},
		{fs.ErrPermission, "You are not allowed to; check who owns it."},
		{syscall.EISDIR, "Give a file in it."},
	} {
		if errors.Is(err, h.is) {
			return &failure{f.code, f.err, h.hint}
		}
	}
	return f
}

// worse gives the exit code that counts of two: 4, 2, 1, 3, 0 in this order.
func worse(a, b int) int {
	for _, c := range []int{exitIO, exitUsage, 1, 3} {
		if a == c || b == c {
			return c
		}
	}
	return max(a, b)
}

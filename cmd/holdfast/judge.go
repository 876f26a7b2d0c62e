package main

import (
	"errors"
	"fmt"
	"io"

	"example.org/holdfast/internal/hold"
	"example.org/holdfast/internal/holdlog"
	"example.org/holdfast/internal/units"
)

type judgeCmd struct {
	Files   []string `arg:"" name:"file" help:"Logs of holdfast or CSV files; - reads the standard input."`
	JSON    bool     `help:"One JSON object per file, one per line."`
	Details bool     `help:"Also what the leak, or the bound on it, means in service, when the verdict is not leaking."`
	Column  []string `sep:"none" placeholder:"pressure=\"P1 (psi)\":psi" help:"Says what a CSV column with another name holds. May be repeated."`
	settingsFlags
}

// judged is a hold read to its end.
type judged struct {
	file      string
	state     *hold.State
	integrity holdlog.Integrity
}

func (c *judgeCmd) run(a *app) (int, error) {
	src, err := newSource(a, c.Column, &c.settingsFlags)
	if err != nil {
		return exitUsage, err
	}
	code := exitOK
	for i, file := range c.Files {
		j, err := judgeFile(src, file)
		if err != nil {
			code = worse(code, a.finish(exitIO, err))
			continue
		}
		if c.JSON {
			err = writeJudgeJSON(a.out, j)
		} else {
			if i > 0 {
				fmt.Fprintln(a.out)
			}
			err = writeJudgeText(a.out, j, c.Details)
		}
		if err != nil {
			return exitIO, fmt.Errorf("writing the verdict: %w", err)
		}
		code = worse(code, j.state.Verdict.Word.ExitCode())
	}
	return code, nil
}

func judgeFile(src *source, file string) (judged, error) {
	h := hold.New()
	integrity, err := src.each(file, func(r holdlog.Record) error { h.Apply(r); return nil })
	if err != nil {
		return judged{}, err
	}
	st := h.State()
	if st.Samples == 0 {
		err := fmt.Errorf("%q: no usable pressure in it", file)
		if st.Rejected > 0 {
			err = fmt.Errorf("%q: no usable pressure in it; %s could not be used, the last: %s", file, units.FormatCount(st.Rejected, "reading"), st.LastReject)
		}
		return judged{}, trouble(err, "Check the column names and the units.")
	}
	return judged{file, st, integrity}, nil
}

// source reads saved holds with the flags laid over their headers.
type source struct {
	in      io.Reader
	options holdlog.Options
	over    override
}

// newSource checks the flags; columns are those of --column.
func newSource(a *app, columns []string, flags *settingsFlags) (*source, error) {
	s := &source{in: a.in, options: holdlog.Options{Verify: true}}
	for _, text := range columns {
		o, err := holdlog.ParseColumnOverride(text)
		if err != nil {
			return nil, usage("", "--column: %w", err)
		}
		s.options.CSV.Columns = append(s.options.CSV.Columns, o)
	}
	over, err := flags.overrides()
	s.over = over
	return s, err
}

// open opens a file, or the standard input for "-".
func (s *source) open(file string) (holdlog.Stream, error) {
	if file == "-" {
		st, err := holdlog.NewStream(s.in, s.options)
		if err != nil {
			err = fmt.Errorf("standard input: %w", err)
		}
		return st, err
	}
	return holdlog.Open(file, s.options)
}

// each gives the records of a file to f.
func (s *source) each(file string, f func(holdlog.Record) error) (integrity holdlog.Integrity, err error) {
	st, err := s.open(file)
	if err != nil {
		return integrity, err
	}
	defer func() { err = errors.Join(err, st.Close()) }()
	for {
		r, err := st.Next()
		if errors.Is(err, io.EOF) {
			return st.Integrity(), nil
		}
		if err != nil {
			return integrity, fmt.Errorf("%q: %w", file, err)
		}
		if r.Header != nil {
			if r.Header, err = s.header(r.Header); err != nil {
				return integrity, fmt.Errorf("%q: %w", file, err)
			}
		}
		if err := f(r); err != nil {
			return integrity, err
		}
	}
}

// header lays the flags over a header, and checks what comes of it.
func (s *source) header(h *holdlog.Header) (*holdlog.Header, error) {
	if s.over == nil {
		return h, nil
	}
	changed := *h
	if err := s.over(&changed); err != nil {
		return h, err
	}
	if err := hold.Check(changed.Settings); err != nil {
		return h, usage("Give what is missing as a flag.", "%w", err)
	}
	return &changed, nil
}

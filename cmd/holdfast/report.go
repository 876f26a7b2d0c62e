package main

import (
	"bufio"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"

	"example.org/holdfast/internal/job"
	"example.org/holdfast/internal/report"
)

type reportCmd struct {
	File string `arg:"" help:"Log of holdfast, CSV file, or job file (*.toml)."`
	HTML string `name:"html" placeholder:"FILE" help:"Write it as an HTML file too, with the chart; prints on A4 and Letter."`
	JSON bool   `help:"Say as JSON what the result is and what was written, instead of the text."`
	settingsFlags
}

func (c *reportCmd) run(a *app) (int, error) {
	d, err := c.document(a)
	if err != nil {
		return exitIO, err
	}
	if c.HTML != "" {
		if same(c.File, c.HTML) {
			return exitUsage, usage("Choose another name.", "%q is what the report is of", c.HTML)
		}
		if err := writeWhole(c.HTML, func(w io.Writer) error { return report.WriteHTML(w, d) }); err != nil {
			return exitIO, err
		}
		fmt.Fprintf(a.err, "the report is written to %s\n", c.HTML)
	}
	if c.JSON {
		return exitOK, json.NewEncoder(a.out).Encode(struct {
			V      int      `json:"v"`
			File   string   `json:"file"`
			HTML   string   `json:"html"`
			Result string   `json:"result"`
			Phrase string   `json:"phrase"`
			Lead   []string `json:"lead"`
		}{1, c.File, c.HTML, d.Word, d.Phrase, list(d.Lead)})
	}
	if err := report.WriteText(a.out, d); err != nil {
		return exitIO, fmt.Errorf("writing the report: %w", err)
	}
	return exitOK, nil
}

// document makes the report of a job or of a hold.
func (c *reportCmd) document(a *app) (*report.Document, error) {
	if isJob(c.File) {
		r, err := job.Read(c.File)
		if err != nil {
			return nil, jobTrouble(err)
		}
		return report.OfJob(r), nil
	}
	src, err := newSource(a, nil, &c.settingsFlags)
	if err != nil {
		return nil, err
	}
	j, err := judgeFile(src, c.File)
	if err != nil {
		return nil, err
	}
	return report.OfHold(report.HoldInput{File: filepath.Base(c.File), State: j.state, Integrity: j.integrity}), nil
}

// isJob tells a job file from a log by its name.
func isJob(file string) bool { return strings.EqualFold(filepath.Ext(file), ".toml") }

// writeWhole writes a file that appears only when it is complete.
func writeWhole(path string, write func(io.Writer) error) error {
	f, err := os.CreateTemp(filepath.Dir(path), "."+filepath.Base(path)+".*")
	if err != nil {
		return err
	}
	b := bufio.NewWriter(f)
	err = errors.Join(write(b), b.Flush(), f.Chmod(0o644), f.Close())
	if err == nil {
		err = os.Rename(f.Name(), path)
	}
	if err != nil {
		_ = os.Remove(f.Name()) // half a file is of no use
	}
	return err
}

// jobShowCmd lives here because it shows the beginning of the same document.
type jobShowCmd struct {
	File string `arg:"" help:"The job file."`
	JSON bool   `help:"Print what is proven as JSON."`
}

func (c *jobShowCmd) run(a *app) (int, error) {
	r, err := job.Read(c.File)
	if err != nil {
		return exitIO, jobTrouble(err)
	}
	if c.JSON {
		return exitOK, writeJobJSON(a.out, r)
	}
	if err := report.WriteText(a.out, report.JobSummary(r)); err != nil {
		return exitIO, fmt.Errorf("writing the job: %w", err)
	}
	return exitOK, nil
}

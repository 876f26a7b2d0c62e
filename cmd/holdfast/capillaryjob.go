package main

import (
	"fmt"

	"example.org/holdfast/internal/job"
)

// capillaryJob enters what a capillary check came to in a job.
type capillaryJob struct {
	Job       string `placeholder:"FILE" help:"The job file: the result is entered as a mark and stands in the close-up list."`
	SectionID string `name:"section-id" placeholder:"ID" help:"The section of the job that the capillary is in."`
	At        string `placeholder:"TIME" help:"When it was measured (RFC 3339), where not now."`
}

// enter writes the mark: clear, not clear, or, where neither is certain, a note.
func (c *capillaryJob) enter(a *app, clear, not bool, text string) error {
	if c.Job == "" {
		return nil
	}
	at, err := a.moment(c.At)
	if err != nil {
		return err
	}
	what := job.Note
	switch {
	case clear:
		what = job.Blown
	case not:
		what = job.Blocked
	}
	err = job.Add(c.Job, "mark", []job.Value{
		{Key: "time", Value: at}, {Key: "what", Value: string(what)}, {Key: "section", Value: c.SectionID}, {Key: "text", Value: text},
	})
	if err != nil {
		return jobTrouble(err)
	}
	fmt.Fprintf(a.err, "entered in %s for %s: %s\n", c.Job, c.SectionID, text)
	return nil
}

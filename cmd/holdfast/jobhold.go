package main

import (
	"fmt"
	"path/filepath"
	"slices"
	"time"

	"example.org/holdfast/internal/holdlog"
	"example.org/holdfast/internal/job"
)

// jobFlags tie a live hold to a job: its settings come from there, and its log
// is entered there.
type jobFlags struct {
	Job       string   `group:"job" placeholder:"FILE" help:"The job file that this hold belongs to. It gives refrigerant, charge, volume, ceiling and limit; a flag goes first. The log goes beside it and is entered in it."`
	SectionID string   `group:"job" name:"section-id" placeholder:"ID" help:"The section of the job that is held."`
	Fittings  []string `group:"job" placeholder:"A,B" help:"Hose, valves and caps in this hold that do not stay."`
}

// from lays what the job knows at a moment over the settings, before the flags.
func (f *jobFlags) from(kind string, now time.Time, set *holdlog.Settings) error {
	if f.Job == "" {
		if f.SectionID != "" || len(f.Fittings) > 0 {
			return usage("Add --job FILE.", "--section-id and --fittings belong to a job")
		}
		return nil
	}
	j, err := job.Load(f.Job)
	if err != nil {
		return jobTrouble(err)
	}
	if _, ok := j.Section(f.SectionID); !ok {
		return usage("`holdfast job show` lists the sections; `holdfast job section` adds one.", "--section-id: there is no section %q in %s", f.SectionID, f.Job)
	}
	if kind != "" {
		set.Kind = kind
	}
	j.Settings(f.SectionID, set)
	set.Brazed = set.Brazed || j.Cooling(f.SectionID, now)
	return nil
}

// log is where the log of a hold of a job goes.
func (f *jobFlags) log(a *app) string {
	base := filepath.Join(filepath.Dir(f.Job), fileName(f.SectionID)+"-"+a.now().Format("20060102-1504"))
	path := base + ".jsonl"
	for n := 'b'; exists(path) && n <= 'z'; n++ {
		path = base + string(n) + ".jsonl"
	}
	return path
}

// enter writes the log into the job file, unless it stands there already.
func (f *jobFlags) enter(a *app, log string) error {
	j, err := job.Load(f.Job)
	if err != nil {
		return jobTrouble(err)
	}
	name, err := beside(f.Job, log)
	if err == nil && slices.ContainsFunc(j.Holds, func(h job.Hold) bool { return h.File == name }) {
		return nil
	}
	if err := enterHold(f.Job, log, job.Hold{Section: f.SectionID, Fittings: f.Fittings}); err != nil {
		return err
	}
	fmt.Fprintf(a.err, "entered in %s as a hold of %s\n", f.Job, f.SectionID)
	return nil
}

package job

import (
	"errors"
	"io"
	"math"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"example.org/holdfast/internal/hold"
	"example.org/holdfast/internal/holdlog"
	"example.org/holdfast/internal/units"
	"example.org/holdfast/internal/verdict"
)

// Evidence is one hold of a job, judged by what the job knows now.
type Evidence struct {
	Hold      Hold
	Section   Section
	Err       error // the log cannot be read: it proves nothing
	State     *hold.State
	Integrity holdlog.Integrity
	Start     time.Time // of the filling that counts
	End       time.Time
	Joints    []string // which it covers
	Touched   []Mark   // what ended its proof, in order; of a section with parts only that part
}

// Record is a job with its evidence, in the order of time.
type Record struct {
	*Job
	Dir   string // of the job file
	Marks []Mark // of the job file and of the logs, in order
	Holds []Evidence
}

// Read reads a job file and all its logs. A log that cannot be read is kept
// with its error, for the rest still stands.
func Read(path string) (*Record, error) {
	j, err := Load(path)
	if err != nil {
		return nil, err
	}
	r := &Record{Job: j, Dir: filepath.Dir(path), Marks: slices.Clone(j.Marks)}
	for _, h := range j.Holds {
		e := j.read(r.Dir, h)
		r.Marks = append(r.Marks, j.marksOf(&e)...)
		r.Holds = append(r.Holds, e)
	}
	slices.SortStableFunc(r.Marks, func(a, b Mark) int { return a.Time.Compare(b.Time) })
	slices.SortStableFunc(r.Holds, func(a, b Evidence) int { return a.Start.Compare(b.Start) })
	for i := range r.Holds {
		r.date(&r.Holds[i])
	}
	return r, nil
}

// read judges one log.
func (j *Job) read(dir string, h Hold) Evidence {
	e := Evidence{Hold: h}
	e.Section, _ = j.Section(h.Section)
	red := hold.New()
	e.Integrity, e.Err = j.each(filepath.Join(dir, h.File), h, red.Apply)
	e.State = red.State()
	switch {
	case e.Err != nil:
	case e.State.Segment == 0:
		e.Err = errors.New("nothing was held in it")
	case e.State.StartWall == 0 && h.Start.IsZero():
		e.Err = errors.New("it has no time of day: give the hold a start in the job file")
	}
	zone := zoneOf(e.State.Header)
	at := func(elapsed float64) time.Time { return e.wall(elapsed).In(zone) }
	e.Start, e.End = at(e.State.SegmentStart), at(e.State.LastSampleAt)
	return e
}

// wall is the time of day at an elapsed time of the hold.
func (e *Evidence) wall(elapsed float64) time.Time {
	begin := e.State.StartWall
	if !e.Hold.Start.IsZero() {
		begin = e.Hold.Start.UnixMilli()
	}
	return time.UnixMilli(begin + int64(math.Round(1000*elapsed)))
}

// each gives the records of a log, with the job's settings laid over its header.
func (j *Job) each(path string, h Hold, apply func(holdlog.Record)) (integrity holdlog.Integrity, err error) {
	st, err := holdlog.Open(path, holdlog.Options{Verify: true})
	if err != nil {
		return integrity, err
	}
	defer func() { err = errors.Join(err, st.Close()) }()
	for {
		rec, err := st.Next()
		if errors.Is(err, io.EOF) {
			return st.Integrity(), nil
		}
		if err != nil {
			return integrity, err
		}
		if rec.Header != nil {
			head := *rec.Header
			if h.Kind != "" {
				head.Settings.Kind = h.Kind
			}
			j.Settings(h.Section, &head.Settings)
			if err := hold.Check(head.Settings); err != nil {
				return integrity, err
			}
			rec.Header = &head
		}
		apply(rec)
	}
}

// zoneOf is the time zone of a log.
func zoneOf(h holdlog.Header) *time.Location {
	t, err := time.Parse("-07:00", h.Zone)
	if err != nil {
		return time.UTC
	}
	return t.Location()
}

// marksOf reads the marks of a log as marks of the job: one of the kinds as its
// first word (or "joint soaped", as the screen says it), then ids of joints; no id
// means the whole section. Anything else is a note, which proves nothing.
func (j *Job) marksOf(e *Evidence) (out []Mark) {
	if e.State == nil {
		return nil
	}
	for _, m := range e.State.Marks {
		base := Mark{
			Time: e.wall(m.Elapsed).In(zoneOf(e.State.Header)), What: Note, Section: e.Hold.Section,
			Text: m.Text, File: e.Hold.File,
		}
		kind, joints, ok := j.readMark(m.Text)
		if !ok {
			out = append(out, base)
			continue
		}
		base.What, base.Text = kind, ""
		if len(joints) == 0 {
			out = append(out, base)
		}
		for _, x := range joints {
			one := base
			one.Joint, one.Section = x.ID, x.Section
			out = append(out, one)
		}
	}
	return out
}

func (j *Job) readMark(text string) (k Kind, joints []Joint, ok bool) {
	words := strings.FieldsFunc(strings.ToLower(text), func(r rune) bool { return r == ' ' || r == ',' })
	if len(words) > 1 && words[0] == "joint" {
		words = words[1:]
	}
	if len(words) == 0 || !slices.Contains(Kinds(), Kind(words[0])) {
		return "", nil, false
	}
	for _, w := range words[1:] {
		i := slices.IndexFunc(j.Joints, func(x Joint) bool { return strings.EqualFold(x.ID, w) })
		if i < 0 {
			return "", nil, false
		}
		joints = append(joints, j.Joints[i])
	}
	return Kind(words[0]), joints, true
}

// date says which joints a hold covers and what was touched since.
func (r *Record) date(e *Evidence) {
	e.Joints = e.Hold.Joints
	if len(e.Joints) == 0 {
		e.Joints = r.jointsOf(e.Hold.Section, e.Start)
	}
	leaves := r.leaves(e.Hold.Section)
	for _, m := range r.Marks {
		if m.What.Touches() && m.Time.After(e.Start) && slices.ContainsFunc(r.leaves(m.Section), func(s string) bool { return slices.Contains(leaves, s) }) {
			e.Touched = append(e.Touched, m)
		}
	}
}

// touched gives the first mark that ended what the hold says of one leaf section.
func (r *Record) touched(e *Evidence, leaf string) (Mark, bool) {
	for _, m := range e.Touched {
		if slices.Contains(r.leaves(m.Section), leaf) {
			return m, true
		}
	}
	return Mark{}, false
}

// Pressure reports a hold under pressure of a part of the circuit, whole enough to be evidence.
func (e *Evidence) Pressure() bool {
	return e.usable() && !e.Section.Blank && e.State.Header.Settings.Kind != vacuum
}

// usable reports a log that can be read and was not altered.
func (e *Evidence) usable() bool { return e.Err == nil && e.Integrity.State() != holdlog.Altered }

// Word is the verdict; unproven where the log is no evidence.
func (e *Evidence) Word() verdict.Word {
	if !e.usable() {
		return verdict.Unproven
	}
	return e.State.Verdict.Word
}

// Tight reports that the whole interval lies below the limit, not the estimate alone.
func (e *Evidence) Tight() bool {
	return e.Word() == verdict.Tight && (e.State.Rise != nil || e.State.Estimate.Rate.Hi < e.State.LimitRate)
}

// Hides is the largest leak that could still hide, in words.
func (e *Evidence) Hides() string { return e.State.Verdict.Hides.Short(e.unit()) }

func (e *Evidence) unit() string {
	if u := e.State.Header.Settings.Display; u != "" {
		return u
	}
	return "bar"
}

// Gauge is the pressure at which it began, in words.
func (e *Evidence) Gauge() string {
	p := units.Absolute(e.State.Estimate.Start)
	return units.FormatPressure(float64(p.Gauge(e.State.Atmosphere)), e.unit())
}

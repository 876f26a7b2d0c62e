package job

import (
	"errors"
	"fmt"
	"io"
	"math"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"example.org/holdfast/internal/decay"
	"example.org/holdfast/internal/hold"
	"example.org/holdfast/internal/holdlog"
	"example.org/holdfast/internal/units"
	"example.org/holdfast/internal/verdict"
)

// Evidence is one hold of a job, judged by what the job knows now.
type Evidence struct {
	Hold      Hold
	Section   Section
	Err       error            // the log cannot be read: it proves nothing
	Said      holdlog.Settings // as the log has them, before the job's are laid over
	State     *hold.State
	Integrity holdlog.Integrity
	Start     time.Time // of the filling that counts; the earlier one, where the clock was set on the way
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
func Read(path string) (*Record, error) { return readWith(path, (*Record).read) }

// readWith reads a job with its own way to judge a log: tests have one that remembers.
func readWith(path string, judge func(*Record, Hold) Evidence) (*Record, error) {
	j, err := Load(path)
	if err != nil {
		return nil, err
	}
	r := &Record{Job: j, Dir: filepath.Dir(path), Marks: append(slices.Clone(j.Marks), j.made()...)}
	for _, blanks := range []bool{true, false} { // first hose and valve, for they are taken off the others
		for _, h := range j.Holds {
			if s, _ := j.Section(h.Section); s.Blank == blanks {
				r.Holds = append(r.Holds, judge(r, h))
			}
		}
	}
	r.refuseCopies()
	for i := range r.Holds {
		r.Marks = append(r.Marks, j.marksOf(&r.Holds[i])...)
	}
	slices.SortStableFunc(r.Marks, func(a, b Mark) int { return a.Time.Compare(b.Time) })
	slices.SortStableFunc(r.Holds, func(a, b Evidence) int { return a.Start.Compare(b.Start) })
	for i := range r.Holds {
		r.date(&r.Holds[i])
	}
	return r, nil
}

// read judges one log.
func (r *Record) read(h Hold) Evidence {
	e := Evidence{Hold: h}
	e.Section, _ = r.Section(h.Section)
	red := hold.New()
	e.Integrity, e.Err = r.each(&e, red.Apply)
	e.State = red.State()
	switch {
	case e.Err != nil:
	case e.usable() && !imported(e.State.Header) && e.Integrity.Unchecked() > e.Integrity.Lines/10+mostUnchecked:
		e.Err = fmt.Errorf("no fingerprint covers its last %d lines, and a hold writes one a minute", e.Integrity.Unchecked())
	case e.State.StartWall != 0 && !h.Start.IsZero() && h.Start.Sub(time.UnixMilli(e.State.StartWall)).Abs() > time.Minute:
		e.Err = fmt.Errorf("it began %s by its own clock, not when the job file says", stamp(time.UnixMilli(e.State.StartWall).UTC()))
	case e.State.Segment == 0:
		e.Err = errors.New("nothing was held in it")
	case e.State.StartWall == 0 && h.Start.IsZero():
		e.Err = errors.New("it has no time of day: give the hold a start in the job file")
	}
	zone, set := zoneOf(e.State.Header), e.clockSet()
	e.Start, e.End = e.wall(e.State.SegmentStart).Add(min(set, 0)).In(zone), e.wall(e.State.LastSampleAt).Add(max(set, 0)).In(zone)
	return e
}

// mostUnchecked is how many lines of a log may follow its last fingerprint, beside a tenth of all: those of a crash.
const mostUnchecked = 20

// wall is the time of day at an elapsed time of the hold.
func (e *Evidence) wall(elapsed float64) time.Time {
	begin := e.State.StartWall
	if !e.Hold.Start.IsZero() {
		begin = e.Hold.Start.UnixMilli()
	}
	return time.UnixMilli(begin + int64(math.Round(1000*elapsed)))
}

// clockSet is by how much the wall clock was set while the hold ran. A clock that drifts was not set.
func (e *Evidence) clockSet() time.Duration {
	if e.State.Wall == 0 || !e.Hold.Start.IsZero() {
		return 0
	}
	set := time.UnixMilli(e.State.Wall).Sub(e.wall(e.State.Elapsed))
	if set.Abs() < time.Minute {
		return 0
	}
	return set
}

// each gives the records of a log, with the job's settings laid over its header.
func (r *Record) each(e *Evidence, apply func(holdlog.Record)) (integrity holdlog.Integrity, err error) {
	st, err := holdlog.Open(filepath.Join(r.Dir, e.Hold.File), holdlog.Options{Verify: true})
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
			if rec.Kind == holdlog.KindHeader {
				e.Said = head.Settings
			}
			if err := r.lay(e.Hold, &head, rec.Wall); err != nil {
				return integrity, err
			}
			rec.Header = &head
		}
		apply(rec)
	}
}

// lay puts what the job knows over the header of a log, if the log is of such a hold at all.
func (r *Record) lay(h Hold, head *holdlog.Header, wall int64) error {
	set := &head.Settings
	if other, ok := r.namedOther(set.Section, h.Section); ok {
		return fmt.Errorf("its log says that it is of %s, not of %s", other, h.Section)
	}
	if h.Kind != "" && !imported(*head) && (h.Kind == vacuum) != (set.Kind == vacuum) {
		return fmt.Errorf("its log is not of a %s hold", h.Kind)
	}
	if h.Kind != "" {
		set.Kind = h.Kind
	}
	r.Settings(h.Section, set)
	r.takeBlank(h, head, wall)
	return hold.Check(*set)
}

// imported reports a log that another recorder or a person wrote.
func imported(head holdlog.Header) bool {
	return len(head.Devices) == 1 && head.Devices[0].Name == "csv"
}

// namedOther finds the other section of the job whose id or name a log bears.
func (j *Job) namedOther(name, section string) (other string, ok bool) {
	is := func(s Section) bool { return strings.EqualFold(name, s.ID) || strings.EqualFold(name, s.Title()) }
	if own, _ := j.Section(section); name == "" || is(own) {
		return "", false
	}
	i := slices.IndexFunc(j.Sections, is)
	if i < 0 {
		return "", false
	}
	return j.Sections[i].ID, true
}

// refuseCopies takes every log whose readings stand in another one as well for no evidence.
func (r *Record) refuseCopies() {
	for i := range r.Holds {
		for k := range r.Holds[:i] {
			if a, b := &r.Holds[k], &r.Holds[i]; a.Err == nil && b.Err == nil && sameReadings(a.State, b.State) {
				a.Err = fmt.Errorf("%s has the same readings", b.Hold.File)
				b.Err = fmt.Errorf("%s has the same readings", a.Hold.File)
			}
		}
	}
}

func sameReadings(a, b *hold.State) bool {
	return a.Samples == b.Samples && a.LastSampleAt == b.LastSampleAt &&
		slices.EqualFunc(a.Curve, b.Curve, func(p, q decay.Point) bool { return p.T == q.T && p.Raw == q.Raw })
}

// zoneOf is the time zone of a log.
func zoneOf(h holdlog.Header) *time.Location {
	t, err := time.Parse("-07:00", h.Zone)
	if err != nil {
		return time.UTC
	}
	return t.Location()
}

// date says which joints a hold covers and what was touched since.
func (r *Record) date(e *Evidence) {
	e.Joints = e.Hold.Joints
	if len(e.Joints) == 0 {
		e.Joints = r.jointsOf(e.Hold.Section, e.Start)
	}
	for _, m := range r.Marks {
		if m.What.Touches() && !m.Time.Before(e.Start.Truncate(time.Second)) && r.Concerns(m, e) {
			e.Touched = append(e.Touched, m)
		}
	}
}

// Concerns reports a mark of something that was in a hold.
func (r *Record) Concerns(m Mark, e *Evidence) bool {
	return slices.ContainsFunc(r.leaves(m.Section), func(s string) bool { return slices.Contains(e.leavesIn(r), s) })
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
func (e *Evidence) Gauge() string { return units.FormatPressure(e.gauge(), e.unit()) }

// gauge is the pressure at which it began, Pa gauge.
func (e *Evidence) gauge() float64 {
	return float64(units.Absolute(e.State.Estimate.Start).Gauge(e.State.Atmosphere))
}

package job

import (
	"errors"
	"fmt"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"time"

	"github.com/BurntSushi/toml"

	"example.org/holdfast/internal/gas"
	"example.org/holdfast/internal/hold"
	"example.org/holdfast/internal/units"
)

// file is a job as it is written.
type file struct {
	Appliance   string        `toml:"appliance"`
	Refrigerant string        `toml:"refrigerant"`
	Charge      string        `toml:"charge"`
	Guarantee   string        `toml:"guarantee"`
	Limit       string        `toml:"limit"`
	Tolerate    string        `toml:"tolerate"`
	Vacuum      string        `toml:"vacuum"`
	Section     []fileSection `toml:"section"`
	Joint       []fileJoint   `toml:"joint"`
	Hold        []fileHold    `toml:"hold"`
	Mark        []fileMark    `toml:"mark"`
	Closeup     []fileCloseup `toml:"closeup"`
}

type fileSection struct {
	ID      string   `toml:"id"`
	Name    string   `toml:"name"`
	Volume  string   `toml:"volume"`
	Side    string   `toml:"side"`
	Ceiling string   `toml:"ceiling"`
	Parts   []string `toml:"parts"`
	Blank   bool     `toml:"blank"`
	Limit   string   `toml:"limit"`
}

type fileJoint struct {
	ID            string    `toml:"id"`
	Name          string    `toml:"name"`
	Section       string    `toml:"section"`
	Metals        string    `toml:"metals"`
	Method        string    `toml:"method"`
	Made          time.Time `toml:"made"`
	Buried        bool      `toml:"buried"`
	Old           bool      `toml:"old"`
	AfterCharging bool      `toml:"after_charging"`
}

type fileHold struct {
	File     string    `toml:"file"`
	Section  string    `toml:"section"`
	Joints   []string  `toml:"joints"`
	Fittings []string  `toml:"fittings"`
	Note     string    `toml:"note"`
	Kind     string    `toml:"kind"`
	Start    time.Time `toml:"start"`
}

type fileMark struct {
	Time    time.Time `toml:"time"`
	What    string    `toml:"what"`
	Joint   string    `toml:"joint"`
	Section string    `toml:"section"`
	Text    string    `toml:"text"`
	Name    string    `toml:"name"`
}

type fileCloseup struct {
	Section string    `toml:"section"`
	Time    time.Time `toml:"time"`
	Name    string    `toml:"name"`
	Despite string    `toml:"despite"`
	Missing []string  `toml:"missing"`
}

// Parse reads the text of a job file.
func Parse(text string) (*Job, error) {
	var f file
	meta, err := toml.Decode(text, &f)
	if err != nil {
		var parse toml.ParseError
		if errors.As(err, &parse) {
			return nil, fmt.Errorf("line %d: %s", parse.Position.Line, parse.Message)
		}
		return nil, err
	}
	r := &reader{outline: scan(text), job: &Job{}}
	if unknown := meta.Undecoded(); len(unknown) > 0 {
		return nil, r.unknown(unknown[0])
	}
	r.head(f)
	r.sections(f.Section)
	r.joints(f.Joint)
	r.holds(f.Hold)
	r.marks(f.Mark)
	r.closeups(f.Closeup)
	if r.err != nil {
		return nil, r.err
	}
	return r.job, nil
}

// reader turns the texts of a file into a Job and keeps the first error.
type reader struct {
	outline
	job  *Job
	here place // of what is being read
	err  error
}

func (r *reader) unknown(key toml.Key) error {
	p := place{key: key[0]}
	if len(key) > 1 {
		p = r.first(key[0], key[len(key)-1])
	} else if _, table := r.heads[place{table: key[0]}]; table {
		p = place{table: key[0]}
	}
	return r.at(p, errors.New("a job file has no such key; the keys stand in the package comment and in the README"))
}

// in says which table is being read.
func (r *reader) in(table string, n int) { r.here = place{table: table, n: n} }

func (r *reader) fail(key, format string, args ...any) {
	if r.err == nil {
		p := r.here
		p.key = key
		r.err = r.at(p, fmt.Errorf(format, args...))
	}
}

// value reads a quantity; "" = not said.
func value[T any](r *reader, key, text string, parse func(string) (T, error)) (v T) {
	if text == "" {
		return v
	}
	v, err := parse(text)
	if err != nil {
		r.fail(key, "%w", err)
	}
	return v
}

func (r *reader) head(f file) {
	j := r.job
	j.Appliance, j.Refrigerant = f.Appliance, f.Refrigerant
	j.Guarantee, j.Limit, j.Tolerate, j.Vacuum = f.Guarantee, f.Limit, f.Tolerate, f.Vacuum
	j.Charge = value(r, "charge", f.Charge, units.ParseMass)
	value(r, "refrigerant", f.Refrigerant, gas.LookupRefrigerant)
	value(r, "guarantee", f.Guarantee, units.ParseSpan)
	value(r, "limit", f.Limit, units.ParseRate)
	value(r, "tolerate", f.Tolerate, func(s string) (float64, error) { share, _, err := units.ParseTolerance(s); return share, err })
	value(r, "vacuum", f.Vacuum, hold.ParseAcceptance)
}

// word is an id: it stands in commands and in marks.
func (r *reader) word(key, s string) {
	if s == "" || strings.ContainsAny(s, " \t\n,;\"'=#") {
		r.fail(key, "%q is no id: one word, such as c1 or condenser", s)
	}
}

func (r *reader) sections(all []fileSection) {
	for i, f := range all {
		r.in("section", i)
		s := Section{ID: f.ID, Name: f.Name, Side: f.Side, Parts: f.Parts, Blank: f.Blank, Limit: f.Limit}
		r.word("id", f.ID)
		if _, twice := r.job.Section(f.ID); twice {
			r.fail("id", "a second section %q", f.ID)
		}
		if !slices.Contains([]string{"", "high", "low"}, f.Side) {
			r.fail("side", "%q is neither high nor low", f.Side)
		}
		for _, p := range f.Parts { // only sections above it, so that none can hold itself
			if _, ok := r.job.Section(p); !ok {
				r.fail("parts", "no section %q stands above this one", p)
			}
		}
		if f.Volume != "" {
			var err error
			if s.Volume, s.VolumeError, err = units.ParseVolumeTolerance(f.Volume); err != nil {
				r.fail("volume", "%w", err)
			}
		}
		s.Ceiling = value(r, "ceiling", f.Ceiling, ceiling)
		value(r, "limit", f.Limit, units.ParseRate)
		r.job.Sections = append(r.job.Sections, s)
	}
}

// ceiling reads a gauge pressure.
func ceiling(text string) (units.Gauge, error) {
	p, err := units.ParsePressure(text, "")
	if err == nil && (p.Ref == units.AbsoluteRef || p.Pa <= 0) {
		err = fmt.Errorf("%q is no gauge pressure above zero", text)
	}
	return units.Gauge(p.Pa), err
}

// zoned is how a time ends that says its zone.
var zoned = regexp.MustCompile(`(?i)(z|[+-][0-9]{2}:[0-9]{2})$`)

// moment checks that a time says its zone: on another computer it would be
// another moment. The TOML package fills in the zone of this one, so the line is asked.
func (r *reader) moment(key string, t time.Time) {
	if t.IsZero() {
		return
	}
	p := r.here
	p.key = key
	i, ok := r.keys[p]
	if !ok {
		r.fail(key, "write it on a line of its own")
		return
	}
	_, text, _ := strings.Cut(strings.TrimSuffix(strings.TrimRight(r.lines[i], "\r\n"), comment(r.lines[i])), "=")
	if text = strings.TrimSpace(text); !zoned.MatchString(text) {
		r.fail(key, "%s says no zone: write it as 2026-03-02T09:30:00Z or with +01:00", text)
	}
}

// known checks that a section is there.
func (r *reader) known(section string) {
	if _, ok := r.job.Section(section); !ok {
		r.fail("section", "there is no section %q", section)
	}
}

func (r *reader) joints(all []fileJoint) {
	for i, f := range all {
		r.in("joint", i)
		r.word("id", f.ID)
		if _, twice := r.job.Joint(f.ID); twice {
			r.fail("id", "a second joint %q", f.ID)
		}
		r.known(f.Section)
		if s, _ := r.job.Section(f.Section); len(s.Parts) > 0 {
			r.fail("section", "%q has parts: say in which of them the joint is", f.Section)
		}
		if f.Buried && f.AfterCharging {
			r.fail("after_charging", "a joint that is closed after charging cannot be buried before: it could never be held")
		}
		r.moment("made", f.Made)
		r.job.Joints = append(r.job.Joints, Joint(f))
	}
}

func (r *reader) holds(all []fileHold) {
	for i, f := range all {
		r.in("hold", i)
		r.known(f.Section)
		if !filepath.IsLocal(f.File) {
			r.fail("file", "%q does not stand beside the job file", f.File)
		}
		f.File = filepath.ToSlash(filepath.Clean(f.File))
		if slices.ContainsFunc(r.job.Holds, func(h Hold) bool { return h.File == f.File }) {
			r.fail("file", "%q stands here twice", f.File)
		}
		if !slices.Contains([]string{"", "pressure", vacuum}, f.Kind) {
			r.fail("kind", "%q is neither pressure nor vacuum", f.Kind)
		}
		for _, id := range f.Joints {
			x, ok := r.job.Joint(id)
			if !ok {
				r.fail("joints", "there is no joint %q", id)
			} else if !slices.Contains(r.job.leaves(f.Section), x.Section) {
				r.fail("joints", "joint %q is not in section %q", id, f.Section)
			}
		}
		r.moment("start", f.Start)
		r.job.Holds = append(r.job.Holds, Hold(f))
	}
}

func (r *reader) marks(all []fileMark) {
	for i, f := range all {
		r.in("mark", i)
		m := Mark{Time: f.Time, What: Kind(f.What), Joint: f.Joint, Section: f.Section, Text: f.Text, Name: f.Name}
		if !slices.Contains(Kinds(), m.What) {
			r.fail("what", "%q is none of %s", f.What, kindList())
		}
		if f.Time.IsZero() {
			r.fail("time", "a mark needs the time, such as 2026-03-02T09:30:00Z")
		}
		r.moment("time", f.Time)
		if f.Joint != "" {
			x, ok := r.job.Joint(f.Joint)
			if !ok {
				r.fail("joint", "there is no joint %q", f.Joint)
			}
			if m.What == Added && !x.Made.IsZero() {
				r.fail("joint", "%q has its time already, as made = %s", f.Joint, x.Made.Format(time.RFC3339))
			}
			m.Section = x.Section
		} else if f.Section != "" {
			r.known(f.Section)
		}
		if m.Section == "" && m.What != Note {
			r.fail("what", "%q needs a joint or a section", f.What)
		}
		r.job.Marks = append(r.job.Marks, m)
	}
	slices.SortStableFunc(r.job.Marks, func(a, b Mark) int { return a.Time.Compare(b.Time) })
}

func (r *reader) closeups(all []fileCloseup) {
	for i, f := range all {
		r.in("closeup", i)
		r.known(f.Section)
		if f.Time.IsZero() || f.Name == "" {
			r.fail("", "a close-up needs a time and a name")
		}
		r.moment("time", f.Time)
		r.job.Closeups = append(r.job.Closeups, Closeup(f))
	}
}

func kindList() string {
	var names []string
	for _, k := range Kinds() {
		names = append(names, string(k))
	}
	return strings.Join(names, ", ")
}

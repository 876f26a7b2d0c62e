package job

import (
	"slices"
	"time"

	"example.org/holdfast/internal/holdlog"
	"example.org/holdfast/internal/units"
)

// Job is what a job file says. Quantities are SI; the texts are kept as typed.
type Job struct {
	Appliance   string
	Refrigerant string
	Charge      units.Mass // 0 = not said
	Guarantee   string     // a span such as "2y"; "" = none
	Limit       string     // as of --limit; "" = from the charge
	Tolerate    string     // as of --tolerate; "" = 20 % in the time of the guarantee
	Vacuum      string     // as of --accept; "" = not said
	Sections    []Section
	Joints      []Joint
	Holds       []Hold
	Marks       []Mark // in the order of their times
	Closeups    []Closeup
}

// Section is what can be closed off and held.
type Section struct {
	ID          string
	Name        string       // "" = the id
	Volume      units.Volume // 0 = not known
	VolumeError float64      // relative half-width; 0 = not known
	Side        string       // "high", "low" or ""
	Ceiling     units.Gauge  // 0 = not said
	Parts       []string     // sections that this one consists of; none = it is held as one
	Blank       bool         // hose and valve alone
	Limit       string       // where it differs from the job's
}

// Title is how the section is called in a sentence.
func (s Section) Title() string {
	if s.Name != "" {
		return s.Name
	}
	return s.ID
}

// Joint is one place where tubes were joined, or closed.
type Joint struct {
	ID            string
	Name          string
	Section       string
	Metals        string
	Method        string
	Made          time.Time // of a new joint; zero = not said here, and a mark may say it
	Buried        bool
	Old           bool // there before the repair
	AfterCharging bool // closed after charging: it can only be soaped or sniffed
}

// Title is how the joint is called in a sentence.
func (j Joint) Title() string {
	if j.Name != "" {
		return j.ID + " (" + j.Name + ")"
	}
	return j.ID
}

// Hold says which log is of which section.
type Hold struct {
	File     string // beside the job file
	Section  string
	Joints   []string // where not all of the section
	Fittings []string // hose, valves and caps that were in it and do not stay
	Note     string
	Kind     string    // where the file does not say it (CSV): "vacuum"
	Start    time.Time // where the file has no time of day (CSV)
}

// Kind says what a mark is of.
type Kind string

// The kinds of mark. Those that touch the circuit end the proof of what they touch.
const (
	Remade  Kind = "remade" // a joint was taken apart, cleaned and made anew
	Added   Kind = "added"  // a joint that was not there
	Cut     Kind = "cut"    // a tube was cut open
	Bent    Kind = "bent"   // a tube was bent
	Soaped  Kind = "soaped" // soap was put on
	Clean   Kind = "clean"  // looked at: no foam
	Foams   Kind = "foams"  // foam: the leak is there
	Heated  Kind = "heated" // warmed and let cool
	Tapped  Kind = "tapped"
	Cured   Kind = "cured"       // the foam around it is hard and cold
	Sniffed Kind = "sniffed"     // a gas detector found nothing, after charging
	Blown   Kind = "blown"       // the capillary is clear: blown through, free, or measured
	Blocked Kind = "blocked"     // the capillary is not clear
	OneSide Kind = "pumped-one"  // evacuated from one side only
	TwoSide Kind = "pumped-both" // evacuated from both sides
	Note    Kind = "note"
)

// Kinds are all of them, in the order in which they are offered.
func Kinds() []Kind {
	return []Kind{Remade, Added, Cut, Bent, Soaped, Clean, Foams, Heated, Tapped, Cured, Sniffed, Blown, Blocked, OneSide, TwoSide, Note}
}

// Touches reports that nothing held before says anything of what is touched now.
func (k Kind) Touches() bool { return slices.Contains([]Kind{Remade, Added, Cut, Bent}, k) }

// Phrase says what was done in a sentence about a joint or a section.
func (k Kind) Phrase() string {
	switch k {
	case Cut:
		return "tube cut open"
	case Bent:
		return "tube bent"
	case Clean:
		return "no foam"
	case Cured:
		return "foam cured"
	case Sniffed:
		return "sniffed, nothing found"
	case Blown:
		return "capillary blown through or measured, free"
	case Blocked:
		return "capillary not clear"
	case OneSide:
		return "pumped from one side only"
	case TwoSide:
		return "pumped from both sides"
	case Remade, Added:
		return "joint " + string(k)
	}
	return string(k)
}

// Mark is something that was done or seen.
type Mark struct {
	Time    time.Time
	What    Kind
	Joint   string // "" = the section
	Section string // of the joint, where one is named
	Text    string
	Name    string // who
	File    string // the log it stands in; "" = the job file
}

// Closeup is a decision to bury a section.
type Closeup struct {
	Section string
	Time    time.Time
	Name    string
	Despite string   // the reason where it was against advice
	Missing []string // what was missing then
}

// Section finds a section by its id.
func (j *Job) Section(id string) (Section, bool) {
	i := slices.IndexFunc(j.Sections, func(s Section) bool { return s.ID == id })
	if i < 0 {
		return Section{}, false
	}
	return j.Sections[i], true
}

// Joint finds a joint by its id.
func (j *Job) Joint(id string) (Joint, bool) {
	i := slices.IndexFunc(j.Joints, func(x Joint) bool { return x.ID == id })
	if i < 0 {
		return Joint{}, false
	}
	return j.Joints[i], true
}

// leaves are the sections without parts that a section consists of, itself if it has none.
func (j *Job) leaves(id string) []string {
	s, ok := j.Section(id)
	if !ok || len(s.Parts) == 0 {
		return []string{id}
	}
	var out []string
	for _, p := range s.Parts {
		for _, leaf := range j.leaves(p) {
			if !slices.Contains(out, leaf) {
				out = append(out, leaf)
			}
		}
	}
	return out
}

// made are the marks that the times of new joints stand for.
func (j *Job) made() (out []Mark) {
	for _, x := range j.Joints {
		if !x.Made.IsZero() && !x.Old {
			out = append(out, Mark{Time: x.Made, What: Added, Joint: x.ID, Section: x.Section})
		}
	}
	return out
}

// tolerated is the share of the charge that may go when nothing else is said (common practice, no source).
const tolerated = "20%"

// Settings lays what the job knows of a section over the settings of a hold. The
// limit is the job's alone: no flag of a hold makes a proof easier.
func (j *Job) Settings(section string, set *holdlog.Settings) {
	s, _ := j.Section(section)
	set.Section = s.Title()
	if j.Refrigerant != "" {
		set.Refrigerant = j.Refrigerant
	}
	if j.Charge > 0 {
		set.Charge = j.Charge
	}
	if s.Volume > 0 {
		set.Volume, set.VolumeError = s.Volume, s.VolumeError
	}
	if s.Ceiling > 0 {
		set.Ceiling = s.Ceiling
	}
	set.Limit, set.Tolerate, set.Safety = "", "", 0
	switch {
	case set.Kind == vacuum:
		if j.Vacuum != "" {
			set.Accept = j.Vacuum
		}
	case s.Limit != "":
		set.Limit = s.Limit
	case j.Limit != "":
		set.Limit = j.Limit
	case j.Tolerate != "":
		set.Tolerate = j.Tolerate
	case j.Guarantee != "":
		set.Tolerate = tolerated + "/" + j.Guarantee
	}
}

// cooling is how long a brazed part may go on cooling (common practice, no source).
const cooling = 2 * time.Hour

// Cooling reports a section of which a joint was made, remade or heated so
// shortly before a moment that its part may still be warm.
func (j *Job) Cooling(section string, at time.Time) bool {
	leaves := j.leaves(section)
	return slices.ContainsFunc(slices.Concat(j.made(), j.Marks), func(m Mark) bool {
		age := at.Sub(m.Time)
		return slices.Contains([]Kind{Remade, Added, Heated}, m.What) && slices.Contains(leaves, m.Section) && age >= 0 && age < cooling
	})
}

// vacuum is the kind of hold that proves dryness.
const vacuum = "vacuum"

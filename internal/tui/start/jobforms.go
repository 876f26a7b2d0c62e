package start

import (
	"errors"
	"fmt"
	"slices"
	"strings"

	tea "github.com/charmbracelet/bubbletea"
)

// NewSection is a section as it goes into a job file. Texts are as typed; "" = not said.
type NewSection struct {
	Job, ID, Name, Volume, Side, Ceiling, Limit string

	Appliance, Refrigerant, Charge, Guarantee string // of the job, where the file does not exist yet
}

// NewJoint is a joint as it goes into a job file.
type NewJoint struct {
	Job, Section, ID, Name, Metals, Method string

	Old, AfterCharging, Buried bool
}

// newSectionForm makes the form of a section, and of its job where that is new. Long: the table of the questions.
func newSectionForm(o Options) *form {
	job := typed(jobField, "job file", "The repair: one file beside its logs. A new name begins a new one.", "job.toml")
	job.free = true
	for _, s := range o.Sections {
		if !slices.Contains(job.options, option{s.Hold.Job, s.Hold.Job}) {
			job.options = append(job.options, option{s.Hold.Job, s.Hold.Job})
		}
	}
	if len(job.options) > 0 {
		job.text = newLine(job.options[0].value)
	}
	f := &form{title: "New section of a repair", end: "SAVE", fields: []field{
		job,
		typed(idField, "short name", "One word, as it is called in marks and lists: evaporator.", ""),
		typed(sectionField, "what it is", "In your own words: evaporator and suction tube.", ""),
		typed(volumeField, "volume", "Its gas volume, if known: 0.12L, 120 ml ±5%.", ""),
		choose(sideField, "side", "Of the circuit, when it runs.", option{"", "not said"}, option{"high", "high"}, option{"low", "low"}),
		typed(ceilingField, "never above", "Highest gauge pressure of its weakest part: read the plate.", ""),
		typed(limitField, "limit", "Its largest loss, where it is not that of the whole repair: 3g/yr.", ""),
		typed(applianceField, "appliance", "What is repaired, in general terms.", ""),
		typed(refrigerantField, "refrigerant", "As on the plate.", ""),
		typed(chargeField, "charge", "As on the plate: 60g.", ""),
		typed(guaranteeField, "guarantee", "How long the repair is answered for: 2y. With the charge it gives the limit.", ""),
		{name: endField, hint: "Enter writes it into the job file."},
	}}
	f.shown = func(n name) bool {
		switch n {
		case applianceField, refrigerantField, chargeField, guaranteeField: // are known of a job that is there
			return !slices.ContainsFunc(job.options, func(x option) bool { return x.value == f.get(jobField).value() })
		}
		return true
	}
	f.read = readSection
	return f
}

// readSection reads an answer about a section.
func readSection(n name, text string) (string, error) {
	switch {
	case n == jobField || n == idField:
		return "", word(text)
	case text == "":
		return "", nil
	}
	return readOptional(n, text)
}

// word refuses what is missing, and a name of several words.
func word(text string) error {
	switch {
	case text == "":
		return errors.New("this must be said")
	case strings.ContainsAny(text, " \t,"):
		return fmt.Errorf("%q is not one word", text)
	}
	return nil
}

// newJointForm makes the form of a joint.
func newJointForm() *form {
	f := &form{title: "New joint", end: "SAVE", fields: []field{
		choose(ofField, "in section", "The section that it stands in."),
		typed(idField, "short name", "One word, as in marks: e1.", ""),
		typed(sectionField, "what it joins", "In your own words: capillary into evaporator.", ""),
		typed(metalsField, "metals", "copper-copper, copper-steel, copper-aluminium.", ""),
		typed(methodField, "how made", "Filler, lock ring, pinch.", ""),
		choose(stateField, "made", "A hold proves only what was there when it was held.", option{"new", "in this repair"}, option{"old", "it was there before"},
			option{"after", "after charging: the process tube"}),
		choose(buriedField, "buried", "Under foam when the repair is done.", option{"", "no"}, option{"yes", "yes"}),
		{name: endField, hint: "Enter writes it into the job file."},
	}}
	f.shown = func(name) bool { return true }
	f.read = func(n name, text string) (string, error) {
		if n == idField {
			return "", word(text)
		}
		return "", nil
	}
	return f
}

// openJointForm offers the sections that there are, that in hand first.
func (m *Model) openJointForm() {
	q := m.jointForm.get(ofField)
	q.options, q.pick = nil, min(max(m.lastSection, 0), len(m.sections)-1)
	for i, s := range m.sections {
		q.options = append(q.options, option{fmt.Sprint(i), s.Hold.SectionID + " in " + s.Hold.Job})
	}
	m.page = jointPage
}

// saveSection writes the section and shows it among those of its job.
func (m *Model) saveSection() tea.Cmd {
	f := m.sectionForm
	v := f.value
	s := NewSection{Job: v(jobField), ID: v(idField), Name: v(sectionField), Volume: v(volumeField), Side: v(sideField), Ceiling: v(ceilingField), Limit: v(limitField),
		Appliance: v(applianceField), Refrigerant: v(refrigerantField), Charge: v(chargeField), Guarantee: v(guaranteeField)}
	if err := m.opts.AddSection(s); err != nil {
		f.problem = err.Error()
		return nil
	}
	for _, n := range []name{idField, sectionField, volumeField, ceilingField, limitField} {
		f.get(n).text = newLine("")
	}
	f.at = 0
	m.showSections(s.Job, s.ID, s.ID+" is in "+s.Job+". Enter: hold it; or add its joints.")
	return nil
}

// saveJoint writes the joint and shows it with its section.
func (m *Model) saveJoint() tea.Cmd {
	f := m.jointForm
	v := f.value
	of := m.sections[f.get(ofField).pick].Hold
	j := NewJoint{Job: of.Job, Section: of.SectionID, ID: v(idField), Name: v(sectionField), Metals: v(metalsField), Method: v(methodField),
		Old: v(stateField) == "old", AfterCharging: v(stateField) == "after", Buried: v(buriedField) != ""}
	if err := m.opts.AddJoint(j); err != nil {
		f.problem = err.Error()
		return nil
	}
	for _, n := range []name{idField, sectionField} {
		f.get(n).text = newLine("")
	}
	f.at = 1
	m.showSections(of.Job, of.SectionID, j.ID+" is a joint of "+of.SectionID+".")
	return nil
}

// showSections lists the sections of a job anew, with the keyboard at one of them.
func (m *Model) showSections(job, id, says string) {
	m.page, m.jobSays = jobsPage, says
	if m.opts.OpenJob != nil {
		if sections, err := m.opts.OpenJob(job); err == nil {
			m.sections = sections
		}
	}
	m.at = max(slices.IndexFunc(m.sections, func(s Section) bool { return s.Hold.SectionID == id }), 0)
	m.lastSection = m.at
}

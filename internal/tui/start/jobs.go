package start

import (
	"strings"

	"github.com/charmbracelet/bubbles/key"
	tea "github.com/charmbracelet/bubbletea"

	"example.org/holdfast/internal/tui/ui"
)

// Section is a section of a job that is offered for a hold.
type Section struct {
	Label string // what it is, in words, with its joints
	Hold  Hold   // what the job knows of it; the rest is asked
}

// jobDoor is a line of the page of sections that is no section.
type jobDoor uint8

const (
	newSectionDoor jobDoor = iota
	newJointDoor
	jobFileDoor
)

// jobDoors are the lines below the sections.
func (m *Model) jobDoors() (out []jobDoor) {
	if m.opts.AddSection != nil {
		out = append(out, newSectionDoor)
	}
	if m.opts.AddJoint != nil && len(m.sections) > 0 {
		out = append(out, newJointDoor)
	}
	return append(out, jobFileDoor)
}

// keyJobs moves in the list of sections and what stands below it; the last place is the line for a job file.
func (m *Model) keyJobs(k tea.KeyMsg) tea.Cmd {
	doors := m.jobDoors()
	last := len(m.sections) + len(doors) - 1
	switch {
	case key.Matches(k, m.keys.Back):
		m.page, m.at = menuPage, 0
	case key.Matches(k, m.keys.Up):
		m.at = max(m.at-1, 0)
	case key.Matches(k, m.keys.Down):
		m.at = min(m.at+1, last)
	case key.Matches(k, m.keys.On) && m.at < len(m.sections):
		m.lastSection = m.at
		m.fill(m.sections[m.at].Hold)
		m.page = formPage
	case key.Matches(k, m.keys.On):
		switch doors[m.at-len(m.sections)] {
		case newSectionDoor:
			m.page = sectionPage
		case newJointDoor:
			m.openJointForm()
		case jobFileDoor:
			m.openJob()
		}
	default: // typing goes to the line for a job file
		m.at = last
		m.job.update(k)
		m.jobSays = ""
	}
	if m.at < len(m.sections) {
		m.lastSection = m.at
	}
	return nil
}

// openJob lists the sections of the job file that was typed.
func (m *Model) openJob() {
	path := m.job.value()
	if path == "" || m.opts.OpenJob == nil {
		return
	}
	sections, err := m.opts.OpenJob(path)
	switch {
	case err != nil:
		m.jobSays = "! " + ui.Clean(err.Error(), 300)
	case len(sections) == 0:
		m.jobSays = "! no section stands in it yet"
	default:
		m.sections, m.at, m.jobSays = sections, 0, ""
	}
}

// fill takes over what a job knows; what it does not know stays as it was
// answered, and so does all of a section that was in the form already.
func (m *Model) fill(h Hold) {
	f := m.holdForm
	if h.Job == m.ofJob.Job && h.SectionID == m.ofJob.SectionID {
		return
	}
	m.ofJob = h
	for _, a := range []struct {
		n    name
		text string
	}{{sectionField, h.Section}, {ceilingField, h.Ceiling}, {volumeField, h.Volume}, {limitField, h.Limit},
		{refrigerantField, h.Refrigerant}, {chargeField, h.Charge}, {tolerateField, h.Tolerate}} {
		if a.text != "" {
			f.set(a.n, a.text)
		}
	}
	f.title = "New hold of " + ui.Clean(h.SectionID, 40) + " in " + ui.Clean(h.Job, 60)
	f.at = 0
}

func (m *Model) jobsView() []string {
	var rows []string
	for _, s := range m.sections {
		rows = append(rows, ui.Clean(s.Label, 200))
	}
	for _, d := range m.jobDoors() {
		switch d {
		case newSectionDoor:
			rows = append(rows, "+ a new section")
		case newJointDoor:
			rows = append(rows, "+ a new joint in a section")
		case jobFileDoor:
			rows = append(rows, "job file: "+m.job.show(max(m.w-12, 1), m.at == len(rows)))
		}
	}
	var says []string
	if m.jobSays != "" {
		says = ui.Wrap(m.jobSays, m.w, 2)
	}
	lines := m.list("A section of a repair", rows, len(says))
	return m.foot(append(lines, says...), foot(as(m.keys.On, "choose"), m.keys.Back, as(m.keys.Down, "move"), m.keys.Help)...)
}

// list is a heading and as many rows of a list as there is room for, that in hand among them; below it more lines come.
func (m *Model) list(title string, rows []string, more int) []string {
	lines := []string{m.th.Strong.Render(title), ""}
	room := max(m.h-len(lines)-1-more, 1)
	first := max(m.at-room+1, 0)
	for i, r := range rows {
		if i >= first && i < first+room {
			lines = append(lines, m.cursor(i == m.at, ui.Cut(r, m.w-2)))
		}
	}
	return lines
}

// planned is what the hold can show, reckoned for the answers so far.
type planned []string

// reckon asks for it beside the screen.
func (m *Model) reckon() tea.Cmd {
	m.plan = nil
	if m.opts.Plan == nil {
		return nil
	}
	plan, h := m.opts.Plan, m.hold(m.filling)
	return func() tea.Msg { return planned(plan(h)) }
}

// planLines are the plan as lines of the page before the start.
func (m *Model) planLines(w int) []string {
	if m.opts.Plan == nil || m.filling == m.vacuumForm {
		return nil
	}
	out := []string{m.th.Strong.Render("What this hold can show")}
	if m.plan == nil {
		out = append(out, "reckoning ...")
	}
	for _, s := range m.plan {
		for i, l := range ui.Wrap(ui.Clean(s, 400), w-2, 4) {
			out = append(out, strings.Repeat(" ", min(2*i, 2))+l)
		}
	}
	return append(out, "")
}

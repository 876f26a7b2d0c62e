package start

import (
	"strings"

	tea "github.com/charmbracelet/bubbletea"

	"example.org/holdfast/internal/tui/ui"
)

// Section is a section of a job that is offered for a hold.
type Section struct {
	Label string // what it is, in words, with its joints
	Hold  Hold   // what the job knows of it; the rest is asked
}

// keyJobs moves in the list of sections; the last place is the line for a job file.
func (m *Model) keyJobs(k tea.KeyMsg) tea.Cmd {
	last := len(m.sections)
	switch k.Type {
	case tea.KeyEsc:
		m.page, m.at = menuPage, 0
	case tea.KeyUp, tea.KeyShiftTab:
		m.at = max(m.at-1, 0)
	case tea.KeyDown, tea.KeyTab:
		m.at = min(m.at+1, last)
	case tea.KeyEnter:
		if m.at < last {
			m.form.fill(m.sections[m.at].Hold)
			m.page = formPage
			return nil
		}
		m.openJob()
	default: // typing goes to the line for a job file
		m.at = last
		m.job.update(k)
		m.jobSays = ""
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

// fill takes over what a job knows; what it does not know stays as it was answered.
func (f *form) fill(h Hold) {
	f.job, f.section = h.Job, h.SectionID
	for _, a := range []struct {
		n    name
		text string
	}{{sectionField, h.Section}, {ceilingField, h.Ceiling}, {volumeField, h.Volume}, {limitField, h.Limit},
		{refrigerantField, h.Refrigerant}, {chargeField, h.Charge}, {tolerateField, h.Tolerate}} {
		if a.text != "" {
			q := f.get(a.n)
			q.text = newLine(a.text)
			f.check(q)
		}
	}
	f.at = 0
}

func (m *Model) jobsView() []string {
	lines := []string{m.th.Strong.Render("A section of a job"), ""}
	room := max(m.h-len(lines)-4, 1)
	first := max(m.at-room+1, 0)
	for i, s := range m.sections {
		if i >= first && i < first+room {
			lines = append(lines, m.cursor(i == m.at, ui.Cut(ui.Clean(s.Label, 200), m.w-2)))
		}
	}
	last := m.at >= len(m.sections)
	lines = append(lines, m.cursor(last, "job file: "+m.job.show(max(m.w-12, 1), last)))
	if m.jobSays != "" {
		lines = append(lines, ui.Wrap(m.jobSays, m.w, 2)...)
	}
	return m.foot(lines, "up, down; type a job file; Enter: choose, Esc: back")
}

// planned is what the hold can show, reckoned for the answers so far.
type planned []string

// reckon asks for it beside the screen.
func (m *Model) reckon() tea.Cmd {
	m.plan = nil
	if m.opts.Plan == nil {
		return nil
	}
	plan, h := m.opts.Plan, m.form.hold()
	return func() tea.Msg { return planned(plan(h)) }
}

// planLines are the plan as lines of the page before the start.
func (m *Model) planLines(w int) []string {
	if m.opts.Plan == nil {
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

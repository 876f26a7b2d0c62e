// Package start is the screen that holdfast opens without a command: a new
// hold, a saved log, or the demo.
//
// It opens nothing itself. What the person chose comes out as a Choice, with
// the texts as they were typed and checked; the caller reads them the same way
// as the flags of the command line.
package start

import (
	tea "github.com/charmbracelet/bubbletea"

	"example.org/holdfast/internal/tui/ui"
)

// Kind is what the person wants.
type Kind uint8

// The kinds of choice; the zero value is leaving.
const (
	Quit Kind = iota
	NewHold
	OpenLog
	Demo
)

// Choice is what the person chose.
type Choice struct {
	Kind Kind
	Path string // OpenLog: the file
	Hold Hold   // NewHold
}

// Hold is a filled-in form. Texts are as typed and pass the parsers of package
// units, except that a bare number in Ceiling is in Unit; "" = not said.
type Hold struct {
	Unit        string // "bar" or "psi"
	Section     string // what is closed off
	Device      string // "manual" or "line"
	AskEvery    string // manual: time between readings
	Step        string // manual: readable step of the needle gauge, a pressure difference
	Port        string // line: where the sensor is connected
	Absolute    bool   // line: the sensor sends absolute pressure, not gauge
	Baud        string // line: baud rate of the port
	Thermometer string // "room", "part" or "none"
	Ceiling     string // highest pressure allowed, gauge
	For         string // length of the hold
	Gas         string // name as in Options.Gases
	Volume      string // "0.3L", "0.3L ±5%"
	Limit       string // a rate
	Charge      string // mass of refrigerant
	Refrigerant string
	Tolerate    string // share of the charge in a time, "20%/1y"
	Job         string // the job file that the hold belongs to
	SectionID   string // and the section of it
}

// Log is a saved hold that is offered for opening.
type Log struct {
	Path  string
	Label string // what it is, in words
}

// Options are the settings of the screen.
type Options struct {
	Look  ui.Look
	Unit  string   // "bar" or "psi", where one is known from before
	Logs  []Log    // newest first
	Ports []string // ports that exist; another may be typed
	Gases []string // nil = nitrogen and dry air; the first is the default

	Sections []Section                            // of the jobs at hand
	OpenJob  func(path string) ([]Section, error) // the sections of another job; nil = none can be opened
	Plan     func(Hold) []string                  // what a hold can show, in sentences; it may take a second; nil = nothing is said
}

// Model is the screen; it implements tea.Model.
type Model struct {
	opts   Options
	th     ui.Theme
	w, h   int
	page   page
	at     int // place in the menu or the list of logs
	path   line
	form   form
	scroll int // of the cautions
	choice Choice

	sections []Section // of the jobs
	job      line      // another job file
	jobSays  string    // what is wrong with it
	plan     planned   // nil = under way
}

// page is what the screen shows.
type page uint8

const (
	menuPage page = iota
	logsPage
	formPage
	cautionsPage
	jobsPage
)

// New makes the screen.
func New(opts Options) *Model {
	if len(opts.Gases) == 0 {
		opts.Gases = []string{"nitrogen", "dry air"}
	}
	return &Model{opts: opts, th: ui.NewTheme(opts.Look), form: newForm(opts), path: newLine(""), job: newLine(""), sections: opts.Sections}
}

// Choice is what was chosen; it is Quit until the screen has ended otherwise.
func (m *Model) Choice() Choice { return m.choice }

// Init does nothing: the screen waits for keys.
func (m *Model) Init() tea.Cmd { return ui.SetTitle("holdfast") }

// Update handles one message.
func (m *Model) Update(msg tea.Msg) (tea.Model, tea.Cmd) {
	switch msg := msg.(type) {
	case tea.WindowSizeMsg:
		m.w, m.h = msg.Width, msg.Height
	case planned:
		m.plan = msg
	case tea.KeyMsg:
		return m, m.onKey(msg)
	}
	return m, nil
}

func (m *Model) onKey(k tea.KeyMsg) tea.Cmd {
	switch k.Type {
	case tea.KeyCtrlC:
		return tea.Quit
	case tea.KeyCtrlZ:
		return nil
	}
	switch m.page {
	case logsPage:
		return m.keyLogs(k)
	case formPage:
		return m.keyForm(k)
	case cautionsPage:
		return m.keyCautions(k)
	case jobsPage:
		return m.keyJobs(k)
	}
	return m.keyMenu(k)
}

// entry is a line of the menu.
type entry struct{ key, name, what string }

func menu() []entry {
	return []entry{
		{"n", "new hold", "watch a section that you fill: needle gauge or sensor"},
		{"s", "section", "a hold of a section of a repair that has a job file"},
		{"o", "open a log", "look at a saved hold"},
		{"d", "demo", "a simulated section, 60 times faster; no device needed"},
		{"q", "leave", ""},
	}
}

func (m *Model) keyMenu(k tea.KeyMsg) tea.Cmd {
	items := menu()
	switch s := k.String(); s {
	case "up", "k", "shift+tab":
		m.at = (m.at + len(items) - 1) % len(items)
	case "down", "j", "tab":
		m.at = (m.at + 1) % len(items)
	case "enter", " ":
		return m.open(items[m.at].key)
	case "esc":
		return tea.Quit
	default:
		return m.open(s)
	}
	return nil
}

func (m *Model) open(key string) tea.Cmd {
	switch key {
	case "n":
		m.page = formPage
	case "s":
		m.page, m.at = jobsPage, 0
	case "o":
		m.page, m.at = logsPage, 0
	case "d":
		return m.end(Choice{Kind: Demo})
	case "q":
		return tea.Quit
	}
	return nil
}

func (m *Model) end(c Choice) tea.Cmd {
	m.choice = c
	return tea.Quit
}

// keyLogs moves in the list; the last place is the line for another file.
func (m *Model) keyLogs(k tea.KeyMsg) tea.Cmd {
	last := len(m.opts.Logs)
	switch k.Type {
	case tea.KeyEsc:
		m.page, m.at = menuPage, 2
	case tea.KeyUp, tea.KeyShiftTab:
		m.at = max(m.at-1, 0)
	case tea.KeyDown, tea.KeyTab:
		m.at = min(m.at+1, last)
	case tea.KeyEnter:
		if m.at < last {
			return m.end(Choice{Kind: OpenLog, Path: m.opts.Logs[m.at].Path})
		}
		if p := m.path.value(); p != "" {
			return m.end(Choice{Kind: OpenLog, Path: p})
		}
	default: // typing goes to the line for another file
		m.at = last
		m.path.update(k)
	}
	return nil
}

// keyCautions starts the hold or goes back to the form; View keeps the place within the text.
func (m *Model) keyCautions(k tea.KeyMsg) tea.Cmd {
	switch k.Type {
	case tea.KeyEsc:
		m.page = formPage
	case tea.KeyUp:
		m.scroll--
	case tea.KeyDown:
		m.scroll++
	case tea.KeyEnter:
		return m.end(Choice{Kind: NewHold, Hold: m.form.hold()})
	}
	return nil
}

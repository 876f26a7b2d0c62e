// Package start is the screen that holdfast opens without a command: a new
// hold, a section of a repair, a saved log, the calibration of a sensor, or the demo.
//
// It opens nothing itself. What the person chose comes out as a Choice, with
// the texts as they were typed and checked; the caller reads them the same way
// as the flags of the command line. Where that then fails, Again goes back to
// the answers, with the reason.
package start

import (
	"github.com/charmbracelet/bubbles/key"
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
	GoOn
	Compare
	Calibrate
	Demo
)

// Choice is what the person chose.
type Choice struct {
	Kind Kind
	Path string // OpenLog, GoOn, Compare: the log; Calibrate: the profile
	With string // Compare: the other log
	Hold Hold   // NewHold
}

// Hold is a filled-in form. Texts are as typed and pass the parsers of package
// units, except that a bare number in Ceiling is in Unit; "" = not said.
type Hold struct {
	Vacuum      bool   // a rise under vacuum
	Unit        string // "bar" or "psi"; under vacuum "Pa", "micron" or "mbar"
	Section     string // what is closed off
	Device      string // name of the driver
	Profile     string // the file that says all of the device
	AskEvery    string // manual: time between readings
	Step        string // manual: readable step of the gauge, a pressure difference
	Port        string // where the sensor is connected
	Command     string // the program that prints readings
	Fields      string // what the device gives, and where
	Absolute    bool   // line: the sensor sends absolute pressure, not gauge
	Baud        string // baud rate of the port
	Parity      string // of the port
	UnitID      string // on a bus
	Thermometer string // "room", "part" or "none"
	Probe       string // a 1-wire thermometer that gives the temperature
	Ceiling     string // highest pressure allowed, gauge
	Accept      string // of a vacuum
	For         string // length of the hold
	Heated      bool   // brazed or heated just before
	Gas         string // name as in Options.Gases
	Volume      string // "0.3L", "0.3L ±5%"
	Limit       string // a rate
	Charge      string // mass of refrigerant
	Refrigerant string
	Tolerate    string // share of the charge in a time, "20%/1y"
	Job         string // the job file that the hold belongs to
	SectionID   string // and the section of it
}

// Options are the settings of the screen.
type Options struct {
	Look  ui.Look
	Unit  string   // "bar" or "psi", where one is known from before
	Logs  []Log    // newest first
	GoOn  bool     // a log that was cut off may be gone on with
	Gases []string // nil = nitrogen and dry air; the first is the default

	Instruments []Instrument // the first is the default; nil = a needle gauge alone
	Probes      []string     // 1-wire thermometers that were found
	Profiles    []Log        // of sensors, for calibration

	Sections   []Section                            // of the jobs at hand
	OpenJob    func(path string) ([]Section, error) // the sections of another job; nil = none can be opened
	AddSection func(NewSection) error               // writes it into its job file; nil = not offered
	AddJoint   func(NewJoint) error                 // the same for a joint
	Check      func(Hold) error                     // says what cannot be, beyond what each answer shows; nil = nothing
	Plan       func(Hold) []string                  // what a hold can show, in sentences; it may take a second; nil = nothing is said
}

// Model is the screen; it implements tea.Model.
type Model struct {
	opts    Options
	keys    keymap
	th      ui.Theme
	w, h    int
	page    page
	at      int // place in the menu or a list
	path    line
	scroll  int // of the cautions and the help
	helpFor page
	choice  Choice
	log     Log    // in hand
	says    string // what is wrong with a file that was chosen

	holdForm, vacuumForm, sectionForm, jointForm *form

	filling     *form     // the hold whose cautions are shown
	ofJob       Hold      // what the job knows of the hold
	sections    []Section // of the jobs
	lastSection int       // that the keyboard was at
	job         line      // another job file
	jobSays     string    // what became of it
	plan        planned   // nil = under way
}

// page is what the screen shows.
type page uint8

const (
	menuPage page = iota
	logsPage
	logPage
	besidePage
	profilesPage
	formPage
	vacuumPage
	sectionPage
	jointPage
	cautionsPage
	jobsPage
	helpPage
)

// New makes the screen.
func New(opts Options) *Model {
	if len(opts.Gases) == 0 {
		opts.Gases = []string{"nitrogen", "dry air"}
	}
	if len(opts.Instruments) == 0 {
		opts.Instruments = []Instrument{{Device: "manual", Label: "needle gauge, by hand", Needs: []Need{NeedStep}}}
	}
	m := &Model{opts: opts, keys: newKeymap(), th: ui.NewTheme(opts.Look), path: newLine(""), job: newLine(""), sections: opts.Sections}
	m.holdForm, m.vacuumForm = newHoldForm(opts, false), newHoldForm(opts, true)
	m.sectionForm, m.jointForm = newSectionForm(opts), newJointForm()
	m.filling = m.holdForm
	for _, f := range []*form{m.holdForm, m.vacuumForm} {
		f.instrumentChosen(opts)
	}
	return m
}

// Choice is what was chosen; it is Quit until the screen has ended otherwise.
func (m *Model) Choice() Choice { return m.choice }

// Again makes the screen ready to be shown once more, where what was chosen
// failed: all answers are as they were, and the reason stands beside them.
func (m *Model) Again(problem string) {
	was := m.choice.Kind
	m.choice = Choice{}
	switch was {
	case NewHold:
		m.page = formPage
		if m.filling == m.vacuumForm {
			m.page = vacuumPage
		}
		m.filling.problem = problem
	case OpenLog, GoOn:
		m.page, m.says = logPage, "! "+problem
	case Compare:
		m.page, m.says = besidePage, "! "+problem
	case Calibrate:
		m.page, m.says = profilesPage, "! "+problem
	}
}

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

// form is the one on the page; nil = there is none.
func (m *Model) form() *form {
	switch m.page {
	case formPage:
		return m.holdForm
	case vacuumPage:
		return m.vacuumForm
	case sectionPage:
		return m.sectionForm
	case jointPage:
		return m.jointForm
	}
	return nil
}

// before is the page that Escape goes back to from a form.
func (m *Model) before() page {
	m.at = 0
	if m.page == sectionPage || m.page == jointPage {
		m.at = m.lastSection
		return jobsPage
	}
	return menuPage
}

func (m *Model) onKey(k tea.KeyMsg) tea.Cmd {
	switch {
	case key.Matches(k, m.keys.Leave):
		return tea.Quit
	case k.Type == tea.KeyCtrlZ:
		return nil
	case m.page == helpPage:
		return m.keyHelp(k)
	case m.asksHelp(k):
		m.helpFor, m.page, m.scroll = m.page, helpPage, 0
		return nil
	}
	if f := m.form(); f != nil {
		return m.keyForm(f, k)
	}
	switch m.page {
	case logsPage:
		return m.keyFiles(m.opts.Logs, k, menuPage, m.openLog)
	case logPage:
		return m.keyLog(k)
	case besidePage:
		return m.keyFiles(m.opts.Logs, k, logPage, m.compareWith)
	case profilesPage:
		return m.keyFiles(m.opts.Profiles, k, menuPage, m.calibrate)
	case cautionsPage:
		return m.keyCautions(k)
	case jobsPage:
		return m.keyJobs(k)
	}
	return m.keyMenu(k)
}

// entry is a line of a menu.
type entry struct{ key, name, what string }

// in is the entry in w cells, with what it does where that fits whole.
func (e entry) in(w int) string {
	return ui.Joined([]string{e.key + "  " + ui.Pad(e.name, 12), e.what}, "", w)
}

func (m *Model) menu() []entry {
	return []entry{
		{"n", "new hold", "watch a section that you fill: needle gauge or sensor"},
		{"v", "vacuum", "watch the rise after the pump is shut off: is it dry?"},
		{"s", "section", "sections and joints of a repair, and a hold of one of them"},
		{"o", "open a log", "look at a saved hold, go on with one, compare two"},
		{"c", "calibrate", "zero and scale of a sensor that has a profile"},
		{"d", "demo", "a simulated section, 60 times faster; no device needed"},
		{"?", "help", "the keys, and how things are typed"},
		{"q", "leave", ""},
	}
}

func (m *Model) keyMenu(k tea.KeyMsg) tea.Cmd {
	items := m.menu()
	switch s := k.String(); {
	case key.Matches(k, m.keys.Up) || s == "k":
		m.at = (m.at + len(items) - 1) % len(items)
	case key.Matches(k, m.keys.Down) || s == "j":
		m.at = (m.at + 1) % len(items)
	case key.Matches(k, m.keys.On) || s == " ":
		return m.open(items[m.at].key)
	case key.Matches(k, m.keys.Back):
		return tea.Quit
	default:
		return m.open(s)
	}
	return nil
}

func (m *Model) open(key string) tea.Cmd {
	to := map[string]page{"n": formPage, "v": vacuumPage, "s": jobsPage, "o": logsPage, "c": profilesPage, "?": helpPage}
	switch p, found := to[key]; {
	case found:
		m.page, m.at, m.says, m.scroll, m.helpFor = p, 0, "", 0, menuPage
		if p == formPage {
			m.ofJob, m.holdForm.title = Hold{}, "New hold"
		}
	case key == "d":
		return m.end(Choice{Kind: Demo})
	case key == "q":
		return tea.Quit
	}
	return nil
}

func (m *Model) end(c Choice) tea.Cmd {
	m.choice = c
	return tea.Quit
}

// filled goes on with a form whose every answer is right: a hold to the plan and the cautions.
func (m *Model) filled(f *form) tea.Cmd {
	switch f {
	case m.sectionForm:
		return m.saveSection()
	case m.jointForm:
		return m.saveJoint()
	}
	if m.opts.Check != nil {
		if err := m.opts.Check(m.hold(f)); err != nil {
			f.problem = err.Error()
			return nil
		}
	}
	m.filling, m.page, m.scroll = f, cautionsPage, 0
	return m.reckon()
}

// keyCautions starts the hold or goes back to the form; View keeps the place within the text.
func (m *Model) keyCautions(k tea.KeyMsg) tea.Cmd {
	switch {
	case key.Matches(k, m.keys.Back):
		m.page = formPage
		if m.filling == m.vacuumForm {
			m.page = vacuumPage
		}
	case key.Matches(k, m.keys.Up):
		m.scroll--
	case key.Matches(k, m.keys.Down):
		m.scroll++
	case key.Matches(k, m.keys.On):
		return m.end(Choice{Kind: NewHold, Hold: m.hold(m.filling)})
	}
	return nil
}

// Package holdscreen is the screen of a hold: live, demo and replay alike.
//
// It asks its Feed for the newest State four times a second and draws it; what
// the person does goes out through Actions. It opens nothing, reads no clock
// and never waits for the recording, and the recording never waits for it.
// Besides hold and units it names types of decay, holdlog and verdict only as
// far as they occur inside hold.State.
package holdscreen

import (
	"time"

	tea "github.com/charmbracelet/bubbletea"

	"example.org/holdfast/internal/hold"
	"example.org/holdfast/internal/tui/ui"
)

// Feed is where the screen looks. Both methods must answer at once, from any goroutine.
type Feed interface {
	// State is the newest picture of the hold; nil before the first record.
	State() *hold.State
	// Now is the time on the hold's own clock, s since its first record; the age of data is measured with it.
	Now() float64
}

// Actions are what the person can do. A nil function is not offered. The
// functions are called from a goroutine of their own, one per key press.
type Actions struct {
	Mark   func(text string)
	Refill func()
	Close  func()                                     // vacuum only: the valve to the pump is closed now
	Stop   func()                                     // end the recording; the screen closes after it returns
	Enter  func(text string) (echo string, err error) // a reading by hand; echo says how it was read
	Check  func(text string) (echo string, err error) // the same without recording, while typing; may be nil
	Limit  func(text string) (echo string, err error) // another limit (of a vacuum: acceptance) from now on; echo says how it was read
	Limits func(text string) (echo string, err error) // the same without setting it, while typing; may be nil
	Bell   func()                                     // ring once
	Notify func(text string)                          // tell the desktop, once per alarm
	Player *Player                                    // replay only; nil when live
	WhatIf *WhatIf                                    // replay only; nil = not offered
}

// Player steers a replay. All functions are set. Status is asked for every
// frame and must answer at once.
type Player struct {
	Pause  func()                // stop or go on
	Speed  func(times float64)   // 1 = as it was
	Step   func(records int)     // and pause
	Jump   func(elapsed float64) // s since the first record
	Status func() PlayStatus
}

// PlayStatus is where a replay stands.
type PlayStatus struct {
	Paused  bool
	Speed   float64
	At      float64 // s since the first record
	End     float64 // s, last record; of those read so far, if it is still
	Reading int     // records read so far, while there are more to come; 0 = all are there
}

// Options are the settings of the screen.
type Options struct {
	Look     ui.Look
	Quiet    bool            // no bell
	Title    string          // beside the section: "demo, 60 times faster"
	Unit     string          // pressure unit that goes before the log's own; "" = the log's
	Phone    []string        // where the page for a phone is, and its code; nil = it is not served
	Record   func() []string // where the record is kept and how far it is safe, in lines; it may wait for the disk; nil = nothing is kept
	Unsaved  func() string   // why the record cannot be written at present, "" = it is; must answer at once; nil = nothing is kept
	AskEvery float64         // s between readings asked for by hand; 0 = the log's setting, or never
}

// Model is the screen; it implements tea.Model.
type Model struct {
	feed Feed
	act  Actions
	opts Options
	th   ui.Theme
	keys keymap

	w, h int
	st   *hold.State
	now  float64
	same int // looks in a row that showed no new sample

	mode    mode
	far     bool
	raw     bool
	lens    lens
	muted   bool
	input   input
	notice  string
	noticed int // ticks the notice still stays
	scroll  int // of help and details
	stopped bool
	kept    kept
	suppose suppose

	bell  bell
	cache picture // the chart of the last State
	title string  // last window title sent

	unitFor *string // the name that unitIs belongs to
	unitIs  ui.Unit
}

// New makes the screen.
func New(feed Feed, act Actions, opts Options) *Model {
	if feed == nil {
		feed = noFeed{}
	}
	m := &Model{feed: feed, act: act, opts: opts, th: ui.NewTheme(opts.Look), input: newInput()}
	m.keys = newKeymap(act)
	m.suppose = newSuppose(act.WhatIf)
	m.keys.Phone.SetEnabled(len(opts.Phone) > 0)
	m.look()
	m.same = 2 // as if it had been looked at for long: what is old at the start is old
	m.bell.start(m.st, m.now)
	return m
}

type noFeed struct{}

func (noFeed) State() *hold.State { return nil }
func (noFeed) Now() float64       { return 0 }

// tick is the message that makes the screen look at the feed.
type tick struct{}

// poll is the time between two looks at the feed.
const poll = 250 * time.Millisecond

func nextTick() tea.Cmd { return tea.Tick(poll, func(time.Time) tea.Msg { return tick{} }) }

// Init starts the looking.
func (m *Model) Init() tea.Cmd { return tea.Batch(nextTick(), m.windowTitle()) }

// Stopped tells whether the person ended the recording from this screen.
func (m *Model) Stopped() bool { return m.stopped }

// look takes the newest picture. Now may lag behind a record that has just come.
func (m *Model) look() {
	before := m.st
	m.st = m.feed.State()
	m.now = m.feed.Now()
	if m.st != nil && !(m.now >= m.st.Elapsed) {
		m.now = m.st.Elapsed
	}
	m.same++
	if m.st != nil && (before == nil || before.Samples != m.st.Samples) {
		m.same = 0
	}
}

// quiet tells whether the bell must not ring.
func (m *Model) quiet() bool {
	return m.muted || m.opts.Quiet || m.act.Bell == nil || m.act.Player != nil
}

package holdscreen

import (
	"errors"
	"slices"
	"strings"
	"testing"
	"time"

	tea "github.com/charmbracelet/bubbletea"

	"example.org/holdfast/internal/hold"
	"example.org/holdfast/internal/tui/ui"
)

// moving is a feed that the test moves.
type moving struct {
	st  *hold.State
	now float64
}

func (f *moving) State() *hold.State { return f.st }
func (f *moving) Now() float64       { return f.now }

// bench is a screen with everything it calls written down.
type bench struct {
	*Model
	feed  *moving
	calls []string
	fail  error
	quit  bool
}

func newBench(st *hold.State, opts Options) *bench {
	b := &bench{feed: &moving{st: st}}
	if st != nil {
		b.feed.now = st.Elapsed
	}
	opts.Look.NoColor = true
	note := func(s string) { b.calls = append(b.calls, s) }
	b.Model = New(b.feed, Actions{
		Mark:   func(s string) { note("mark " + s) },
		Refill: func() { note("refill") },
		Stop:   func() { note("stop") },
		Bell:   func() { note("bell") },
		Enter: func(s string) (string, error) {
			note("enter " + s)
			return "19.80 bar gauge", b.fail
		},
	}, opts)
	b.Update(tea.WindowSizeMsg{Width: 80, Height: 24})
	return b
}

// run carries out a command and feeds its messages back; timers are left out.
func (b *bench) run(cmd tea.Cmd) {
	if cmd == nil {
		return
	}
	done := make(chan tea.Msg, 1)
	go func() { done <- cmd() }()
	select {
	case msg := <-done:
		b.take(msg)
	case <-time.After(50 * time.Millisecond): // the next tick
	}
}

func (b *bench) take(msg tea.Msg) {
	switch msg := msg.(type) {
	case nil, tick:
	case tea.QuitMsg:
		b.quit = true
	case tea.BatchMsg:
		for _, c := range msg {
			b.run(c)
		}
	default:
		_, cmd := b.Update(msg)
		b.run(cmd)
	}
}

func (b *bench) press(keys ...string) {
	special := map[string]tea.KeyType{"enter": tea.KeyEnter, "esc": tea.KeyEsc, "ctrl+c": tea.KeyCtrlC, "ctrl+z": tea.KeyCtrlZ,
		"left": tea.KeyLeft, "right": tea.KeyRight, "up": tea.KeyUp, "space": tea.KeySpace}
	for _, k := range keys {
		if t, ok := special[k]; ok {
			msg := tea.KeyMsg{Type: t}
			if t == tea.KeySpace {
				msg.Runes = []rune{' '}
			}
			_, cmd := b.Update(msg)
			b.run(cmd)
			continue
		}
		for _, r := range k {
			_, cmd := b.Update(tea.KeyMsg{Type: tea.KeyRunes, Runes: []rune{r}})
			b.run(cmd)
		}
	}
}

func (b *bench) ticks(n int) {
	for range n {
		b.run(b.onTick())
	}
}

func (b *bench) count(call string) (n int) {
	for _, c := range b.calls {
		if c == call {
			n++
		}
	}
	return n
}

func TestStoppingAsksFirst(t *testing.T) {
	b := newBench(tightState(), Options{})
	b.press("q")
	if b.quit || !strings.Contains(b.View(), "stop recording? y/n") {
		t.Fatalf("q does not ask:\n%s", b.View())
	}
	b.press("n")
	if b.quit || len(b.calls) > 0 {
		t.Fatal("n stopped the recording")
	}
	b.press("q", "y")
	if !b.quit || b.count("stop") != 1 || !b.Stopped() {
		t.Errorf("q, y: quit %v, calls %v", b.quit, b.calls)
	}
}

func TestTheSecondCtrlCStopsFromAnywhere(t *testing.T) {
	for _, before := range []string{"", "m", "?", "d", "e", "mt", "r"} {
		b := newBench(tightState(), Options{})
		b.press(before, "ctrl+c")
		if b.quit {
			t.Errorf("after %q the first ctrl-c stopped", before)
		}
		b.press("ctrl+c")
		if !b.quit || b.count("stop") != 1 {
			t.Errorf("after %q two ctrl-c: quit %v, calls %v", before, b.quit, b.calls)
		}
	}
}

func TestCtrlZDoesNothing(t *testing.T) {
	b := newBench(tightState(), Options{})
	was := b.View()
	b.press("ctrl+z")
	if b.quit || len(b.calls) > 0 || b.View() != was {
		t.Error("ctrl-z did something")
	}
}

func TestMarksFromTheMenuAndTyped(t *testing.T) {
	b := newBench(tightState(), Options{})
	b.press("m2", "m", "esc", "mt", "sun on the part\x1b", "enter")
	want := []string{"mark joint soaped", "mark sun on the part"}
	if !slices.Equal(b.calls, want) {
		t.Errorf("calls %q, want %q", b.calls, want)
	}
	if !strings.Contains(b.View(), "marked: sun on the part") {
		t.Error("the mark is not confirmed on the screen")
	}
}

func TestRefillAsksFirst(t *testing.T) {
	b := newBench(tightState(), Options{})
	b.press("r", "n", "r", "esc")
	if len(b.calls) > 0 {
		t.Fatalf("refilled without a yes: %v", b.calls)
	}
	b.press("r", "y")
	if b.count("refill") != 1 {
		t.Errorf("calls %v", b.calls)
	}
}

// A person who mistypes a reading must not have to type it again.
func TestABadReadingIsKeptWithItsError(t *testing.T) {
	b := newBench(tightState(), Options{})
	b.fail = errors.New(`pressure "1o.2": write a number and a unit`)
	b.press("e", "1o.2 bar", "enter")
	v := b.View()
	if !strings.Contains(v, "1o.2 bar_") || !strings.Contains(v, "! pressure") {
		t.Fatalf("text or error is gone:\n%s", v)
	}
	b.press("esc")
	b.press("e")
	if !strings.Contains(b.View(), "1o.2 bar_") {
		t.Fatal("Escape lost what was typed")
	}
	b.fail = nil
	b.press("enter")
	if b.mode != watching || !strings.Contains(b.View(), "read as 19.80 bar gauge") {
		t.Errorf("a good reading is not echoed:\n%s", b.View())
	}
}

// Who types a reading without pressing e first must not have it scattered over the keys of the
// screen, where the r of "bar" is a refill.
func TestADigitBeginsAReading(t *testing.T) {
	b := newBench(tightState(), Options{})
	b.press("1", "9,8bar")
	if b.mode != typingReading || !strings.Contains(b.View(), "19,8bar_") {
		t.Fatalf("mode %d, the reading is not in the line:\n%s", b.mode, b.View())
	}
}

func TestAReadingByHandIsAskedForWhenItIsDue(t *testing.T) {
	b := newBench(nil, Options{AskEvery: 600})
	b.ticks(1)
	if b.mode != typingReading || b.count("bell") != 1 {
		t.Fatalf("the first reading is not asked for: mode %d, calls %v", b.mode, b.calls)
	}
	b.press("esc")
	b.ticks(2)
	if b.mode != watching || !strings.Contains(b.View(), "A READING IS DUE") {
		t.Fatalf("a reading put off must stay visible and not take the keyboard again:\n%s", b.View())
	}
	st := fillingState()
	b.feed.st, b.feed.now = st, st.LastSampleAt+599
	b.ticks(1)
	if strings.Contains(b.View(), "A READING IS DUE") {
		t.Error("asked before the time")
	}
	b.feed.now = st.LastSampleAt + 600
	b.ticks(1)
	if b.mode != typingReading || b.count("bell") != 2 {
		t.Errorf("the next reading is not asked for: mode %d, calls %v", b.mode, b.calls)
	}
}

func TestTheBellRingsOnceForNewsAndGoesOnForALeak(t *testing.T) {
	st := tightState()
	b := newBench(st, Options{})
	with := func(k hold.AlarmKind) {
		next := *b.feed.st
		next.Alarms = append(slices.Clone(next.Alarms), hold.Alarm{Elapsed: next.Elapsed, Kind: k})
		b.feed.st = &next
	}
	with(hold.AlarmTight)
	b.ticks(nagTicks + 2)
	if b.count("bell") != 1 {
		t.Fatalf("tight rang %d times, want once", b.count("bell"))
	}
	with(hold.AlarmLeak)
	b.ticks(2*nagTicks + 1)
	if b.count("bell") != 4 {
		t.Fatalf("a leak rang %d times in a minute, want 3", b.count("bell")-1)
	}
	b.press("x")
	b.ticks(2 * nagTicks)
	if b.count("bell") != 4 {
		t.Error("a key does not silence the bell")
	}
}

func TestTheBellStaysSilent(t *testing.T) {
	leak := leakingState()
	for name, b := range map[string]*bench{
		"quiet":              newBench(tightState(), Options{Quiet: true}),
		"an alarm long gone": newBench(leak, Options{}),
	} {
		if name == "quiet" {
			b.feed.st = leak
		}
		b.ticks(nagTicks + 1)
		if b.count("bell") != 0 {
			t.Errorf("%s: it rang", name)
		}
	}
	b := newBench(tightState(), Options{})
	b.press("b")
	b.feed.st = leak
	b.ticks(3)
	if b.count("bell") != 0 {
		t.Error("it rang after b")
	}
}

func TestAFrozenScreenLooksFrozen(t *testing.T) {
	st := tightState()
	b := newBench(st, Options{})
	b.ticks(3)
	if strings.Contains(b.View(), "NO NEW READING") {
		t.Fatal("fresh data called old")
	}
	before := b.alive()
	next := *st
	next.Samples, next.Elapsed, next.LastSampleAt = st.Samples+1, st.Elapsed+1, st.LastSampleAt+1
	b.feed.st, b.feed.now = &next, next.Elapsed
	b.ticks(1)
	if b.alive() == before {
		t.Error("the sign of life does not move with a sample")
	}
	b.feed.now += 2.5 // the interval is 1 s
	b.ticks(3)
	if !strings.Contains(b.View(), "NO NEW READING for 2.5 s") {
		t.Errorf("data older than two intervals looks fresh:\n%s", b.View())
	}
}

// A demo runs 60 times faster: between two looks many samples come, and none of them is old.
func TestAFastHoldIsNotCalledFrozen(t *testing.T) {
	st := tightState()
	b := newBench(st, Options{})
	for i := range 5 {
		next := *st
		next.Samples = st.Samples + 15*(i+1)
		b.feed.st, b.feed.now = &next, st.Elapsed+15
		b.ticks(1)
		if strings.Contains(b.View(), "NO NEW READING") {
			t.Fatal("a running demo is called frozen")
		}
	}
}

func TestALostSensorIsSaidInPlainWords(t *testing.T) {
	b := newBench(lostState(), Options{})
	b.feed.now += 34
	b.ticks(1)
	if v := b.View(); !strings.Contains(v, "NO SIGNAL from line for 34 s") || !strings.Contains(v, "still recording") {
		t.Errorf("screen:\n%s", v)
	}
}

func TestAPressureAboveTheCeilingIsShouted(t *testing.T) {
	st := fillingState()
	st.Header.Settings.Ceiling = 7e5
	b := newBench(st, Options{})
	if v := b.View(); !strings.Contains(v, "ABOVE THE CEILING OF 7.00 bar") {
		t.Errorf("screen:\n%s", v)
	}
}

func TestReplayKeys(t *testing.T) {
	var calls []any
	at := PlayStatus{Speed: 60, At: 1000, End: 4000}
	m := New(feedOf(tightState(), 0), Actions{Player: &Player{
		Pause: func() { calls = append(calls, "pause") }, Speed: func(x float64) { calls = append(calls, x) },
		Step: func(n int) { calls = append(calls, "step", n) }, Jump: func(x float64) { calls = append(calls, "jump", x) },
		Status: func() PlayStatus { return at }}}, Options{Look: ui.Look{NoColor: true}})
	b := &bench{Model: m}
	b.Update(tea.WindowSizeMsg{Width: 80, Height: 24})
	b.press("space", "+", "-", ".", "left", "right", "5")
	want := []any{"pause", 100.0, 10.0, "step", 1, "jump", 900.0, "jump", 1100.0, "jump", 2000.0}
	if !slices.Equal(calls, want) {
		t.Errorf("calls %v, want %v", calls, want)
	}
	if !strings.Contains(b.View(), "replay 60x, 16:40 of 1:06:40") {
		t.Errorf("no word on where the replay stands:\n%s", b.View())
	}
	b.press("m", "r")
	if b.mode != watching {
		t.Error("a replay offers marks or refills")
	}
	if b.press("q"); !b.quit {
		t.Error("q does not leave a replay at once")
	}
}

// The three verdicts differ in shape, so that they are told apart without colour and from afar.
func TestVerdictsDifferInShape(t *testing.T) {
	seen := map[string]string{}
	for name, st := range map[string]*hold.State{"tight": tightState(), "leaking": leakingState(), "unproven": earlyState()} {
		for _, ascii := range []bool{false, true} {
			m := New(feedOf(st, 0), Actions{}, Options{Look: ui.Look{NoColor: true, ASCII: ascii}})
			edge := m.banner(80, 5)[0]
			if other, ok := seen[edge]; ok {
				t.Errorf("%s and %s have the same outline %q", name, other, edge)
			}
			seen[edge] = name
		}
	}
}

package start

import (
	"errors"
	"flag"
	"fmt"
	"strings"
	"testing"

	"github.com/charmbracelet/lipgloss"
	"github.com/charmbracelet/x/ansi"
	"github.com/muesli/termenv"

	tea "github.com/charmbracelet/bubbletea"

	"example.org/holdfast/internal/tui/tuitest"
	"example.org/holdfast/internal/tui/ui"
)

var update = flag.Bool("update", false, "write the frames anew; look at every one before committing")

// The frames were looked at.
func TestPagesLookAsReviewed(t *testing.T) {
	for name, c := range map[string]struct {
		keys []string
		look ui.Look
		w, h int
	}{
		"menu-80x24":       {nil, ui.Look{NoColor: true}, 80, 24},
		"menu-40x12":       {nil, ui.Look{NoColor: true}, 40, 12},
		"form-80x24-ascii": {[]string{"n", "down", "down", "down"}, ui.Look{NoColor: true, ASCII: true}, 80, 24},
		"form-40x12":       {[]string{"n", "down", "down"}, ui.Look{NoColor: true}, 40, 12},
		"ceiling-80x24":    {[]string{"n", "down", "down", "down", "down", "down", "down", "ctrl+u", "12"}, ui.Look{NoColor: true}, 80, 24},
		"ceiling-40x12":    {[]string{"n", "down", "down", "down", "down", "down", "down", "ctrl+u", "12"}, ui.Look{NoColor: true}, 40, 12},
		"plan-80x24":       {[]string{"n", "ctrl+s"}, ui.Look{NoColor: true}, 80, 24},
		"plan-40x12":       {[]string{"n", "ctrl+s"}, ui.Look{NoColor: true}, 40, 12},
	} {
		m := New(Options{Look: c.look, Instruments: instruments(), Plan: func(Hold) []string {
			return []string{"Never above 10.00 bar gauge.", "Filled to 10.00 bar it sees leaks from about 1.8 %/h on in 1h, in a still room.", "! No limit is set: it can say leaking or unproven, never tight."}
		}})
		m.Update(tea.WindowSizeMsg{Width: c.w, Height: c.h})
		press(m, c.keys...)
		tuitest.Golden(t, *update, name, m.View())
	}
}

func TestEveryPageFitsEverySize(t *testing.T) {
	lipgloss.SetColorProfile(termenv.TrueColor)
	ways := [][]string{{}, {"f1"}, {"v"}, {"c"}, {"o", "enter"}, {"o", "enter", "b"}, {"s", "down", "enter"}, {"s", "down", "down", "enter"}, {"s"}, {"s", "down", "x.toml", "enter"}, {"s", "enter"}, {"s", "enter", "ctrl+s"}, {"o"}, {"o", "some/very/long/path"}, {"n"}, {"n", "down", "down", "right", "ctrl+s"}, {"n", "ctrl+s"},
		{"n", "down", "down", "down", "down", "down", "down", "ctrl+u", "x"}}
	logs := []Log{{Path: strings.Repeat("p", 300), Label: "\x1b]0;x\x07漢字" + strings.Repeat("l", 300)}}
	for range 40 {
		logs = append(logs, Log{Path: "p", Label: "l"})
	}
	sections := []Section{{Label: "job.toml: \x1b]0;x\x07" + strings.Repeat("s", 300), Hold: Hold{Job: "job.toml", SectionID: "e", Section: "evaporator", Limit: "3g/yr"}}}
	for _, look := range []ui.Look{{}, {ASCII: true}, {NoColor: true}} {
		for _, keys := range ways {
			m := New(Options{Look: look, Logs: logs, GoOn: true, Profiles: logs, Sections: sections, Instruments: instruments(),
				AddSection: func(NewSection) error { return nil }, AddJoint: func(NewJoint) error { return nil },
				OpenJob: func(string) ([]Section, error) { return nil, errors.New(strings.Repeat("no such file ", 30)) },
				Plan:    func(Hold) []string { return []string{strings.Repeat("it sees leaks ", 20), "! too short"} }})
			press(m, keys...)
			for _, w := range []int{1, 2, 3, 7, 13, 20, 40, 59, 80, 120, 200} {
				for _, h := range []int{1, 2, 3, 4, 6, 8, 12, 17, 24, 40, 60} {
					m.Update(tea.WindowSizeMsg{Width: w, Height: h})
					what := fmt.Sprintf("%v %+v %dx%d", keys, look, w, h)
					tuitest.Fits(t, what, m.View(), w, h, look)
					asks(t, what, m)
				}
			}
		}
	}
}

// asks wants the question in hand, where to answer it and a key on the screen, and below the smallest size a sentence.
func asks(t *testing.T, what string, m *Model) {
	t.Helper()
	view := ansi.Strip(m.View())
	needs := []string{"Esc"}
	f := m.form()
	switch {
	case m.w < ui.LeastWidth || m.h < ui.LeastHeight:
		needs = ui.TooSmall(m.w, m.h)[:1]
	case m.page == menuPage:
		needs = []string{m.menu()[m.at].name, "up, down, Enter"}
	case f != nil && f.fields[f.at].name == endField:
		needs = []string{"> " + f.end + ": press Enter", "Enter"}
	case f != nil && f.fields[f.at].typable():
		needs = []string{f.fields[f.at].label, "_", "Enter"}
	case f != nil:
		needs = []string{f.fields[f.at].label, "< ", " >", "Enter", "left, right"}
	}
	for _, need := range needs {
		if !strings.Contains(view, need) {
			t.Fatalf("%s: %q is not on the screen:\n%s", what, need, view)
		}
	}
}

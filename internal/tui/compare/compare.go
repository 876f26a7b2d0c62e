// Package compare is the screen of two saved holds of one section in one
// chart, as before and after a joint was remade: what each lost since its
// start, with both verdicts and the difference in words.
//
// It opens nothing and computes no difference: both are handed in.
package compare

import (
	"math"
	"strings"

	tea "github.com/charmbracelet/bubbletea"

	"example.org/holdfast/internal/hold"
	"example.org/holdfast/internal/tui/ui"
)

// Side is one of the two holds, read to its end.
type Side struct {
	Name  string // of its file
	State *hold.State
}

// Model is the screen; it implements tea.Model.
type Model struct {
	sides [2]Side
	words []string
	th    ui.Theme
	w, h  int
}

// New makes the screen; words say the difference.
func New(first, second Side, words []string, look ui.Look) *Model {
	return &Model{sides: [2]Side{first, second}, words: words, th: ui.NewTheme(look)}
}

// Init does nothing: the screen waits for keys.
func (m *Model) Init() tea.Cmd { return ui.SetTitle("holdfast: two holds") }

// Update handles one message.
func (m *Model) Update(msg tea.Msg) (tea.Model, tea.Cmd) {
	switch msg := msg.(type) {
	case tea.WindowSizeMsg:
		m.w, m.h = msg.Width, msg.Height
	case tea.KeyMsg:
		switch msg.String() {
		case "q", "esc", "ctrl+c":
			return m, tea.Quit
		}
	}
	return m, nil
}

// View draws the screen into exactly the size of the terminal.
func (m *Model) View() string {
	if m.w <= 0 || m.h <= 0 {
		return ""
	}
	if m.w < ui.LeastWidth || m.h < ui.LeastHeight {
		return strings.Join(ui.TooSmall(m.w, m.h), "\n")
	}
	lines := append([]string{m.th.Strong.Render("TWO HOLDS")}, append(m.about(0), m.about(1)...)...)
	for _, s := range m.words {
		lines = append(lines, ui.Wrap(ui.Clean(s, 300), m.w, 3)...)
	}
	if room := m.h - len(lines) - 2; room >= 4 {
		lines = append(lines, m.unit().Fine+" since the start, at the temperature of the start")
		lines = append(lines, m.chart(room).Render(m.th)...)
	}
	lines = ui.Block(lines, m.w, m.h-1)
	return strings.Join(append(lines, m.th.Strong.Render("q")+" leave"), "\n")
}

// sign is the mark of a hold's curve.
func (m *Model) sign(i int) string {
	return [...]string{m.th.Say("⣿", "o") + " first ", m.th.Calm.Render("x") + " second"}[i]
}

// about is one hold: its sign, the verdict and its file, and what it says, on a line of its own where one has no room.
func (m *Model) about(i int) []string {
	v := m.sides[i].State.Verdict
	head := ui.Joined([]string{m.sign(i) + "  " + m.th.Strong.Render(strings.ToUpper(string(v.Word))), ui.Clean(m.sides[i].Name, 60)}, "  ", m.w)
	if all := head + "  " + ui.Clean(v.Phrase, 200); ui.Width(all) <= m.w {
		return []string{all}
	}
	return []string{head, "          " + ui.Short(ui.Clean(v.Phrase, 200), m.w-10)}
}

func (m *Model) unit() ui.Unit { return ui.UnitOf(m.sides[0].State.Header.Settings.Display) }

// chart is what both lost since their starts.
func (m *Model) chart(h int) ui.Plot {
	p := ui.Plot{W: m.w, H: h, Gutter: 9, Margin: 8, X1: 60, Y0: math.Inf(1), Y1: math.Inf(-1),
		YTick: func(v, step float64) string { return ui.Number(v, ui.StepDecimals(step)) }}
	p.Lines = []ui.Line{{Pts: m.change(0), Char: 'o', Style: m.th.Plain}, {Pts: m.change(1), Char: 'x', Mark: 'x', Style: m.th.Calm}}
	for i, l := range p.Lines {
		for _, q := range l.Pts {
			if math.IsNaN(q.Y) || math.IsNaN(q.X) {
				continue
			}
			p.X1 = math.Max(p.X1, q.X)
			p.Y0, p.Y1 = math.Min(p.Y0, q.Y), math.Max(p.Y1, q.Y)
		}
		if n := len(l.Pts); n > 0 {
			p.Notes = append(p.Notes, ui.Note{Y: l.Pts[n-1].Y, Text: [...]string{"first", "second"}[i], Style: l.Style})
		}
	}
	pad := math.Max(0.06*(p.Y1-p.Y0), 0.1)
	p.Y0, p.Y1 = p.Y0-pad, p.Y1+pad
	level := []ui.Pt{{X: 0, Y: 0}, {X: p.X1, Y: 0}}
	p.Lines = append([]ui.Line{{Pts: level, On: 1, Off: 3, Char: '.', Style: m.th.Dim}}, p.Lines...)
	return p
}

// change is how far the corrected pressure of a hold has moved from where its
// fit began, in the fine unit, broken at gaps.
func (m *Model) change(i int) []ui.Pt {
	st, u := m.sides[i].State, m.unit()
	start := math.NaN()
	pts := make([]ui.Pt, 0, len(st.Curve))
	for _, c := range st.Curve {
		if math.IsNaN(start) && c.Fit > 0 {
			start = c.Fit + st.Estimate.Rate.Value*c.T
		}
		if c.Gap {
			pts = append(pts, ui.Pt{X: c.T, Y: math.NaN()})
		}
		pts = append(pts, ui.Pt{X: c.T, Y: (c.Corrected - start) / u.FinePa})
	}
	return pts
}

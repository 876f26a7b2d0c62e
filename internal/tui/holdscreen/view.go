package holdscreen

import (
	"strings"

	"example.org/holdfast/internal/tui/ui"
)

// View draws the screen into exactly the size of the terminal.
func (m *Model) View() string {
	if m.w <= 0 || m.h <= 0 {
		return ""
	}
	var lines []string
	switch {
	case m.mode == showingHelp:
		lines = m.page("HELP", m.helpLines())
	case m.mode == showingDetails:
		lines = m.page("WHY", m.detailLines())
	case m.w < 40 || m.h < 12:
		lines = m.tiny()
	case m.far:
		lines = m.wall()
	default:
		lines = m.near()
	}
	return strings.Join(ui.Block(lines, m.w, m.h), "\n")
}

// plan is how many rows each part of the near view gets. What does not fit goes
// in this order: reasons, temperature, legend, chart, title, time in big digits.
type plan struct {
	title  int
	tall   bool // digits of 7 rows
	left   bool // time left in a line of its own, because it does not fit beside the pressure
	banner int
	chart  int
	side   int // width of the panel beside the chart
	why    int // rows of reasons under the chart
}

func (m *Model) plan() plan {
	p := plan{banner: 3}
	p.tall = m.h >= 34 && m.w >= 100
	p.left = m.w < 78
	switch {
	case m.h >= 34:
		p.banner = 7
	case m.h >= 22:
		p.banner = 5
	}
	digits := 5
	if p.tall {
		digits = 7
	}
	fixed := digits + p.banner + 3 // phases, health, keys
	if p.left {
		fixed++
	}
	rest := m.h - fixed
	if rest >= 2 {
		p.title = 1
		rest--
	}
	if rest < 6 {
		p.why = rest
		return p
	}
	if m.w >= 110 {
		p.side = min(m.w/3, 56)
	} else if rest >= 20 {
		p.why = rest / 4
	}
	p.chart = rest - p.why
	return p
}

// near is the working view.
func (m *Model) near() []string {
	p := m.plan()
	lines := make([]string, 0, m.h)
	if p.title > 0 {
		lines = append(lines, m.titleLine())
	}
	lines = append(lines, m.phaseLine(m.w))
	lines = append(lines, m.bigRow(p)...)
	if p.left {
		lines = append(lines, m.leftLine())
	}
	lines = append(lines, m.banner(m.w, p.banner)...)
	lines = append(lines, m.middle(p)...)
	for len(lines) < m.h-2 {
		lines = append(lines, "")
	}
	return append(lines, m.healthLine(), m.bottom())
}

// middle is the chart with the panel beside it and the reasons under it.
func (m *Model) middle(p plan) []string {
	var lines []string
	if p.chart > 0 {
		pic := m.picture(m.w-p.side, p.chart)
		if p.side > 0 {
			panel := ui.Block(m.panel(p.side-2), p.side-2, p.chart)
			pic = ui.Beside(pic, m.w-p.side+2, panel)
		}
		lines = append(lines, pic...)
	}
	if p.why > 0 {
		lines = append(lines, ui.Block(m.panel(m.w), m.w, p.why)...)
	}
	return lines
}

// wall is the far view: verdict, pressure and time as large as they go.
func (m *Model) wall() []string {
	word := m.verdictWord()
	press, unit := m.pressure(m.w / 2)
	left, what := m.timeLeft()
	rows := m.h - 4 // phrase, labels, health, keys
	scale := 1
	for s := 2; s <= 6; s++ {
		if ui.BigWidth(word, 2*s, false) <= m.w-8 && ui.BigWidth(press, 2*s, false) <= m.w && 5*s*3+4 <= rows {
			scale = s
		}
	}
	px := 2 * scale
	if ui.BigWidth(word, px, false) > m.w-8 {
		px = 1
	}
	bh := 5*scale + 2
	lines := m.wallWord(word, px, scale, bh)
	lines = append(lines, ui.Centre(m.phrase(), m.w))
	big := ui.Big(m.th, press, 2*scale, scale, false)
	tl := ui.Big(m.th, left, 2*scale, scale, false)
	if ui.Width(big[0])+ui.Width(tl[0])+20 <= m.w {
		lines = append(lines, m.bigPair(press, unit, left, what, 2*scale, scale, false)...)
	} else {
		for _, l := range big {
			lines = append(lines, ui.Centre(l, m.w))
		}
		lines = append(lines, ui.Centre(unit+"   "+left+" "+what, m.w))
		if len(lines)+5*scale+3 <= m.h && ui.BigWidth(left, 2*scale, false) <= m.w {
			for _, l := range tl {
				lines = append(lines, ui.Centre(l, m.w))
			}
		}
	}
	lines = ui.Block(lines, m.w, min(len(lines), m.h-2))
	for len(lines) < m.h-2 {
		lines = append(lines, "")
	}
	return append(lines, m.healthLine(), m.bottom())
}

// wallWord is the verdict in its shape in large letters.
func (m *Model) wallWord(word string, px, py, h int) []string {
	return ui.Sign(m.th, m.shape(), ui.Big(m.th, word, px, py, false), m.w, h)
}

// tiny is for terminals below 40 by 12: one thing a line, most important first.
func (m *Model) tiny() []string {
	press, unit := m.pressure(m.w)
	left, what := m.timeLeft()
	lines := ui.Banner(m.th, m.shape(), m.verdictWord(), nil, m.w, 1)
	if m.h == 1 && m.w >= 20 {
		lines = ui.Banner(m.th, m.shape(), m.verdictWord(), []string{press + " " + unit}, m.w, 1)
	}
	lines = append(lines, press+" "+unit)
	if m.mode != watching {
		lines = append(lines, m.bottom())
	}
	lines = append(lines, ui.Wrap(m.phrase(), m.w, 2)...)
	lines = append(lines, left+" "+what, m.age(), m.keyLine())
	return lines
}

// page shows a text that may be longer than the screen.
func (m *Model) page(head string, body []string) []string {
	room := max(m.h-2, 1)
	m.scroll = max(min(m.scroll, len(body)-room), 0)
	end := min(m.scroll+room, len(body))
	where := "any key: back"
	if len(body) > room {
		where = "up, down: more   any other key: back"
	}
	lines := []string{m.th.Strong.Render(ui.Cut(head, m.w))}
	lines = append(lines, ui.Block(body[m.scroll:end], m.w, room)...)
	return append(lines, ui.Cut(where, m.w))
}

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
	return join(m.frame())
}

func join(lines []string) string { return strings.Join(lines, "\n") }

// frame is the screen as exactly as many lines as it is high.
func (m *Model) frame() []string {
	var lines []string
	switch {
	case m.h <= 0:
	case m.mode == showingHelp:
		lines = m.page("HELP", m.helpLines())
	case m.mode == showingDetails:
		lines = m.page("WHY", m.detailLines())
	case m.mode == showingPhone:
		lines = m.page("PAGE FOR A PHONE", m.opts.Phone)
	case m.mode == supposing:
		lines = m.supposeView()
	case m.w < ui.LeastWidth || m.h < ui.LeastHeight:
		lines = m.tiny()
	case m.far:
		lines = m.wall()
	default:
		lines = m.near()
	}
	return ui.Block(lines, m.w, m.h)
}

// plan is how many rows each part of the near view gets. What does not fit goes
// in this order: reasons, temperature, legend, chart, title, time in big digits.
type plan struct {
	title  int
	tall   bool // digits of 7 rows
	left   bool // time left beside the phases, because it does not fit beside the pressure
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
	case m.h >= 34, m.h >= 22 && m.w < 64: // narrow text needs more rows
		p.banner = 7
	case m.h >= 22:
		p.banner = 5
	case p.left:
		p.banner = 4 // two rows for the phrase
	}
	digits := 5
	if p.tall {
		digits = 7
	}
	fixed := digits + p.banner + 3 // phases, health, keys
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
	switch over := m.overCeiling(); {
	case over != "":
		lines = append(lines, over)
	case p.left:
		left := m.leftText()
		lines = append(lines, ui.Sides(m.phaseLine(m.w-ui.Width(left)-2), left, m.w))
	default:
		lines = append(lines, m.phaseLine(m.w))
	}
	lines = append(lines, m.bigRow(p)...)
	lines = append(lines, m.banner(m.w, p.banner)...)
	lines = append(lines, m.middle(p)...)
	return m.footed(lines)
}

// footed puts the last two lines at the bottom of the screen.
func (m *Model) footed(lines []string) []string {
	return append(ui.Block(lines, m.w, max(m.h-2, 0)), m.foot()...)
}

// middle is the chart with the panel beside it and the reasons under it.
func (m *Model) middle(p plan) []string {
	var lines []string
	if p.chart > 0 && m.empty() {
		return ui.Block(m.filling(m.w, p.chart+p.why), m.w, p.chart+p.why)
	}
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

// wall is the far view: verdict, pressure and time as large as they go; where
// large numbers have no room they stand in plain ones under the word.
func (m *Model) wall() []string {
	word := m.verdictWord()
	press, unit := m.pressure(m.w)
	left, what := m.timeLeft()
	py, t, beside := m.wallScale(word, press, left)
	large := max(py, 1)
	letters := ui.Big(m.th, word, fitting(word, 2*large, ui.SignRoom(m.shape(), m.w)), large, false)
	lines := ui.Sign(m.th, m.shape(), letters, m.w, 5*large+2)
	switch over := m.overCeiling(); {
	case over != "":
		lines = append(lines, over)
	case py == 0:
		lines = append(lines, ui.Wrap(m.phrase(), m.w, 2)...)
	default:
		lines = append(lines, ui.Centre(m.phrase(), m.w))
	}
	switch {
	case py == 0:
		lines = append(lines, ui.Sides(m.th.Strong.Render(press+" "+unit), m.leftText(), m.w))
	case beside:
		lines = append(lines, m.bigPair(press, unit, left, what, 2*t, t, false)...)
	default:
		lines = append(lines, m.centred(press, fitting(press, 2*t, m.w), t)...)
		lines = append(lines, ui.Centre(unit, m.w))
		lines = append(lines, m.centred(left, fitting(left, 2*t, m.w), t)...)
		lines = append(lines, ui.Centre(what, m.w))
	}
	return m.footed(lines)
}

// wallScale finds the largest heights of the word (py) and the numbers (t), in
// rows per pixel of the font, and whether the numbers stand beside each other.
// The smaller of the two counts most; py is 0 where there is no room for both.
func (m *Model) wallScale(word, press, left string) (py, t int, beside bool) {
	rows, best := m.h-3, 0 // phrase, health, keys
	for a := 1; a <= 8; a++ {
		if fitting(word, 2*a, ui.SignRoom(m.shape(), m.w)) < a {
			break
		}
		for b := 1; b <= 8; b++ {
			side := ui.BigWidth(press, 2*b, false)+ui.BigWidth(left, 2*b, false)+20 <= m.w
			need := 5*a + 2 + 5*b
			if !side {
				need += 5*b + 2
			}
			if need > rows || fitting(press, 2*b, m.w) < b || fitting(left, 2*b, m.w) < b {
				continue
			}
			if score := 100*min(a, b) + 10*(a+b) + a; score > best {
				best, py, t, beside = score, a, b, side
			}
		}
	}
	return py, t, beside
}

// fitting is the largest width of a pixel, up to px cells, with which text fits into w cells; 0 = none.
func fitting(text string, px, w int) int {
	for px > 0 && ui.BigWidth(text, px, false) > w {
		px--
	}
	return px
}

func (m *Model) centred(text string, px, py int) []string {
	lines := ui.Big(m.th, text, px, py, false)
	for i := range lines {
		lines[i] = ui.Centre(lines[i], m.w)
	}
	return lines
}

// tiny is for terminals below ui.LeastWidth by ui.LeastHeight: one thing a line, most important first.
func (m *Model) tiny() []string {
	press, unit := m.pressure(plain)
	now := press + " " + unit
	if m.h == 1 {
		return ui.Banner(m.th, m.shape(), m.verdictWord(), []string{now}, m.w, 1)
	}
	lines := ui.Banner(m.th, m.shape(), m.verdictWord(), nil, m.w, 1)
	if over := m.overCeiling(); over != "" {
		lines = append(lines, over)
	}
	if left := m.leftText(); ui.Width(now)+1+ui.Width(left) <= m.w {
		lines = append(lines, ui.Sides(now, left, m.w))
	} else {
		lines = append(lines, now, left)
	}
	lines = append(lines, ui.Wrap(m.phrase(), m.w, 2)...)
	foot := m.foot()
	if room := m.h - len(foot); room >= 2 {
		return append(ui.Block(lines, m.w, room), foot...)
	}
	if m.mode != watching {
		return append(lines[:1], foot[len(foot)-1])
	}
	return append(lines[:min(2, m.h-1)], foot[0])
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

package holdscreen

import (
	"fmt"
	"math"
	"strings"

	tea "github.com/charmbracelet/bubbletea"

	"example.org/holdfast/internal/hold"
	"example.org/holdfast/internal/holdlog"
	"example.org/holdfast/internal/tui/ui"
	"example.org/holdfast/internal/verdict"
)

// most is the longest text from outside that any line shows, in characters.
const most = 240

func clean(s string) string { return ui.Clean(s, most) }

// unit is the pressure unit of the screen, looked up anew only when its name changes.
func (m *Model) unit() ui.Unit {
	name := m.opts.Unit
	if name == "" && m.st != nil {
		name = m.st.Header.Settings.Display
	}
	if m.unitFor == nil || *m.unitFor != name {
		if name == "" && m.vacuum() {
			name = vacuumUnit
		}
		m.unitFor, m.unitIs = &name, ui.UnitOf(name)
	}
	return m.unitIs
}

func (m *Model) vacuum() bool { return m.st != nil && m.st.Header.Settings.Kind == "vacuum" }

// shown turns an absolute pressure in Pa into what the screen shows: gauge in the unit, absolute for a vacuum.
func (m *Model) shown(pa float64) float64 {
	if !m.vacuum() {
		pa -= float64(m.st.Atmosphere)
	}
	return pa / m.unit().Pa
}

// pressure is the last reading as text of at most w cells in big digits, and its unit.
func (m *Model) pressure(w int) (text, unit string) {
	u := m.unit()
	ref := " gauge"
	if m.vacuum() {
		ref = " abs"
	}
	if m.st == nil || !m.st.HasPressure {
		return "--", u.Name + ref
	}
	pa := float64(m.st.Gauge)
	step := m.step()
	if m.vacuum() {
		return vacuumReading(u, float64(m.st.Pressure), step), u.Name + ref
	}
	text = u.Reading(pa, step)
	for step > 0 && ui.BigWidth(text, 2, false) > w && strings.Contains(text, ".") {
		text = strings.TrimRight(u.Reading(pa, step*10), ".")
		step *= 10
	}
	return text, u.Name + ref
}

// plain is a width for text that is not in big digits.
const plain = 1000

// step is the readable step of the pressure, Pa; 0 = unknown.
func (m *Model) step() float64 {
	if s := m.st.Header.Settings.PressureStep; s > 0 {
		return float64(s)
	}
	for _, d := range m.st.Header.Devices {
		if strings.Contains(d.Gives, "pressure") || len(m.st.Header.Devices) == 1 {
			return float64(d.PressureStep)
		}
	}
	return 0
}

// timeLeft is the time to the end of the set time as a short number and what it counts.
func (m *Model) timeLeft() (text, what string) {
	if m.st == nil || m.st.HoldFor <= 0 {
		return "--", "left"
	}
	if m.st.Phase == hold.Filling || m.st.Phase == hold.Waiting {
		return spanBig(m.st.HoldFor, " to hold")
	}
	left := m.st.Left - math.Max(m.now-m.st.Elapsed, 0)
	if m.st.Left <= 0 || left <= 0 {
		over := m.now - m.st.SegmentStart - m.st.HoldFor
		t, w := spanBig(math.Max(over, 0), " over")
		return "+" + t, w
	}
	return spanBig(left, " left")
}

func spanBig(s float64, tail string) (text, what string) {
	switch {
	case !(s < 1e7):
		return "--", strings.TrimSpace(tail)
	case s < 60:
		return fmt.Sprintf("%d", int(math.Ceil(s))), "s" + tail
	case s < 100*60:
		return fmt.Sprintf("%d", int(math.Ceil(s/60))), "min" + tail
	}
	n := int(math.Ceil(s / 60))
	return fmt.Sprintf("%d:%02d", n/60, n%60), "h" + tail
}

func (m *Model) leftText() string {
	t, what := m.timeLeft()
	return m.th.Strong.Render(t + " " + what)
}

// section is what is closed off, in the person's words.
func (m *Model) section() string {
	if m.st == nil || m.st.Header.Settings.Section == "" {
		return "holdfast"
	}
	return clean(m.st.Header.Settings.Section)
}

func (m *Model) titleLine() string {
	left, right := m.section(), ""
	if m.st != nil {
		s := m.st.Header.Settings
		gas, fill := clean(s.Gas), "filling"
		switch {
		case m.vacuum():
			gas, fill = "vacuum", "rise"
		case gas == "":
			gas = "nitrogen"
		}
		left += ", " + gas
		if m.st.Segment > 1 {
			left += fmt.Sprintf(", %s %d", fill, m.st.Segment)
		}
		right = ui.Clock(m.now)
		if m.st.StartWall != 0 { // a file without times of day has none
			right = ui.WallClock(m.st.Wall+int64(1000*(m.now-m.st.Elapsed)), m.st.Header.Zone)
		}
	}
	if m.opts.Title != "" {
		left += " (" + clean(m.opts.Title) + ")"
	}
	if p := m.act.Player; p != nil {
		right = playLine(p.Status())
	}
	return ui.Sides(m.th.Strong.Render(left)+"  ", right, m.w)
}

func playLine(s PlayStatus) string {
	how := fmt.Sprintf("%gx", s.Speed)
	if s.Paused {
		how = "paused, " + how
	}
	line := fmt.Sprintf("replay %s, %s of %s", how, ui.Clock(s.At), ui.Clock(s.End))
	if s.Reading > 0 {
		line += fmt.Sprintf(" and more: %d records read", s.Reading)
	}
	return line
}

// phaseLine names the phases with their times and shows how much of the set time is over.
func (m *Model) phaseLine(w int) string {
	if m.st == nil {
		return ui.Cut("waiting for a reading", w)
	}
	done := 0.0
	if m.st.HoldFor > 0 {
		done = math.Min(math.Max((m.now-m.st.SegmentStart)/m.st.HoldFor, 0), 1)
	}
	text := m.phases(w)
	room := w - ui.Width(text) - 2
	if room < 12 || m.st.Phase == hold.Filling || m.st.Phase == hold.Waiting {
		return text
	}
	n := min(room-2, 30)
	full := int(math.Round(done * float64(n)))
	bar := "[" + strings.Repeat(string(m.th.Pick('■', '#')), full) + strings.Repeat(string(m.th.Pick('·', '.')), n-full) + "]"
	return ui.Sides(text, bar, w)
}

// overCeiling is a bar across the screen that says so, "" = the pressure is allowed.
func (m *Model) overCeiling() string {
	if m.st == nil || m.vacuum() || !m.st.HasPressure {
		return ""
	}
	c := m.st.Header.Settings.Ceiling
	if c <= 0 || m.st.Gauge <= c {
		return ""
	}
	most := m.unit().Reading(float64(c), 0) + " " + m.unit().Name
	return ui.Hatch(m.th, m.w, "ABOVE THE CEILING OF "+most+": SHUT THE CYLINDER, LET DOWN", "ABOVE "+most+": SHUT THE CYLINDER")
}

// phases writes filling > settling > HOLDING 31:05 > done, with the times that are known.
func (m *Model) phases(w int) string {
	st := m.st
	if st.Phase == hold.Waiting {
		return ui.Cut("waiting for a reading", w)
	}
	filled := st.SegmentStart - m.segmentOpened()
	settled := st.Estimate.SettledAt
	took := map[hold.Phase]float64{hold.Filling: filled, hold.Settling: settled, hold.Holding: st.HoldFor - math.Max(settled, 0)}
	order := []hold.Phase{hold.Filling, hold.Settling, hold.Holding, hold.Done}
	if m.vacuum() {
		order = []hold.Phase{hold.Filling, hold.Holding, hold.Done}
	}
	var parts []string
	past := true
	for _, p := range order {
		switch {
		case p == st.Phase:
			past = false
			parts = append(parts, strings.ToUpper(m.phaseName(p))+" "+ui.Clock(math.Max(m.now-st.PhaseSince, 0)))
		case past && took[p] > 0:
			parts = append(parts, m.phaseName(p)+" "+ui.Clock(took[p]))
		default:
			parts = append(parts, m.phaseName(p))
		}
	}
	s := strings.Join(parts, m.th.Say(" › ", " > "))
	if ui.Width(s) > w {
		return strings.ToUpper(m.phaseName(st.Phase)) + " " + ui.Clock(math.Max(m.now-st.PhaseSince, 0))
	}
	return s
}

// segmentOpened is when the filling of this segment began, s since the first record.
func (m *Model) segmentOpened() float64 {
	at := 0.0
	for _, e := range m.st.Events {
		if e.Event.Kind == holdlog.EventRefill && e.Elapsed <= m.st.SegmentStart {
			at = e.Elapsed
		}
	}
	return at
}

// bigRow is the pressure and, where it fits, the time left in big digits.
func (m *Model) bigRow(p plan) []string {
	room := m.w - 6
	if !p.left {
		room = 34
		if m.w >= 100 {
			room = 44
		}
	}
	press, unit := m.pressure(room)
	if p.left {
		big := ui.Big(m.th, press, 2, 1, false)
		if ui.Width(big[0])+6 > m.w {
			big = ui.Big(m.th, press, 1, 1, false)
		}
		return labelled(big, unit)
	}
	left, what := m.timeLeft()
	return m.bigPair(press, unit, left, what, 2, 1, p.tall)
}

// bigPair puts two large numbers with their units beside each other, the second one at the right edge.
func (m *Model) bigPair(press, unit, left, what string, px, py int, tall bool) []string {
	a := labelled(ui.Big(m.th, press, px, py, tall), unit)
	b := labelled(ui.Big(m.th, left, px, py, tall), what)
	out := make([]string, len(a))
	wb := 0
	for _, l := range b {
		wb = max(wb, ui.Width(l))
	}
	for i := range a {
		out[i] = ui.Sides(a[i], ui.Pad(b[i], wb), m.w)
	}
	return out
}

// labelled puts the words of a unit beside the feet of large digits.
func labelled(big []string, unit string) []string {
	words := strings.Fields(unit)
	out := make([]string, len(big))
	for i, l := range big {
		out[i] = l
		if k := i - (len(big) - len(words)); k >= 0 {
			out[i] += " " + words[k]
		}
	}
	return out
}

func (m *Model) word() verdict.Word {
	if m.st == nil || m.st.Verdict.Word == "" {
		return verdict.Unproven
	}
	return m.st.Verdict.Word
}

func (m *Model) verdictWord() string { return strings.ToUpper(string(m.word())) }

func (m *Model) shape() ui.Shape {
	switch m.word() {
	case verdict.Tight:
		return ui.Boxed
	case verdict.Leaking:
		return ui.Solid
	}
	return ui.Dotted
}

func (m *Model) phrase() string {
	if m.st == nil {
		return "no reading yet"
	}
	if m.st.Verdict.Phrase == "" {
		return "too early to say"
	}
	return clean(m.st.Verdict.Phrase)
}

func (m *Model) banner(w, h int) []string {
	side := []string{m.phrase()}
	room := ui.BannerRoom(m.th, m.shape(), m.verdictWord(), w, h)
	switch {
	case h >= 5:
		side = append(side, m.leakText(room), m.hidesText(room))
	case h == 4 && ui.Width(m.phrase()) > room: // it takes both rows
	case h == 4 && ui.Width(m.hidesText(room)) <= room:
		side = append(side, m.hidesText(room))
	case h == 4:
		side = append(side, m.limitName())
	}
	if h >= 7 && m.st != nil && len(m.st.Verdict.Advice) > 0 {
		side = append(side, "Next: "+clean(m.st.Verdict.Advice[0]))
	}
	return ui.Banner(m.th, m.shape(), m.verdictWord(), side, w, h)
}

// windowTitle sends the window title when it has changed.
func (m *Model) windowTitle() tea.Cmd {
	p, _ := m.pressure(plain)
	t, what := m.timeLeft()
	s := fmt.Sprintf("%s %s %s %s %s", m.verdictWord(), p, m.unit().Name, t, what)
	if s == m.title {
		return nil
	}
	m.title = s
	return ui.SetTitle(s)
}

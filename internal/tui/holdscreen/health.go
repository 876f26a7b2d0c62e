package holdscreen

import (
	"fmt"
	"strings"

	"example.org/holdfast/internal/tui/ui"
)

// dots is the length of the strip whose mark moves once per sample.
const dots = 8

// dataAge is the time since the last sample, s; negative without one.
func (m *Model) dataAge() float64 {
	if m.st == nil || m.st.Samples == 0 {
		return -1
	}
	return max(m.now-m.st.LastSampleAt, 0)
}

// stale tells whether the next sample is overdue: more than two intervals, and
// nothing new at the last two looks (in a hold that runs faster than life the
// age of data jumps by several intervals between two looks).
func (m *Model) stale() bool {
	if m.st == nil || m.st.Ended || m.paused() {
		return false
	}
	return m.same >= 2 && m.dataAge() > 2*max(m.st.Interval, m.askEvery(), 0.5)
}

func (m *Model) paused() bool { return m.act.Player != nil && m.act.Player.Status().Paused }

func (m *Model) age() string {
	a := m.dataAge()
	if a < 0 {
		return "no reading yet"
	}
	return "last reading " + ui.Span(a) + " ago"
}

// healthLine says how the sensors are; a notice takes its place for a moment,
// never that of a fault.
func (m *Model) healthLine() string {
	if t := m.trouble(); len(t) > 0 {
		return ui.Hatch(m.th, m.w, t...)
	}
	if m.noticed > 0 {
		return ui.Joined([]string{m.th.Strong.Render(m.notice), m.age()}, m.th.Say(" · ", ", "), m.w)
	}
	if m.st == nil {
		return "no reading yet"
	}
	parts := []string{m.alive() + " " + m.age()}
	if t := m.moreText(); t != "" {
		parts = append(parts, strings.ToLower(strings.TrimSuffix(t, ".")))
	}
	if t := m.temperatures(); t != "" {
		parts = append(parts, t)
	}
	if every := m.askEvery(); every > 0 {
		parts = append(parts, "asks every "+ui.Span(every))
	} else if m.st.Interval > 0 {
		parts = append(parts, "every "+ui.Span(m.st.Interval))
	}
	if m.st.Rejected > 0 {
		parts = append(parts, fmt.Sprintf("%d not usable (%s)", m.st.Rejected, clean(m.st.LastReject)))
	}
	if w := m.firstWarning(); w != "" {
		parts = append(parts, w)
	}
	return ui.Joined(parts, m.th.Say(" · ", ", "), m.w)
}

// trouble is what must be seen at once, in words and in fewer words; nil = nothing.
func (m *Model) trouble() []string {
	switch {
	case m.st == nil && !m.due():
		return nil
	case m.st == nil || m.due() && len(m.st.Lost) == 0 && !m.st.Ended && m.unsaved() == "":
		return []string{"A READING IS DUE: press e", "READING DUE: e"}
	case m.st.Ended && m.act.Player == nil:
		return []string{"RECORDING HAS ENDED", "ENDED"}
	case m.unsaved() != "":
		why := clean(m.unsaved())
		return []string{"NOT SAVED: " + why + "; kept in memory, make room", "NOT SAVED: disk refuses, make room", "NOT SAVED"}
	case len(m.st.Missing) > 0 && m.st.Samples == 0:
		return []string{"NO READING YET from " + clean(strings.Join(m.st.Missing, "; ")), "NO READING YET"}
	case len(m.st.Lost) > 0:
		gone := "NO SIGNAL from " + clean(strings.Join(m.st.Lost, ", ")) + " for " + ui.Span(max(m.dataAge(), 0))
		return []string{gone + ": check cable and port; still recording", gone + ": check cable", gone, "NO SIGNAL for " + ui.Span(max(m.dataAge(), 0))}
	case m.stale():
		old := "NO NEW READING for " + ui.Span(m.dataAge())
		return []string{old + ": what you see is old", old, "OLD by " + ui.Span(m.dataAge())}
	}
	return nil
}

// unsaved is why the record cannot be written at present, "" = it is.
func (m *Model) unsaved() string {
	if m.opts.Unsaved == nil {
		return ""
	}
	return m.opts.Unsaved()
}

// alive is a strip with a mark that moves one place per sample, so that a frozen screen looks frozen.
func (m *Model) alive() string {
	n := m.st.Samples % dots
	on, off := string(m.th.Pick('●', '*')), string(m.th.Pick('·', '.'))
	return strings.Repeat(off, n) + on + strings.Repeat(off, dots-1-n)
}

func (m *Model) temperatures() string {
	var t []string
	if m.st.HasAmbient {
		t = append(t, "air "+ui.Number(m.st.Ambient.Celsius(), 1))
	}
	if m.st.HasSection {
		t = append(t, "part "+ui.Number(m.st.Section.Celsius(), 1))
	}
	if len(t) == 0 {
		return ""
	}
	return strings.Join(t, ", ") + " " + m.th.Say("°C", "C")
}

func (m *Model) firstWarning() string {
	if w := m.st.Verdict.Warnings; len(w) > 0 {
		return clean(w[0])
	}
	if w := m.st.Estimate.Warnings; len(w) > 0 {
		return clean(w[0].Text)
	}
	return ""
}

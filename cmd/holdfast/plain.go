package main

import (
	"fmt"
	"io"
	"math"
	"slices"
	"strings"
	"unicode"

	"example.org/holdfast/internal/hold"
	"example.org/holdfast/internal/units"
	"example.org/holdfast/internal/verdict"
)

// plainLines writes a hold as sentences, one per event and one per interval:
// for scripts, logs and screen readers.
type plainLines struct {
	out   io.Writer
	which string     // stands before each line where there are several holds
	every float64    // s
	width func() int // of the terminal in cells, at whose words lines are broken; nil or 0 = they are not
	ring  func()     // rings once; nil = nobody would hear it
	next  float64    // s, when the next line is due

	phase       hold.Phase
	word        verdict.Word
	marks       int
	alarms      int
	rejects     int          // said so far
	nextRejects float64      // s, when more of them may be said
	event       hold.EventAt // last one written
	changed     hold.Changed // what was last said of the last mark
	samples     int          // at the last line of an interval
	doubts      []string     // said so far
}

// rejectsEvery is the least time between two lines about readings that could not
// be used, s: a device at the wrong speed sends nothing else.
const rejectsEvery = 60.0

// startAt passes over what is old news in a hold that goes on since some time of it, s.
func (p *plainLines) startAt(st *hold.State, since float64) {
	p.phase, p.word, p.marks, p.alarms, p.rejects = st.Phase, st.Verdict.Word, len(st.Marks), len(st.Alarms), st.Rejected
	for _, e := range st.Events {
		if e.Elapsed >= since {
			break
		}
		p.event = e
	}
}

// look writes what is new at a time of the hold, s.
func (p *plainLines) look(st *hold.State, now float64) {
	for ; p.marks < len(st.Marks); p.marks++ {
		m := st.Marks[p.marks]
		p.say(m.Elapsed, "mark: "+m.Text)
		p.changed = hold.CannotTell
	}
	for ; p.alarms < len(st.Alarms); p.alarms++ {
		a := st.Alarms[p.alarms]
		if a.Kind != hold.AlarmLost { // said as an event
			p.say(a.Elapsed, "bell: "+alarmWords(a))
		}
		if p.ring != nil {
			p.ring()
		}
	}
	for _, e := range p.newEvents(st) {
		p.say(e.Elapsed, eventWords(e.Event))
	}
	if st.Phase != p.phase {
		p.phase = st.Phase
		if st.Phase != hold.Done { // the bell said it
			p.say(st.PhaseSince, phaseWords(st))
		}
	}
	if st.Rejected > p.rejects && (st.Elapsed >= p.nextRejects || st.Ended) {
		p.say(st.Elapsed, units.FormatCount(st.Rejected-p.rejects, "reading")+" could not be used, the last: "+st.LastReject)
		p.rejects, p.nextRejects = st.Rejected, st.Elapsed+rejectsEvery
	}
	now = math.Max(now, st.Elapsed)
	p.interval(st, now)
	p.doubt(st, now)
}

// interval writes how it stands when that is due, or the verdict is another
// one, and then why. Between readings that a person types there is nothing new
// to say, but silence is said.
func (p *plainLines) interval(st *hold.State, now float64) {
	if !st.HasPressure || st.Ended {
		return
	}
	turned := st.Verdict.Word != p.word
	news := st.Samples != p.samples || silentFor(st, now) > 0
	if !turned && !(now >= p.next && news) {
		return
	}
	first := p.word == ""
	p.word, p.samples = st.Verdict.Word, st.Samples
	p.next = (math.Floor(now/p.every) + 1) * p.every
	p.say(now, stateWords(st, now))
	if turned && !first {
		p.why(st, now)
	}
	p.recheck(st)
}

// why says what the verdict rests on and what to do.
func (p *plainLines) why(st *hold.State, now float64) {
	for _, r := range st.Verdict.Reasons {
		p.say(now, "why: "+r)
	}
	if a := st.Verdict.Advice; len(a) > 0 {
		p.say(now, "next: "+a[0])
	}
}

// doubt says each doubt once; the figures in it may change.
func (p *plainLines) doubt(st *hold.State, now float64) {
	head := "doubt: "
	if st.Header.Settings.Kind == "vacuum" {
		head = "caution: "
	}
	for _, d := range st.Verdict.Warnings {
		kind := strings.Map(func(r rune) rune {
			if unicode.IsDigit(r) || r == '.' {
				return -1
			}
			return r
		}, d)
		if !slices.Contains(p.doubts, kind) {
			p.doubts = append(p.doubts, kind)
			p.say(now, head+d)
		}
	}
}

// recheck says what the last mark changed, each time that the answer is another one.
func (p *plainLines) recheck(st *hold.State) {
	if r := st.Recheck; r != nil && r.Changed != p.changed {
		p.changed = r.Changed
		p.say(st.Elapsed, r.Words(or(st.Header.Settings.Display, "bar")))
	}
}

// newEvents finds the events after the last one written; a State keeps only the newest.
func (p *plainLines) newEvents(st *hold.State) []hold.EventAt {
	ev := st.Events
	if len(ev) == 0 {
		return nil
	}
	fresh := ev
	for i := len(ev) - 1; i >= 0; i-- {
		if ev[i] == p.event {
			fresh = ev[i+1:]
			break
		}
	}
	p.event = ev[len(ev)-1]
	return fresh
}

// say writes one sentence. A reader that went away must not end the hold: the error of writing is of no use here.
func (p *plainLines) say(elapsed float64, text string) {
	line := p.which + clockTime(elapsed) + "  " + oneLine(text)
	if p.width != nil {
		if w := p.width(); w >= leastWidth {
			var b strings.Builder
			wrapped(&b, "", "  ", line, w-1)
			_, _ = io.WriteString(p.out, b.String())
			return
		}
	}
	_, _ = fmt.Fprintln(p.out, line)
}

// clockTime writes elapsed time as h:mm:ss.
func clockTime(s float64) string {
	n := int(math.Max(s, 0))
	return fmt.Sprintf("%d:%02d:%02d", n/3600, n/60%60, n%60)
}

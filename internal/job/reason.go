package job

import (
	"fmt"
	"slices"
	"strings"

	"example.org/holdfast/internal/units"
	"example.org/holdfast/internal/verdict"
)

// Reasons says what the holds tell together and what to hold next, the most
// important first.
func (r *Record) Reasons() []string {
	var out []string
	for _, s := range r.Sections {
		if len(s.Parts) > 0 {
			out = append(out, r.split(s)...)
			out = append(out, r.together(s)...)
		}
	}
	out = append(out, r.suspects()...)
	out = append(out, r.untouchable()...)
	if ids := r.allUndated(); len(ids) > 0 {
		out = append(out, "Not said when "+list(ids)+" was made, so no hold proves it. "+UndatedAdvice+".")
	}
	return out
}

// lastLeak gives the last hold of a section if it leaked, what was touched since aside.
func (r *Record) lastLeak(section string) *Evidence {
	for i := len(r.Holds) - 1; i >= 0; i-- {
		e := &r.Holds[i]
		if e.Hold.Section == section && r.ofAll(e) && e.Pressure() {
			if e.Word() == verdict.Leaking {
				return e
			}
			return nil
		}
	}
	return nil
}

// beforeTouch reports that a hold of a part and one of the whole saw the same
// circuit: nothing was touched between them.
func (r *Record) beforeTouch(whole, part *Evidence) bool {
	first, second := whole, part
	if part.Start.Before(whole.Start) {
		first, second = part, whole
	}
	leaves := r.leaves(part.Hold.Section)
	return !slices.ContainsFunc(first.Touched, func(m Mark) bool {
		return m.Time.Before(second.Start) && slices.ContainsFunc(r.leaves(m.Section), func(s string) bool { return slices.Contains(leaves, s) })
	})
}

// split takes what is known of the parts off what the whole loses.
func (r *Record) split(s Section) []string {
	whole := r.lastLeak(s.ID)
	if whole == nil {
		return nil
	}
	var known []*Evidence
	var rest []Section
	for _, id := range s.Parts {
		part, _ := r.Section(id)
		if e := r.partOf(whole, id); e != nil {
			known = append(known, e)
		} else {
			rest = append(rest, part)
		}
	}
	out := r.rest(whole, known, rest)
	if len(whole.Touched) > 0 { // history, but still worth a line: it says why the joint was remade
		out[0] = fmt.Sprintf("Before %s on %s: %s", whole.Touched[0].Words(), stamp(whole.Touched[0].Time), out[0])
	}
	return out
}

// partOf gives the last hold of a part that belongs to the same state of the circuit as the hold of the whole.
func (r *Record) partOf(whole *Evidence, id string) *Evidence {
	for i := len(r.Holds) - 1; i >= 0; i-- {
		e := &r.Holds[i]
		if e.Hold.Section == id && r.ofAll(e) && e.Pressure() && e.State.Estimate.Valid && r.beforeTouch(whole, e) {
			return e
		}
	}
	return nil
}

func (r *Record) rest(whole *Evidence, known []*Evidence, rest []Section) []string {
	title := upperFirst(whole.Section.Title())
	all, ok := spans(append([]*Evidence{whole}, known...)...)
	if !ok {
		return []string{fmt.Sprintf("%s leaks, but its holds cannot be compared in figures: give volume and refrigerant of every section.", title)}
	}
	left := all[0]
	text := fmt.Sprintf("%s loses %s", title, all[0])
	for i, e := range known {
		left = left.minus(all[i+1])
		text += fmt.Sprintf(", of it %s %s", e.Section.Title(), all[i+1])
	}
	switch {
	case len(rest) == 0 && left.Lo > 0:
		return []string{text + fmt.Sprintf(". %s of it is in none of the parts: suspect what was between them, or hose, valve and caps of the whole hold.", upperFirst(left.String()))}
	case len(rest) == 0:
		return []string{text + "." + worst(known, all[1:])}
	}
	next := slices.MaxFunc(rest, func(a, b Section) int { return r.weight(a) - r.weight(b) })
	if len(known) == 0 {
		return []string{text + fmt.Sprintf(". Split it: hold %s alone next%s.", next.Title(), volumeWords(next))}
	}
	text += fmt.Sprintf(", so %s %s", titles(rest), leaksWords(left, len(rest)))
	if len(rest) > 1 {
		text += fmt.Sprintf(". Hold %s alone next%s", next.Title(), volumeWords(next))
	}
	return []string{text + "."}
}

// together asks for a last hold of the whole when every part of it is proven.
func (r *Record) together(s Section) []string {
	if r.ProofOfSection(s).Standing == Proven {
		return nil
	}
	for _, id := range s.Parts {
		if part, _ := r.Section(id); r.ProofOfSection(part).Standing != Proven {
			return nil
		}
	}
	return []string{fmt.Sprintf("Every part of %s is proven by itself: hold it once more as a whole, at the lowest ceiling of anything connected, before it is charged.", s.Title())}
}

// weight orders what to hold next: the more joints, the likelier a leak.
func (r *Record) weight(s Section) int { return len(r.jointsOf(s.ID, farFuture)) }

func volumeWords(s Section) string {
	if s.Volume == 0 {
		return ""
	}
	return " (" + units.FormatVolume(s.Volume) + ")"
}

// leaksWords is the verb of a remainder.
func leaksWords(left Span, n int) string {
	verb := "leaks "
	if n > 1 {
		verb = "together leak "
	}
	switch {
	case left.Hi <= 0:
		return "cannot be what leaks: hold the whole again, something has changed"
	case left.Lo > 0:
		return verb + "between " + left.text(left.Lo) + " and " + left.text(left.Hi)
	}
	return verb + left.String()
}

// worst names the part that leaks.
func worst(known []*Evidence, of []Span) string {
	i := 0
	for k := range of {
		if of[k].Value > of[i].Value {
			i = k
		}
	}
	if known[i].Word() != verdict.Leaking {
		return " No part was caught leaking yet: hold the parts longer."
	}
	return fmt.Sprintf(" The leak is in %s.", known[i].Section.Title())
}

func titles(all []Section) string {
	names := make([]string, len(all))
	for i, s := range all {
		names[i] = s.Title()
	}
	return list(names)
}

// list writes "a, b and c".
func list(words []string) string {
	if len(words) < 2 {
		return strings.Join(words, "")
	}
	return strings.Join(words[:len(words)-1], ", ") + " and " + words[len(words)-1]
}

func upperFirst(s string) string {
	if s == "" {
		return s
	}
	return strings.ToUpper(s[:1]) + s[1:]
}

// suspects compares holds with other fittings: what leaks is what stays when the rest is changed.
func (r *Record) suspects() (out []string) {
	for i := range r.Holds {
		e := &r.Holds[i]
		if e.Section.Blank && e.usable() && e.Word() == verdict.Leaking && !r.followed(i) {
			out = append(out, fmt.Sprintf("%s leaks by itself (%s): %s must be mended or changed before any other hold counts.",
				upperFirst(e.Section.Title()), e.State.Verdict.Leak.Short(e.unit()), orElse(list(e.Hold.Fittings), "hose, valve or cap")))
		}
		if last := r.swapped(i); last != nil {
			if text := compare(last, e); text != "" {
				out = append(out, text)
			}
		}
	}
	return out
}

func orElse(s, other string) string {
	if s == "" {
		return other
	}
	return s
}

// followed reports a later hold of the same section.
func (r *Record) followed(i int) bool {
	return slices.ContainsFunc(r.Holds[i+1:], func(e Evidence) bool { return e.Hold.Section == r.Holds[i].Hold.Section && e.usable() })
}

// swapped finds the hold before the i-th of the same thing with other fittings and nothing touched between.
func (r *Record) swapped(i int) *Evidence {
	e := &r.Holds[i]
	if !e.usable() || len(e.Hold.Fittings) == 0 || !e.State.Estimate.Valid {
		return nil
	}
	for k := i - 1; k >= 0; k-- {
		b := &r.Holds[k]
		if b.Hold.Section != e.Hold.Section || !slices.Equal(b.Joints, e.Joints) || !b.usable() || !b.State.Estimate.Valid || !r.beforeTouch(b, e) {
			continue
		}
		if len(b.Hold.Fittings) == 0 || len(without(b.Hold.Fittings, e.Hold.Fittings))+len(without(e.Hold.Fittings, b.Hold.Fittings)) == 0 {
			return nil
		}
		return b
	}
	return nil
}

func without(all, some []string) (out []string) {
	for _, s := range all {
		if !slices.Contains(some, s) {
			out = append(out, s)
		}
	}
	return out
}

// compare says what changing the fittings between two holds of one thing shows.
func compare(a, b *Evidence) string {
	d, ok := differ(a, b)
	if !ok || a.Word() != verdict.Leaking && b.Word() != verdict.Leaking {
		return ""
	}
	title := a.Section.Title()
	off, on := without(a.Hold.Fittings, b.Hold.Fittings), without(b.Hold.Fittings, a.Hold.Fittings)
	switch {
	case d.Hi < 0 && len(off) > 0:
		return fmt.Sprintf("%s lost %s less once %s was changed: suspect %s.", upperFirst(title), d.text(-d.Value), list(off), list(off))
	case d.Lo > 0 && len(on) > 0:
		return fmt.Sprintf("%s loses %s more since %s came in: suspect %s.", upperFirst(title), d.text(d.Value), list(on), list(on))
	case d.Lo <= 0 && d.Hi >= 0 && b.Word() == verdict.Leaking:
		return fmt.Sprintf("%s leaks as before with other fittings (%s changed): the leak is in the part, not in them.", upperFirst(title), orElse(list(off), list(on)))
	}
	return ""
}

// untouchable names logs that are no evidence.
func (r *Record) untouchable() (out []string) {
	for _, e := range r.Holds {
		switch {
		case e.Err != nil:
			out = append(out, fmt.Sprintf("%s is no evidence: %v.", e.Hold.File, e.Err))
		case !e.usable():
			out = append(out, fmt.Sprintf("%s is no evidence: its log is %s.", e.Hold.File, e.Integrity))
		}
	}
	return out
}

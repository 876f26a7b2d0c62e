package job

import (
	"slices"
	"strings"
)

// marksOf reads the marks of a log as marks of the job: one of the kinds as its
// first word (or "joint soaped", as the screen says it), then ids of joints; no id
// means the whole section. Anything else is a note, which proves nothing. Of a
// log that is no evidence only what speaks against the section counts.
func (j *Job) marksOf(e *Evidence) (out []Mark) {
	if e.State == nil {
		return nil
	}
	for _, m := range e.State.Marks {
		base := Mark{
			Time: e.wall(m.Elapsed).In(zoneOf(e.State.Header)), What: Note, Section: e.Hold.Section,
			Text: m.Text, File: e.Hold.File,
		}
		kind, joints, ok := j.readMark(m.Text)
		if !ok || !e.usable() && !kind.against() {
			out = append(out, base)
			continue
		}
		base.What = kind
		if !kind.against() {
			base.Text = "" // it is all in the kind
		}
		if len(joints) == 0 {
			out = append(out, base)
		}
		for _, x := range joints {
			one := base
			one.Joint, one.Section = x.ID, x.Section
			out = append(out, one)
		}
	}
	return out
}

// against reports a kind that takes proof away and never gives any.
func (k Kind) against() bool { return k.Touches() || k == Foams || k == Blocked }

// readMark finds the kind and the joints in a mark; ok = it is more than a note.
// Other words among them make a note of what would be proof ("clean the table"),
// but not of what speaks against the section ("remade e1 with new filler").
func (j *Job) readMark(text string) (k Kind, joints []Joint, ok bool) {
	words := strings.FieldsFunc(strings.ToLower(text), func(r rune) bool { return strings.ContainsRune(" ,;:.", r) })
	if len(words) > 1 && words[0] == "joint" {
		words = words[1:]
	}
	if len(words) == 0 || !slices.Contains(Kinds(), Kind(words[0])) {
		return "", nil, false
	}
	k = Kind(words[0])
	for _, w := range words[1:] {
		i := slices.IndexFunc(j.Joints, func(x Joint) bool { return strings.EqualFold(x.ID, w) })
		switch {
		case i >= 0:
			joints = append(joints, j.Joints[i])
		case !k.against():
			return "", nil, false
		}
	}
	return k, joints, true
}

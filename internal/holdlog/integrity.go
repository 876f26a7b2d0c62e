package holdlog

import "fmt"

// IntegrityState is the state of a log in one word.
type IntegrityState string

// The states, the worst first: of several that are true the worst is said.
const (
	Altered   IntegrityState = "altered"   // a fingerprint does not match, or a line cannot be read
	Torn      IntegrityState = "torn"      // the last line has no end: the recording was cut off
	Continued IntegrityState = "continued" // more than one run of the program wrote it
	Whole     IntegrityState = "whole"     // every fingerprint matches
	None      IntegrityState = "none"      // there is no fingerprint, or it was not compared
)

// Integrity is what a Reader found out about a log. Lines count from 1; 0 = none.
type Integrity struct {
	Lines         int    // last line that was read whole
	Checked       int    // last fingerprint that matched; all lines before it are as written
	SHA256        string // that fingerprint, hex
	Altered       int    // first line that may have been altered: unreadable, or not covered by a matching fingerprint
	AlteredBefore int    // line of the first fingerprint that does not match: what was altered stands before it
	Torn          int    // the line without an end
	Continued     int    // last line that says the recording was continued
	Damaged       int    // how many lines could not be read
	Backwards     int    // how many records are earlier than the one before
	BackwardsLine int    // the first of them
}

func (i *Integrity) alter(line int) {
	if i.Altered == 0 {
		i.Altered = line
	}
}

// State gives the worst thing that is true, in one word.
func (i Integrity) State() IntegrityState {
	switch {
	case i.Altered > 0:
		return Altered
	case i.Torn > 0:
		return Torn
	case i.Continued > 0:
		return Continued
	case i.Checked > 0:
		return Whole
	}
	return None
}

// String says the state and where, for people.
func (i Integrity) String() string {
	switch i.State() {
	case Altered:
		if i.AlteredBefore > 0 {
			return fmt.Sprintf("altered in line %d or after it, before the fingerprint in line %d, which does not match", i.Altered, i.AlteredBefore)
		}
		return fmt.Sprintf("altered: line %d cannot be read", i.Altered)
	case Torn:
		return fmt.Sprintf("torn in line %d, the %d before it are kept", i.Torn, i.Torn-1) + i.unchecked()
	case Continued:
		return fmt.Sprintf("continued in line %d", i.Continued) + i.unchecked()
	case Whole:
		return fmt.Sprintf("whole up to line %d of %d", i.Checked, i.Lines) + i.unchecked()
	}
	return "no fingerprint"
}

// Unchecked says how many lines stand after the last fingerprint that matched:
// a change there would not be seen.
func (i Integrity) Unchecked() int { return i.Lines - i.Checked }

func (i Integrity) unchecked() string {
	if i.Unchecked() == 0 {
		return ""
	}
	return fmt.Sprintf("; a change after line %d would not be seen: no fingerprint covers what follows it", i.Checked)
}

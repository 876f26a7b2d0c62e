package manual

import (
	"strings"
	"testing"
	"time"
)

// A reading ten times the one before, or off as psi is from bar, is held back
// until it is typed once more; a small change, a vented section and a vacuum are not.
func TestASlipCountsOnlyWhenTypedAgain(t *testing.T) {
	for _, c := range []struct {
		first, then, says string
		cfg               Config
	}{
		{"19.8", "198", "ten times", Config{}},
		{"19.8", "1.98", "a tenth", Config{}},
		{"19.8", "287", "psi is to bar", Config{}},
		{"285 psi", "19.7", "bar is to psi", Config{}},
		{"9.8 bar", "980", "a hundred times", Config{}},
		{"19.8", "19.6", "", Config{}},
		{"19.8", "12", "", Config{}},
		{"19.8", "0", "", Config{}},
		{"500 Pa", "50 Pa", "", Config{Vacuum: true}},
	} {
		m := mustNew(t, c.cfg)
		if _, err := m.Try(c.first, time.Now()); err != nil {
			t.Fatal(err)
		}
		_, echo, _ := m.Enter(c.then)
		_, err := m.Try(c.then, time.Now())
		if (err != nil) != (c.says != "") || c.says != "" && (!strings.Contains(err.Error(), c.says) || !strings.Contains(echo, c.says)) {
			t.Errorf("%s after %s: %v, while typing %q; want %q", c.then, c.first, err, echo, c.says)
		}
		if _, again := m.Try(c.then, time.Now()); err != nil && again != nil {
			t.Errorf("%s typed again: %v", c.then, again)
		}
	}
}

func TestAnotherTextAfterASlipIsNotItsConfirmation(t *testing.T) {
	m := mustNew(t, Config{})
	for _, c := range []struct {
		text    string
		refused bool
	}{{"19.8", false}, {"198", true}, {"19.7", false}, {"198", true}, {"197", true}, {"197", false}} {
		if _, err := m.Try(c.text, time.Now()); (err != nil) != c.refused {
			t.Errorf("%s: %v", c.text, err)
		}
	}
}

package verdict_test

import (
	"strings"
	"testing"

	"example.org/holdfast/internal/units"
	"example.org/holdfast/internal/verdict"
)

func TestWhatALeakMeansIsSaidInShortSentences(t *testing.T) {
	s := &verdict.Service{
		HasRunning:  true,
		Condensing:  verdict.Side{Saturation: units.FromCelsius(45), Loss: verdict.Range{Least: 9.04, Most: 15.6}},
		Evaporating: verdict.Side{Saturation: units.FromCelsius(-25), DrawsAir: true, Loss: verdict.Range{Least: 0.1, Most: 0.1001}},
		Soap:        verdict.Soap{Bubble: 2e-3, EverySeconds: 150, Foam: 2.1e-3, Wait: 180},
		HasShare:    true, Share: 0.2, Charge: 0.06, Days: verdict.Range{Least: 300, Most: 412},
	}
	got := strings.Join(s.Words(), "\n")
	for _, want := range []string{
		"on the condensing side (45 C) 9.0 to 16 g/yr lost", "on the evaporating side (-25 C) 0.10 g/yr of air and moisture drawn in",
		"a bubble of 2 mm every 2.5 min", "foam of 2.1 mm in 3.0 min: too little to trust your eyes", "At rest 20 % of the 60.0 g charge is gone in 300 to 410 days",
	} {
		if !strings.Contains(got, want) {
			t.Errorf("%q is not in\n%s", want, got)
		}
	}
	s.HasRunning, s.HasShare, s.Soap.Seen = false, false, true
	if got := s.Words(); len(got) != 1 || strings.Contains(got[0], "trust") {
		t.Errorf("with only the volume known: %q", got)
	}
	if got := (*verdict.Service)(nil).Words(); got != nil {
		t.Errorf("of nothing: %q", got)
	}
}

package main

import (
	"encoding/json"
	"os"
	"path/filepath"
	"testing"

	"example.org/holdfast/internal/holdlog"
)

// leastDecided is how many of the 46 judgements must be more than "unproven":
// a judge that always says unproven is never wrong, and of no use.
const leastDecided = 30

// TestNoSampleHoldIsMisjudged holds the judgements against leaks that only the
// generator of the holds knew (testdata/holds/truth.json). Word and limit are
// compared by the rule of the contract: tight only below the limit, leaking only above it.
func TestNoSampleHoldIsMisjudged(t *testing.T) {
	dir := filepath.Join("..", "..", "testdata", "holds")
	var truth map[string]struct {
		Leak float64 `json:"leak_pa_per_h"`
	}
	b, err := os.ReadFile(filepath.Join(dir, "truth.json"))
	if err == nil {
		err = json.Unmarshal(b, &truth)
	}
	if err != nil {
		t.Fatal(err)
	}
	if len(truth) != 23 {
		t.Fatalf("%d holds", len(truth))
	}
	decided := 0
	for name, known := range truth {
		for _, limit := range []string{"0.25%/h", "1%/h"} {
			flags := settingsFlags{Limit: limit}
			over, err := flags.overrides()
			if err != nil {
				t.Fatal(err)
			}
			j, err := judgeFile(&source{over: over, options: holdlog.Options{Verify: true}}, filepath.Join(dir, name+".csv"))
			if err != nil {
				t.Errorf("%s: %v", name, err)
				continue
			}
			o := judge(j)
			switch {
			case o.LimitRate == nil || o.Samples == 0:
				t.Errorf("%s: no limit or no samples in %s", name, text(t, o))
			case o.Verdict == "tight" && known.Leak >= *o.LimitRate, o.Verdict == "leaking" && known.Leak <= *o.LimitRate:
				t.Errorf("%s at %s (%.0f Pa/h): %s, but it leaks %.0f Pa/h", name, limit, *o.LimitRate, o.Verdict, known.Leak)
			case o.Verdict != "unproven":
				decided++
			}
		}
	}
	t.Logf("%d of %d decided", decided, 2*len(truth))
	if decided < leastDecided {
		t.Errorf("only %d of %d decided", decided, 2*len(truth))
	}
}

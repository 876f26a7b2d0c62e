package main

import (
	"encoding/json"
	"os"
	"path/filepath"
	"sync/atomic"
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
	t.Parallel()
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
	var decided atomic.Int32
	t.Run("each", func(t *testing.T) {
		for name, known := range truth {
			t.Run(name, func(t *testing.T) {
				t.Parallel()
				for _, limit := range []string{"0.25%/h", "1%/h"} {
					if decides(t, filepath.Join(dir, name+".csv"), limit, known.Leak) {
						decided.Add(1)
					}
				}
			})
		}
	})
	t.Logf("%d of %d decided", decided.Load(), 2*len(truth))
	if decided.Load() < leastDecided {
		t.Errorf("only %d of %d decided", decided.Load(), 2*len(truth))
	}
}

// decides judges a hold that is known to leak so much (Pa/h), and reports
// whether the verdict is more than "unproven". A wrong one fails the test.
func decides(t *testing.T, file, limit string, leak float64) bool {
	t.Helper()
	flags := settingsFlags{Limit: limit}
	over, err := flags.overrides()
	if err != nil {
		t.Fatal(err)
	}
	j, err := judgeFile(&source{over: over, options: holdlog.Options{Verify: true}}, file)
	if err != nil {
		t.Error(err)
		return false
	}
	o := judge(j)
	switch {
	case o.LimitRate == nil || o.Samples == 0:
		t.Errorf("no limit or no samples in %s", text(t, o))
	case o.Verdict == "tight" && leak >= *o.LimitRate, o.Verdict == "leaking" && leak <= *o.LimitRate:
		t.Errorf("at %s (%.0f Pa/h): %s, but it leaks %.0f Pa/h", limit, *o.LimitRate, o.Verdict, leak)
	}
	return o.Verdict != "unproven"
}

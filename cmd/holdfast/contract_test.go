package main

import (
	"bytes"
	"encoding/json"
	"maps"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
)

// contractKeys are the keys of one object of judge --json, as the command line
// contract names them, with what stands there: text, number, list or object, and
// whether it may be unknown (null). Scripts rely on them.
var contractKeys = map[string]string{
	"v": "number", "file": "text", "kind": "text", "gas": "text", "verdict": "text",
	"reasons": "list", "warnings": "list", "causes": "list",
	"samples": "number", "rejected": "number", "hold_s": "number?", "settled_at_s": "number?",
	"start_pa_abs": "number?", "end_pa_abs": "number?", "rate_pa_per_h": "object?", "width_from": "object?",
	"throughput_pa_m3_per_s": "object?", "refrigerant_g_per_yr": "object?", "limit_pa_per_h": "number?", "limit": "text?",
	"called_leaking_at_s": "number?", "leak_opened_at_s": "number?", "more_hold_s": "number?", "integrity": "text", "integrity_text": "text",
	// added since; see Contract changes in DEVELOPERS.md
	"phrase": "text", "segment": "number", "narrower_by": "text?", "blank_pa_per_h": "object?", "service_of": "text?",
	"refrigerant_operating_g_per_yr": "object?", "soap": "object?", "charge_share_days": "object?",
}

// simulated writes a simulated hold of ten minutes and gives its file.
func simulated(t *testing.T, name string, flags ...string) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), name)
	holdfast(t, append([]string{"simulate", "--interval", "5s", "--out", path}, flags...)...)
	return path
}

// holdfast runs a command in this process and gives its data.
func holdfast(t *testing.T, args ...string) []byte {
	t.Helper()
	var out, errs bytes.Buffer
	run(args, os.Getenv, strings.NewReader(""), &out, &errs)
	if errs.Len() > 0 && !strings.Contains(errs.String(), "written to") {
		t.Fatalf("%v: %s", args, errs.String())
	}
	return out.Bytes()
}

// Long: the table of the holds. TestTheJSONOfJudgeKeepsItsContract looks at holds of every kind: each key is
// there, of its type, null where nothing is known, and nothing else is there.
func TestTheJSONOfJudgeKeepsItsContract(t *testing.T) {
	t.Parallel()
	leaky := simulated(t, "leaky.jsonl", "--leak", "3%/h", "--volume", "0.3L", "--for", "1h")
	hose := simulated(t, "hose.jsonl", "--leak", "5%/h", "--volume", "30ml", "--for", "1h", "--seed", "2")
	short := simulated(t, "short.jsonl", "--for", "2m", "--no-thermometer")
	empty := filepath.Join(t.TempDir(), "open.csv")
	if err := os.WriteFile(empty, []byte("elapsed_s,pressure_bar_abs\n0,1.013\n60,1.013\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	for name, c := range map[string]struct {
		args  []string
		known []string // keys that may be null and must not be
		null  []string // keys that must be null
	}{
		"all is known": {
			[]string{"--refrigerant", "R600a", "--charge", "60g", "--limit", "1%/h", "--blank", hose, leaky},
			[]string{"hold_s", "settled_at_s", "start_pa_abs", "end_pa_abs", "rate_pa_per_h", "width_from", "throughput_pa_m3_per_s", "refrigerant_g_per_yr",
				"limit_pa_per_h", "limit", "called_leaking_at_s", "more_hold_s", "narrower_by", "blank_pa_per_h", "service_of", "refrigerant_operating_g_per_yr",
				"soap", "charge_share_days"},
			[]string{"leak_opened_at_s"},
		},
		"no limit, no refrigerant": {
			[]string{leaky},
			[]string{"rate_pa_per_h", "throughput_pa_m3_per_s", "soap", "service_of"},
			[]string{"limit", "limit_pa_per_h", "refrigerant_g_per_yr", "refrigerant_operating_g_per_yr", "charge_share_days", "blank_pa_per_h"},
		},
		"too short": {
			[]string{short},
			[]string{"hold_s"},
			[]string{"settled_at_s", "throughput_pa_m3_per_s", "refrigerant_g_per_yr", "limit", "limit_pa_per_h", "called_leaking_at_s", "leak_opened_at_s", "soap", "service_of"},
		},
		"never filled": {
			[]string{empty}, nil,
			[]string{"hold_s", "settled_at_s", "start_pa_abs", "end_pa_abs", "rate_pa_per_h", "width_from", "more_hold_s", "narrower_by", "called_leaking_at_s"},
		},
	} {
		t.Run(name, func(t *testing.T) {
			var got map[string]any
			if err := json.Unmarshal(holdfast(t, append([]string{"judge", "--json"}, c.args...)...), &got); err != nil {
				t.Fatal(err)
			}
			for key, want := range contractKeys {
				v, there := got[key]
				if kind := kindOf(v); !there || kind != strings.TrimSuffix(want, "?") && (v != nil || !strings.HasSuffix(want, "?")) {
					t.Errorf("%s is %s (%v), want %s", key, kind, v, want)
				}
			}
			for _, key := range slices.Sorted(maps.Keys(got)) {
				if _, known := contractKeys[key]; !known {
					t.Errorf("%s is not in the contract", key)
				}
			}
			for _, key := range c.known {
				if got[key] == nil {
					t.Errorf("%s is null", key)
				}
			}
			for _, key := range c.null {
				if got[key] != nil {
					t.Errorf("%s is %v, want null", key, got[key])
				}
			}
			checkFigures(t, got)
		})
	}
}

func kindOf(v any) string {
	switch v.(type) {
	case nil:
		return "null"
	case string:
		return "text"
	case float64:
		return "number"
	case []any:
		return "list"
	case map[string]any:
		return "object"
	}
	return "something else"
}

// checkFigures holds the figures of one object against each other.
func checkFigures(t *testing.T, got map[string]any) {
	t.Helper()
	object := func(key string) map[string]any { m, _ := got[key].(map[string]any); return m }
	for _, key := range []string{"rate_pa_per_h", "throughput_pa_m3_per_s", "refrigerant_g_per_yr", "blank_pa_per_h"} {
		if i := object(key); i != nil {
			lo, value, hi := i["lo"].(float64), i["value"].(float64), i["hi"].(float64)
			if lo > value || value > hi || i["confidence"] != 0.95 || len(i) != 4 {
				t.Errorf("%s is no interval: %v", key, i)
			}
		}
	}
	if w := object("width_from"); w != nil {
		sum := 0.0
		for _, v := range w {
			sum += v.(float64)
		}
		if math.Abs(sum-1) > 1e-6 {
			t.Errorf("width_from sums to %v: %v", sum, w)
		}
	}
	if d := object("charge_share_days"); d != nil && d["least"].(float64) > d["most"].(float64) {
		t.Errorf("charge_share_days: %v", d)
	}
	if v := got["verdict"]; v != "tight" && v != "leaking" && v != "unproven" {
		t.Errorf("verdict %v", v)
	}
	if i := got["integrity"]; !slices.Contains([]any{"whole", "continued", "torn", "altered", "none"}, i) {
		t.Errorf("integrity %v", i)
	}
}

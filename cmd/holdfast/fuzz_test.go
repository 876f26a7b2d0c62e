package main

import (
	"math"
	"testing"
)

func FuzzParseSimFault(f *testing.F) {
	for _, s := range []string{"freeze@20m/2m", "spike@90s=0.5bar", "step@12m=-20mbar", "touch@15m/5s=4K", "@", "freeze@1e308h"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		e, err := parseSimFault(s)
		if err != nil {
			return
		}
		for _, v := range []float64{e.At, e.For, e.Size} {
			if math.IsNaN(v) || math.IsInf(v, 0) {
				t.Errorf("%q: %+v", s, e)
			}
		}
	})
}

package holdlog

import (
	"math"
	"testing"
)

func FuzzParseColumnOverride(f *testing.F) {
	for _, s := range []string{`pressure="P1 (psi)":psi`, "time=Zeit", "elapsed=t:min", `ambient="a:b":c`, "=", `pressure="":bar`} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		o, err := ParseColumnOverride(s)
		if err != nil {
			return
		}
		c, err := o.column()
		if err != nil || c.role == 0 || c.name == "" {
			t.Errorf("%q is taken and holds %+v, %v", s, c, err)
		}
		if v := c.scale.SI(1); math.IsNaN(v) || math.IsInf(v, 0) {
			t.Errorf("%q makes %v of 1", s, v)
		}
	})
}

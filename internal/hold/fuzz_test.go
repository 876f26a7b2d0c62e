package hold

import "testing"

func FuzzParseAcceptance(f *testing.F) {
	for _, s := range []string{"80Pa@60min", "500micron@10m", "anz-deep", "@", "1e308Pa@1e308h", "1e308Pa@1h"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		if a, err := ParseAcceptance(s); err == nil && !(a.Most > 0 && a.Most < 101325 && a.After > 0) {
			t.Errorf("%q is taken as %+v", s, a)
		}
	})
}

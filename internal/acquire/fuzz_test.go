package acquire

import (
	"strings"
	"testing"
)

func FuzzRebuilds(f *testing.F) {
	f.Add("P=20.001 T=21.5", "P= 9.999 T=-1.5")
	f.Add("", "7")
	f.Add("20.", "..20")
	f.Fuzz(func(t *testing.T, before, now string) {
		r := gauge(20)
		r.Raw = now
		if !rebuilds(before, r) {
			return
		}
		// What is left of both without numbers, signs and blanks is the same.
		bare := strings.NewReplacer("0", "", "1", "", "2", "", "3", "", "4", "", "5", "", "6", "", "7", "", "8", "", "9", "", ".", "", " ", "", "+", "", "-", "")
		if bare.Replace(before) != bare.Replace(now) {
			t.Errorf("%q is said to rebuild %q", before, now)
		}
	})
}

package gas

import "testing"

func FuzzParseTube(f *testing.F) {
	for _, s := range []string{"0.7mm:3m", "1/4in:2m", ":", "0.7mm:", "1e308mm:1e308m", "-1mm:3m"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		tube, err := ParseTube(s)
		if err == nil && !(tube.Bore > 0 && tube.Length > 0 && tube.Length <= longestTube) {
			t.Errorf("%q is taken as %+v", s, tube)
		}
	})
}

package acquire

import (
	"testing"
	"testing/synctest"
	"time"

	"example.org/holdfast/drivers"
	"example.org/holdfast/internal/units"
)

func TestWordsAreKeptWhereTheNumbersCannotRebuildThem(t *testing.T) {
	words := []string{
		"P=20.001 T=21.5",   // the first: kept
		"P=19.999 T=21.5",   //
		"P= 9.999 T=-1.5",   // padded, below zero
		"P=19.998 T=21.5 !", // another shape
		"P=19.998 T=21.5 !",
		"P=19.998 T=21.5",       // and back
		"P=19.998 T=21.5 n=17",  // a number more than values
		"P=19.998 T=21.5 n=18",  // again
		"P=19.998 bar  T=21.5C", // a unit
		"",
	}
	kept := []bool{true, false, false, true, false, true, true, true, true, false}
	synctest.Test(t, func(t *testing.T) {
		b, _ := bench(t, Config{Devices: []Device{{Name: "gauge", Open: always(func() drivers.Source {
			return newScript(time.Second, func(n int) (drivers.Reading, error) {
				r := gauge(20)
				r.Ambient, r.Raw = units.FromCelsius(21.5), words[min(n, len(words)-1)]
				return r, nil
			})
		})}}}, time.Duration(len(words))*time.Second+time.Millisecond)
		for i, s := range b.samples() {
			if got := s.Sample.Raw; (got != "") != kept[i] || got != "" && got != words[i] {
				t.Errorf("%q: kept %q", words[i], got)
			}
		}
	})
}

// Wall times are counted on, so that the log need not write them; a clock that is slewed or set is followed all the same.
func TestWallTimesGoEvenlyAndFollowTheClock(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		clock := newBenchClock()
		b, _ := bench(t, Config{Clock: clock, Devices: []Device{{Name: "gauge", Open: steady(time.Second, gauge(20))}}},
			100*time.Second, func(*Acquirer) {
				for range 99 {
					time.Sleep(time.Second)
					clock.step(500 * time.Microsecond) // the most that NTP does
				}
			})
		s := b.samples()
		origin := clock.origin.UnixMilli()
		uneven := 0
		for i, r := range s {
			want := origin + int64(r.Elapsed*1000) + int64(i)/2
			if d := r.Wall - want; d < -wallJitter-1 || d > wallJitter+1 {
				t.Fatalf("at %v s the wall time is %d ms off", r.Elapsed, d)
			}
			if i > 0 && r.Wall-s[i-1].Wall != 1000 {
				uneven++
			}
		}
		if len(s) < 99 || uneven == 0 || uneven > 15 {
			t.Errorf("%d samples, %d of them uneven", len(s), uneven)
		}
	})
}

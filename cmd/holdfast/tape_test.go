package main

import (
	"testing"

	"example.org/holdfast/internal/holdlog"
)

// taped is a tape of these records, whole.
func taped(records []holdlog.Record) *tape {
	t := &tape{begun: make(chan struct{}), done: make(chan struct{})}
	for _, r := range records {
		t.add(r)
	}
	close(t.done)
	return t
}

// What is seen of a tape at some moment stays as it is while more comes, over the ends of its pieces.
func TestAReelStaysAsItIsWhileTheTapeGrows(t *testing.T) {
	tp := &tape{begun: make(chan struct{}), done: make(chan struct{})}
	n := 2*len(piece{}) + 3
	var seen []reel
	for i := range n {
		tp.add(holdlog.Record{Elapsed: float64(i)})
		if i%1000 == 0 || i == len(piece{})-1 || i == len(piece{}) {
			seen = append(seen, tp.so())
		}
	}
	for _, r := range append(seen, tp.so()) {
		i := 0
		for rec := range r.all() {
			if rec.Elapsed != float64(i) {
				t.Fatalf("of %d: record %d is that of %g s", r.n, i, rec.Elapsed)
			}
			i++
		}
		if i != r.n {
			t.Errorf("%d records of %d", i, r.n)
		}
	}
	if got := tp.so().n; got != n || tp.ends() != float64(n-1) {
		t.Errorf("%d records to %g s, want %d", got, tp.ends(), n)
	}
}

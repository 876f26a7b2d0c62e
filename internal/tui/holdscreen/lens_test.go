package holdscreen

import (
	"math"
	"strings"
	"testing"

	tea "github.com/charmbracelet/bubbletea"
)

func TestACloserLookReadsOffTheValuesOfAPlace(t *testing.T) {
	st := tightState()
	b := newBench(st, Options{})
	b.Update(tea.WindowSizeMsg{Width: 120, Height: 40})
	b.press("z")
	c := st.Curve[len(st.Curve)-1]
	u := b.unit()
	if v := b.View(); !strings.Contains(v, "40:00") || !strings.Contains(v, "measured "+u.Reading(b.shown(c.Raw)*u.Pa, 100)) || !strings.Contains(v, "air 21.9") {
		t.Fatalf("the newest values are not read off:\n%s", v)
	}
	b.lens.at = 905
	if v := b.View(); !strings.Contains(v, "door opened") {
		t.Errorf("the mark under the cursor is not named:\n%s", v)
	}
	b.press("esc")
	if b.lens.on || !strings.Contains(b.View(), "corrected") {
		t.Error("Esc does not end the closer look")
	}
}

// Zooming keeps the place under the cursor in sight and the part within the hold; the cursor takes the part along.
func TestZoomAndPanKeepTheCursorInSight(t *testing.T) {
	for _, at := range []float64{0, 600, 2400} {
		b := newBench(tightState(), Options{})
		b.press("z")
		b.lens.at = at
		for range 12 {
			b.zoom(0.5)
			x0, x1 := b.shownRange()
			if b.lens.at < x0-1e-9 || b.lens.at > x1+1e-9 || x0 < 0 || x1 > 3600 || x1-x0 < leastShown-1e-9 {
				t.Fatalf("from %v: cursor %v, part %v to %v", at, b.lens.at, x0, x1)
			}
		}
		x0, x1 := b.shownRange()
		for range 40 {
			b.press("left")
		}
		y0, y1 := b.shownRange()
		if b.lens.at < y0 || b.lens.at > y1 || math.Abs((y1-y0)-(x1-x0)) > 1e-6 {
			t.Errorf("from %v: after 40 times left the cursor %v is outside %v to %v", at, b.lens.at, y0, y1)
		}
		for range 12 {
			b.zoom(2)
		}
		if b.lens.narrow() {
			t.Errorf("from %v: zooming out does not end with the whole", at)
		}
	}
}

// In a replay the arrows scrub; while looking closer they move the cursor, and space still pauses.
func TestACloserLookTakesOnlyItsOwnKeys(t *testing.T) {
	var calls []string
	note := func(s string) { calls = append(calls, s) }
	m := New(feedOf(tightState(), 0), Actions{Player: &Player{Pause: func() { note("pause") }, Jump: func(float64) { note("jump") },
		Speed: func(float64) {}, Step: func(int) {}, Status: func() PlayStatus { return PlayStatus{End: 4000, Speed: 1} }}}, Options{})
	b := &bench{Model: m}
	b.Update(tea.WindowSizeMsg{Width: 80, Height: 24})
	b.press("z", "left", "space", "z", "left")
	if got := strings.Join(calls, " "); got != "pause jump" {
		t.Errorf("calls %q, want a pause and, after the closer look, one jump", got)
	}
}

// A refill begins another curve: the part that was looked at is gone.
func TestANewFillingEndsTheCloserLook(t *testing.T) {
	b := newBench(tightState(), Options{})
	b.press("z")
	b.zoom(0.5)
	next := *b.feed.st
	next.Segment, next.Curve = 2, next.Curve[:3]
	b.feed.st = &next
	b.ticks(1)
	if x0, x1 := b.shownRange(); x0 != 0 || x1 != 3600 || b.lens.on {
		t.Errorf("range %v to %v, lens %+v", x0, x1, b.lens)
	}
}

// A spike that lasted one reading stays on the chart of the measured pressure.
func TestASpikeIsNeverLost(t *testing.T) {
	st := tightState()
	st.Curve[100].RawMax += 20000
	b := newBench(st, Options{})
	b.press("v")
	_, top := b.pressureRange(0, 3600)
	if spike := b.shown(st.Curve[100].RawMax); top < spike {
		t.Errorf("the axis ends at %v, the spike is at %v", top, spike)
	}
	b.press("v")
	if _, top := b.pressureRange(0, 3600); top > b.shown(st.Curve[100].RawMax) {
		t.Error("the axis leaves room for what is not shown")
	}
}

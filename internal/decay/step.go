package decay

import "math"

// jump watches for steps of the pressure sensor: from one row to the next the
// pressure is elsewhere and then goes on as before, with no reason in the
// temperature. A row that startles waits for the rows after it. If they all lie
// off by the same, that is taken off from there on, and a free level in the
// regression takes up the error of it. A leak goes on falling, a hand fades:
// their rows are used as they are.
type jump struct {
	waiting []rowAt
	ready   []rowAt // reused
	found   []Step
	shift   float64 // of ln P, the sum of all steps
	freed   bool    // there has been one, so the level is free from there on
}

// Step is one jump of the pressure sensor.
type Step struct {
	At float64 // s since the filling
	By float64 // Pa, upwards positive
}

const (
	jumpRows   = 5     // rows looked at after the one that startled
	startling  = 3.0   // standard deviations of a row
	jumpClear  = 4.0   // standard deviations of the mean of the rows after it
	jumpMost   = 0.01  // of the pressure; more than that is not believed to be the sensor
	stepPrior  = 1e-3  // of ln P, what may be left of a step after its mean was taken off
	jumpsMost  = 2     // then nothing is proven anyway, and taking more out could hide a leak
	undoneTime = 900.0 // s: a step back within that time was something that passed, a hand or a draught
	jumpPace   = 100.0 // s between rows; beyond, nothing is sudden
)

// column is the regression's free level.
func (j *jump) column() float64 {
	if j.freed {
		return 1
	}
	return 0
}

// pass takes a row and returns those that can be used now, in order.
func (j *jump) pass(h *Hold, q rowAt) []rowAt {
	j.ready = j.ready[:0]
	if len(j.waiting) == 0 && (len(j.found) == jumpsMost || !j.startles(h, q)) {
		return append(j.ready, q)
	}
	j.waiting = append(j.waiting, q)
	if len(j.waiting) <= jumpRows {
		return nil
	}
	falls := j.falls(h)
	if by, yes := j.weigh(h); yes {
		j.take(h, by)
	} else {
		h.opened.startled(h.bank, h.rowAt, &h.lastRow, h.post.best, falls)
	}
	j.ready, j.waiting = j.waiting, j.ready
	return j.ready
}

// startles reports a row far from what is expected, where that means something.
func (j *jump) startles(h *Hold, q rowAt) bool {
	dt := q.t - h.rowAt
	fresh := h.det != nil && h.lookedAt == h.rowAt // who looks rarely cannot be startled
	if !fresh || !q.room || h.opinion() != h.bank || h.byHand() || h.clean.coarse() || dt > jumpPace {
		return false
	}
	off, v := h.bank.surprise(h.det, &q.x, dt, q.noise)
	return off*off > sq(startling)*v
}

// weigh says by how much the rows after the startling one lie off, and whether
// that is a step: clear, not to be explained by the temperature, and told from a
// leak that opened, which goes on.
func (j *jump) weigh(h *Hold) (by float64, yes bool) {
	var off [jumpRows]float64
	var expected, noise, along, steps float64
	for i, q := range j.waiting[1:] {
		o, v := h.bank.surprise(h.det, &q.x, q.t-h.rowAt, q.noise)
		k := float64(i + 1)
		off[i] = o
		by += o / jumpRows
		along, steps = along+k*o, steps+k*k
		expected = math.Max(expected, v-q.noise)
		noise += q.noise / jumpRows
	}
	var flat, ramp float64
	for i, o := range off {
		flat += sq(o - by)
		ramp += sq(o - along/steps*float64(i+1))
	}
	warmth := math.Abs(j.waiting[jumpRows].x[colLag] - h.lastRow[colLag])
	clear := sq(by) > sq(jumpClear)*(expected+noise/jumpRows) && flat+sq(startling)*noise < ramp
	even := flat < jumpRows*(2*noise+sq(0.05*by))
	return by, clear && even && math.Abs(by) < jumpMost && warmth < math.Abs(by)
}

// falls reports that the rows that wait lie below what is expected, beyond doubt.
func (j *jump) falls(h *Hold) bool {
	n := float64(len(j.waiting))
	var mean, expected, noise float64
	for _, q := range j.waiting {
		o, v := h.bank.surprise(h.det, &q.x, q.t-h.rowAt, q.noise)
		mean += o / n
		expected = math.Max(expected, v-q.noise)
		noise += q.noise / n
	}
	return mean < 0 && sq(mean) > sq(jumpClear)*(expected+noise/n)
}

// take notes a step, or that the one before was undone, drops the row it
// happened in and shifts the others.
func (j *jump) take(h *Hold, by float64) {
	s := Step{At: j.waiting[0].t, By: by * h.lastP}
	n := len(j.found) - 1
	if n >= 0 && s.At-j.found[n].At < undoneTime && math.Abs(s.By+j.found[n].By) < math.Abs(j.found[n].By)/2 {
		j.found = j.found[:n]
	} else {
		j.found = append(j.found, s)
	}
	j.freed = true
	j.shift += by
	j.waiting = append(j.waiting[:0], j.waiting[1:]...)
	for i := range j.waiting {
		j.waiting[i].x[colStep] = 1
		j.waiting[i].x[colY] -= by
	}
}

package decay

import "math"

// lagBank is the room (and the part's) temperature seen through the lags of a
// thermal model. It is stepped once a bin, exactly for a temperature that runs
// straight from one bin to the next.
type lagBank struct {
	model thermal
	level [nLag]float64 // K
	last  [2]float64    // K, driving temperatures at the last step: room, part
	t     float64       // s
	begun bool
	since float64 // s, when temperatures began to be known; <=0 before the filling
}

// step moves the bank to time t with the driving temperatures there.
func (b *lagBank) step(t, room, part float64) {
	now := [2]float64{room, part}
	if !b.begun {
		for j := range b.level {
			b.level[j] = now[b.drive(j)]
		}
		b.last, b.t, b.begun, b.since = now, t, true, math.Min(t, 0)
		return
	}
	dt := t - b.t
	if dt <= 0 {
		return
	}
	for j, lag := range b.model.lag {
		d := b.drive(j)
		if lag == 0 {
			b.level[j] = now[d]
			continue
		}
		slope := (now[d] - b.last[d]) / dt
		behind := b.level[j] - b.last[d] + slope*lag
		b.level[j] = now[d] - slope*lag + behind*math.Exp(-dt/lag)
	}
	b.last, b.t = now, t
}

// drive is which temperature drives lag j: 0 the room, 1 the part.
func (b *lagBank) drive(j int) int {
	if b.model.onPart[j] {
		return 1
	}
	return 0
}

// drift is how far lag j would be off at time t if the room had moved by 1 K/h
// for historySpan before the record began, in K.
func (b *lagBank) drift(j int, t float64) float64 {
	lag := b.model.lag[j]
	if lag == 0 || b.model.onPart[j] {
		return 0
	}
	return -lag / 3600 * (1 - math.Exp(-historySpan/lag)) * math.Exp(-(t-b.since)/lag)
}

// trend is a running straight-line fit of the room temperature, for the weight
// of the drift hypotheses.
type trend struct {
	n, t0, v0        float64
	st, sv, stt, stv float64
	first, lastT     float64
}

func (r *trend) add(t, v float64) {
	if r.n == 0 {
		r.t0, r.v0, r.first = t, v, t
	}
	t, v = (t-r.t0)/3600, v-r.v0
	r.n++
	r.st += t
	r.sv += v
	r.stt += t * t
	r.stv += t * v
	r.lastT = t
}

// slope is K/h, with the span it rests on in h.
func (r *trend) slope() (k, span float64) {
	d := r.n*r.stt - r.st*r.st
	if r.n < 3 || d <= 0 {
		return 0, 0
	}
	return (r.n*r.stv - r.st*r.sv) / d, r.lastT
}

// cellWidth is how much of the slope axis each hypothesis stands for, K/h.
func cellWidth(i int) float64 {
	switch i {
	case 0:
		return slopes[1] - slopes[0]
	case len(slopes) - 1:
		return slopes[i] - slopes[i-1]
	default:
		return (slopes[i+1] - slopes[i-1]) / 2
	}
}

// slopeWeights are the log prior weights of the drift hypotheses, given the
// drift seen since: normal around 0.7 of it (sd .35 + half the drift + what a
// short record leaves open), times the width of the cell.
func (r *trend) slopeWeights() (w [len(slopes)]float64) {
	k, span := r.slope()
	share := span * span / (span*span + 0.15)
	mean := 0.7 * k * share
	v := 0.35*0.35 + 0.25*k*k + (1-share)*(1-share)
	sum := 0.0
	for i, s := range slopes {
		w[i] = math.Exp(-(s-mean)*(s-mean)/(2*v)) * cellWidth(i)
		sum += w[i]
	}
	for i := range w {
		w[i] = math.Log(math.Max(w[i]/sum, 1e-300))
	}
	return w
}

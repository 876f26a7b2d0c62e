package decay

import "math"

// evidence sums members of a story.
type evidence struct {
	logs, means, vars [24]float64
	n                 int
}

func (e *evidence) add(log, mean, variance float64) {
	e.logs[e.n], e.means[e.n], e.vars[e.n] = log, mean, variance
	e.n++
}

func (e *evidence) top() float64 {
	t := math.Inf(-1)
	for _, l := range e.logs[:e.n] {
		t = math.Max(t, l)
	}
	return t
}

// log is the log of the mean evidence.
func (e *evidence) log() float64 {
	t, sum := e.top(), 0.0
	for _, l := range e.logs[:e.n] {
		sum += math.Exp(l - t)
	}
	return t + math.Log(sum/float64(e.n))
}

// moments are mean and standard deviation of the mixture.
func (e *evidence) moments() (mean, sd float64) {
	t := e.top()
	var w, m, v float64
	for i, l := range e.logs[:e.n] {
		k := math.Exp(l - t)
		w += k
		m += k * e.means[i]
	}
	m /= w
	for i, l := range e.logs[:e.n] {
		v += math.Exp(l-t) / w * (e.vars[i] + sq(e.means[i]-m))
	}
	return m, math.Sqrt(v)
}

package decay

import "math"

// maxTerms is the most terms a hypothesis can have: the model's and those of a break.
const maxTerms = nParam + 4

// system is one hypothesis as a set of normal equations in terms scaled by
// their prior standard deviations, with the priors added. The bank solves only
// for the leak, thousands of times; a system is for the few hypotheses that are
// wanted in full. Own code for the same reason as in bank.go: a few microseconds
// and no allocation.
type system struct {
	n     int
	scale [maxTerms]float64
	data  [maxTerms][maxTerms]float64 // products of the data alone
	a     [maxTerms][maxTerms]float64 // with priors; the Cholesky factor after factor
	b     [maxTerms]float64
	yy    float64
	extra [maxTerms - nParam]int // extra columns added, in order
	tie   float64                // precision of the sum of the lag weights
	log   float64                // log determinant of a, less that of the priors
}

// system sets up hypothesis h. b.work.comb must hold its combined products.
func (b *bank) system(h hypothesis, blind bool) *system {
	if blind {
		return b.tied(h, true, 0)
	}
	return b.tied(h, false, 1/b.tieVar)
}

// tied is system with the precision tie of the sum of the lag weights around one.
func (b *bank) tied(h hypothesis, blind bool, tie float64) *system {
	s := &system{n: nParam, tie: tie}
	scale, mean := b.priors(h, blind)
	copy(s.scale[:], scale[:])
	sumTie := 1.0
	s.yy = b.combAt(atY, atY) + s.tie
	for i := range nParam {
		ci := slot(h.law, i)
		for j := i; j < nParam; j++ {
			v := scale[i] * scale[j] * b.combAt(ci, slot(h.law, j))
			s.data[i][j], s.data[j][i] = v, v
			if isLag(i) && isLag(j) {
				v += s.tie * scale[i] * scale[j]
			}
			if i == j {
				v++
			}
			s.a[i][j], s.a[j][i] = v, v
		}
		s.b[i] = scale[i]*b.combAt(ci, atY) + mean[i]
		s.yy += mean[i] * mean[i]
		if isLag(i) {
			s.b[i] += s.tie * scale[i]
			sumTie += s.tie * scale[i] * scale[i]
		}
	}
	s.log = -math.Log(sumTie)
	return s
}

// extend adds one term with prior zero +- sd, its products with the terms that
// are there already (in order) and with itself and the observation.
func (s *system) extend(sd float64, cross []float64, self, y float64) {
	i := s.n
	s.n++
	s.scale[i] = sd
	for j := range i {
		v := sd * s.scale[j] * cross[j]
		s.data[i][j], s.data[j][i] = v, v
		s.a[i][j], s.a[j][i] = v, v
	}
	s.data[i][i] = sd * sd * self
	s.a[i][i] = s.data[i][i] + 1
	s.b[i] = sd * y
}

// factor replaces a by its Cholesky factor (lower) and solves for the scaled
// terms, which it returns with the log evidence (without the whitening's part).
func (s *system) factor() (theta [maxTerms]float64, logE float64) {
	n := s.n
	for j := range n {
		d := s.a[j][j]
		for k := range j {
			d -= s.a[j][k] * s.a[j][k]
		}
		d = math.Sqrt(math.Max(d, 1e-12))
		s.a[j][j] = d
		s.log += 2 * math.Log(d)
		for i := j + 1; i < n; i++ {
			v := s.a[i][j]
			for k := range j {
				v -= s.a[i][k] * s.a[j][k]
			}
			s.a[i][j] = v / d
		}
	}
	z := s.forward(s.b)
	quad := s.yy
	for i := range n {
		quad -= z[i] * z[i]
	}
	return s.backward(z), -0.5*quad - 0.5*s.log
}

// forward solves L z = v.
func (s *system) forward(v [maxTerms]float64) [maxTerms]float64 {
	for i := range s.n {
		for k := range i {
			v[i] -= s.a[i][k] * v[k]
		}
		v[i] /= s.a[i][i]
	}
	return v
}

// backward solves L' x = z.
func (s *system) backward(z [maxTerms]float64) [maxTerms]float64 {
	for i := s.n - 1; i >= 0; i-- {
		for k := i + 1; k < s.n; k++ {
			z[i] -= s.a[k][i] * z[k]
		}
		z[i] /= s.a[i][i]
	}
	return z
}

// solve gives a^-1 v, after factor.
func (s *system) solve(v [maxTerms]float64) [maxTerms]float64 { return s.backward(s.forward(v)) }

// isLag reports whether term i is the weight of a lag.
func isLag(i int) bool { return i >= 1 && i <= nLag }

// slot is the combined column of term i under a flow law.
func slot(law, i int) int {
	switch {
	case i < n1:
		return i
	case i == n1:
		return atLaw + law
	default:
		return atSlow + i - n1 - 1
	}
}

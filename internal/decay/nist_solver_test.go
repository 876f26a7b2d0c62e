package decay

import (
	"encoding/json"
	"fmt"
	"math"
	"os"
	"strconv"
	"testing"

	"gonum.org/v1/gonum/mat"
)

// fitted is a plain linear regression: coefficients and their covariance for a
// known variance of the observations.
type fitted struct {
	theta []float64
	cov   [][]float64
}

func (f fitted) sd(i int) float64 { return math.Sqrt(f.cov[i][i]) }

// solver regresses y on columns x by one of the solvers at hand. most is how many terms it takes.
type solver struct {
	name  string
	most  int
	solve func(x [][]float64, y []float64, variance float64) fitted
}

// solvers are the engine's three, and gonum, which is the oracle of other tests.
func solvers() []solver {
	return []solver{
		{"bank", n1 + n2 - nLag, bankSolve},
		{"system", n1 + n2 - nLag, systemSolve},
		{"rise", maxRise, riseSolve},
		{"gonum", math.MaxInt, gonumSolve},
	}
}

// weak is how many times wider than its uncertainty a coefficient's prior is
// made in these tests, so that only the data speak.
const weak = 1e8

// plainBank is a bank without physics: priors of mean 0 and deviation 1 (of the
// leak priorRate), no thermometer, no wander. Its terms are the columns slots names.
func plainBank() (b *bank, slots []int) {
	b = &bank{grams: []gram{{}}, logWand: []float64{0}}
	for i := range b.sd1 {
		b.sd1[i] = 1
	}
	for i := range b.scales {
		b.scales[i] = 1
	}
	for i := range nTau {
		b.model.heatSD[i] = 1
	}
	slots = []int{colLaw, colOne}
	for k := range nTau {
		slots = append(slots, colHeat+k)
	}
	return b, slots
}

// plain is the one hypothesis of a plainBank.
var plain = hypothesis{wander: 0, slope: 3, law: 0, scale: 0}

// load gives the columns to a plain bank, column lead in the place of the leak,
// scaled so that their priors are weak. It returns the order and the scales.
func load(x [][]float64, y []float64, variance float64, lead int) (b *bank, order []int, scale []float64) {
	b, slots := plainBank()
	order = []int{lead}
	for j := range x[0] {
		if j != lead {
			order = append(order, j)
		}
	}
	for i, j := range order {
		sum := 0.0
		for r := range x {
			sum += sq(x[r][j])
		}
		c := weak * math.Sqrt(variance/sum)
		if i == 0 {
			c /= priorRate
		}
		scale = append(scale, c)
	}
	for r := range x {
		row := row{colY: y[r]}
		for i, j := range order {
			row[slots[i]] = x[r][j] * scale[i]
		}
		b.take(&row, 1, variance)
	}
	b.combine(&b.grams[0], 0)
	return b, order, scale
}

// bankSolve runs the way that the whole bank is weighed by, which gives one
// coefficient at a time; it has no covariances.
func bankSolve(x [][]float64, y []float64, variance float64) (f fitted) {
	for lead := range x[0] {
		b, _, scale := load(x, y, variance, lead)
		b.factor(true)
		m := b.solve(plain.law, plain.scale)
		f.theta = append(f.theta, m.mean*scale[0])
		f.cov = append(f.cov, make([]float64, len(x[0])))
		f.cov[lead][lead] = sq(m.sd * scale[0])
	}
	return f
}

// systemSolve runs the way that the best hypothesis is solved by in full.
func systemSolve(x [][]float64, y []float64, variance float64) (f fitted) {
	b, order, scale := load(x, y, variance, 0)
	d := b.explain(plain)
	places := []int{n1, 0} // of the terms, in the order of slots
	for k := range nTau {
		place := 1 + nLag + k
		if k >= nFast {
			place = n1 + 1 + k - nFast
		}
		places = append(places, place)
	}
	f.theta, f.cov = make([]float64, len(order)), make([][]float64, len(order))
	for i, j := range order {
		f.theta[j] = d.theta[places[i]] * scale[i]
		f.cov[j] = make([]float64, len(order))
		for k, l := range order {
			f.cov[j][l] = d.cov[places[i]][places[k]] * scale[i] * scale[k]
		}
	}
	return f
}

// riseSolve runs the solver of the vacuum rise; like the bank's it gives the last coefficient only.
func riseSolve(x [][]float64, y []float64, variance float64) (f fitted) {
	n := len(x[0])
	var g riseGram
	for r := range x {
		row := riseRow{riseY: y[r]}
		copy(row[:], x[r])
		g.take(&row, 1, 1, 0, variance)
	}
	f.theta = make([]float64, n)
	for last := range n {
		var t riseTerms
		for i := range n {
			col := (last + 1 + i) % n
			t.add(col, weak/math.Sqrt(g.sum[col][col]), 0)
		}
		var rf riseFactor
		rf.factor(&g, &t, 0)
		f.theta[last] = t.scale[n-1] * rf.z[n-1] / rf.a[n-1][n-1]
		f.cov = append(f.cov, make([]float64, n))
		f.cov[last][last] = sq(t.scale[n-1] / rf.a[n-1][n-1])
	}
	return f
}

// gonumSolve is a QR decomposition: no squared condition number.
func gonumSolve(x [][]float64, y []float64, variance float64) (f fitted) {
	n := len(x[0])
	a := mat.NewDense(len(x), n, nil)
	scale := make([]float64, n)
	for j := range n {
		for r := range x {
			scale[j] = math.Hypot(scale[j], x[r][j])
		}
		for r := range x {
			a.Set(r, j, x[r][j]/scale[j])
		}
	}
	var qr mat.QR
	qr.Factorize(a)
	var theta mat.VecDense
	if err := qr.SolveVecTo(&theta, false, mat.NewVecDense(len(y), y)); err != nil {
		if _, poor := err.(mat.Condition); !poor {
			panic(err)
		}
	}
	var r, inv mat.Dense
	qr.RTo(&r)
	_ = inv.Inverse(r.Slice(0, n, 0, n)) // a poor condition shows in the result
	f.cov = make([][]float64, n)
	for i := range n {
		f.theta = append(f.theta, theta.AtVec(i)/scale[i])
		f.cov[i] = make([]float64, n)
		for j := range n {
			for k := range n {
				f.cov[i][j] += variance * inv.At(i, k) * inv.At(j, k) / (scale[i] * scale[j])
			}
		}
	}
	return f
}

// residual is the sum of squares that a fit leaves.
func residual(x [][]float64, y, theta []float64) (sum float64) {
	for r := range x {
		e := y[r]
		for j := range x[r] {
			e -= x[r][j] * theta[j]
		}
		sum += e * e
	}
	return sum
}

// digits is how many significant digits of want got has: the log relative error of the StRD pages.
func digits(got, want float64) float64 {
	switch e := math.Abs(got - want); {
	case math.IsNaN(e):
		return 0
	case e == 0:
		return 15
	case want == 0:
		return max(-math.Log10(e), 0)
	default:
		return min(max(-math.Log10(e/math.Abs(want)), 0), 15)
	}
}

// numbers reads decimal texts, as the reference files keep them.
type numbers []float64

func (n *numbers) UnmarshalJSON(b []byte) error {
	var texts []any
	if err := json.Unmarshal(b, &texts); err != nil {
		return err
	}
	*n = nil
	for _, s := range texts {
		v, err := strconv.ParseFloat(fmt.Sprint(s), 64)
		if err != nil {
			return err
		}
		*n = append(*n, v)
	}
	return nil
}

// readJSON reads a reference file of testdata; its _source says where it comes from.
func readJSON(t *testing.T, name string, into any) {
	t.Helper()
	b, err := os.ReadFile("testdata/" + name)
	if err != nil {
		t.Fatal(err)
	}
	var head struct {
		Source string `json:"_source"`
	}
	if err := json.Unmarshal(b, &head); err != nil || head.Source == "" {
		t.Fatalf("%s: no source (%v)", name, err)
	}
	if err := json.Unmarshal(b, into); err != nil {
		t.Fatalf("%s: %v", name, err)
	}
}

// number is a decimal text of a reference file.
func number(t *testing.T, s string) float64 {
	t.Helper()
	v, err := strconv.ParseFloat(s, 64)
	if err != nil {
		t.Fatal(err)
	}
	return v
}

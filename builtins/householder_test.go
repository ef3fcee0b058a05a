package builtins

import (
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/mat"
)

func done(t *testing.T, err error) {
	t.Helper()
	if err != nil {
		t.Fatal(err)
	}
}

// The small systems, against those of gonum.
func TestHouseholder(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 1))
	const n, k = 12, 4
	j, y := mat.NewDense(n, k, nil), mat.NewVecDense(n, nil)
	columns := make([][]float64, k+1)
	for c := range columns {
		columns[c] = make([]float64, n)
		for i := range n {
			columns[c][i] = r.NormFloat64() * math.Pow(10, float64(c-2))
			if c < k {
				j.Set(i, c, columns[c][i])
			} else {
				y.SetVec(i, columns[c][i])
			}
		}
	}
	triangulate(columns, 0, k)
	var want mat.VecDense
	done(t, want.SolveVec(j, y))
	got := make([]float64, k)
	if !substitute(columns, columns[k], got) {
		t.Fatal("it is singular")
	}
	var normal, inverse mat.Dense
	normal.Mul(j.T(), j)
	done(t, inverse.Inverse(&normal))
	cov := covariance(columns, k)
	for a := range k {
		if relative(got[a], want.AtVec(a)) > 1e-12 {
			t.Errorf("solution %d is %v, by gonum %v", a, got[a], want.AtVec(a))
		}
		for b := range k {
			if relative(cov[a][b], inverse.At(a, b)) > 1e-9 {
				t.Errorf("covariance %d, %d is %v, by gonum %v", a, b, cov[a][b], inverse.At(a, b))
			}
		}
	}
	weight := []float64{0.3, 0, 2, 5} // the second stays
	stacked, right := mat.NewDense(n+3, 3, nil), mat.NewVecDense(n+3, nil)
	for c, from := range []int{0, 2, 3} {
		for i := range n {
			stacked.Set(i, c, j.At(i, from))
		}
		stacked.Set(n+c, c, weight[from])
	}
	for i := range n {
		right.SetVec(i, y.AtVec(i))
	}
	want.Reset()
	done(t, want.SolveVec(stacked, right))
	damped(columns, columns[k], weight, got)
	for c, from := range []int{0, 2, 3} {
		if got[1] != 0 || relative(got[from], want.AtVec(c)) > 1e-11 {
			t.Errorf("damped they are %v, by gonum %v", got, want.RawVector().Data)
		}
	}
	copy(columns[3], columns[2])
	columns[3][3] = 0
	if covariance(columns, k) != nil || substitute(columns, columns[k], got) {
		t.Error("a column that is another is not found")
	}
}

// Integrations that take nearly the same time share an exponential; each comes out
// as it does alone.
func TestSharedSpans(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 1))
	var m decayModel
	for i := range 200 {
		span := []float64{0.2, 3, 0, 40}[i/50] * (1 + 9e-4*r.Float64())
		m.from, m.span, m.root = append(m.from, float64(i)), append(m.span, span), append(m.root, 1)
	}
	e, slope := make([]float64, 200), make([]float64, 200)
	m.pace()
	for _, tau := range []float64{0.3, 7, 900} {
		m.means(tau, e, slope)
		for i := range e {
			alone, own := expMean(m.from[i], m.span[i], tau)
			if relative(e[i], alone) > 1e-14 || math.Abs(slope[i]-own) > 1e-15 {
				t.Fatalf("from %v over %v with %v: %v, %v, alone %v, %v", m.from[i], m.span[i], tau, e[i], slope[i], alone, own)
			}
		}
	}
}

package builtins

import (
	"math"

	"gonum.org/v1/gonum/mat"
)

// curve is a model of n points with a few parameters, each within limits. Both
// functions work on weighted residuals: (model - y)·√weight.
type curve struct {
	points    int
	residuals func(p, r []float64)
	slopes    func(p []float64, j *mat.Dense) // of the residuals, a column for each parameter
	low, high []float64                       // limits of the parameters
}

// fitted is where a fit ended.
type fitted struct {
	p         []float64
	ss        float64    // sum of the squared weighted residuals
	cov       *mat.Dense // (JᵀJ)⁻¹, nil where the points do not determine every parameter
	converged bool
}

const (
	fitSteps   = 500
	fitGoal    = 1e-13 // relative change of every parameter at which no more is to be had
	fitFlat    = 1e-12 // cosine between residuals and slopes at which a fit is done
	fitMinimum = 1e-5  // and at which it counts as a minimum where no step helps
	fitExact   = 1e-12 // residuals, relative to the data, that rounding alone makes
	fitRank    = 1e-10 // relative size of a pivot under which a parameter is not determined
	fitDamping = 1e-3  // of the first step
)

// fit minimises the sum of squares by Levenberg's and Marquardt's method, with
// the damping scaled by the columns' lengths; scale is the length of the
// weighted data, to tell residuals that are mere rounding.
//
// A step is cut at the limits, so that a parameter can come to rest at one; then
// converged only says that nothing better lies within.
func (m *curve) fit(start []float64, scale float64) fitted {
	n, k := m.points, len(start)
	f := fitted{p: append([]float64(nil), start...)}
	r, next, try := make([]float64, n), make([]float64, n), make([]float64, k)
	j := mat.NewDense(n, k, nil)
	m.residuals(f.p, r)
	f.ss = squares(r)
	damping := fitDamping
	for range fitSteps {
		m.slopes(f.p, j)
		if math.Sqrt(f.ss) <= fitExact*scale || m.flat(j, r, f.p, fitFlat) {
			f.converged = true
			break
		}
		moved, better := 0.0, false
		for !better && damping < 1e12 {
			moved = m.step(j, r, f.p, try, damping)
			m.residuals(try, next)
			if ss := squares(next); ss < f.ss {
				better, f.ss = true, ss
				copy(f.p, try)
				r, next = next, r
				damping = math.Max(damping/8, 1e-15)
				break
			}
			damping *= 4
		}
		if !better || moved < fitGoal {
			m.slopes(f.p, j)
			f.converged = math.Sqrt(f.ss) <= fitExact*scale || m.flat(j, r, f.p, fitMinimum)
			break
		}
	}
	m.slopes(f.p, j)
	f.cov = covariance(j)
	return f
}

func squares(r []float64) (ss float64) {
	for _, e := range r {
		ss += e * e
	}
	if math.IsNaN(ss) {
		return math.Inf(1)
	}
	return ss
}

// flat says whether the residuals stand at a right angle, as far as the cosine
// says, to every slope along which the parameters can still move.
func (m *curve) flat(j *mat.Dense, r, p []float64, cosine float64) bool {
	length := math.Sqrt(squares(r))
	for c := range p {
		column := mat.Col(nil, c, j)
		norm, dot := math.Sqrt(squares(column)), 0.0
		for i, e := range column {
			dot += e * r[i]
		}
		if p[c] <= m.low[c] && dot > 0 || p[c] >= m.high[c] && dot < 0 {
			continue // the way down leads out of the limits
		}
		if math.Abs(dot) > cosine*norm*length {
			return false
		}
	}
	return true
}

// step proposes parameters and answers the largest relative change. Parameters
// at a limit that the way down leads out of are left where they are.
//
// It solves the damped system by QR of the slopes with the damping beneath,
// which keeps the digits that the normal equations lose.
func (m *curve) step(j *mat.Dense, r, p, try []float64, damping float64) (moved float64) {
	n, k := j.Dims()
	a := mat.NewDense(n+k, k, nil)
	b := mat.NewVecDense(n+k, nil)
	for i := range n {
		b.SetVec(i, -r[i])
	}
	for c := range k {
		column := mat.Col(nil, c, j)
		norm, dot := math.Sqrt(squares(column)), 0.0
		for i, e := range column {
			dot += e * r[i]
		}
		if p[c] <= m.low[c] && dot > 0 || p[c] >= m.high[c] && dot < 0 || norm == 0 {
			a.Set(n+c, c, 1) // stays
			continue
		}
		for i, e := range column {
			a.Set(i, c, e)
		}
		a.Set(n+c, c, math.Sqrt(damping)*norm)
	}
	var d mat.VecDense
	var qr mat.QR
	qr.Factorize(a)
	if err := qr.SolveVecTo(&d, false, b); err != nil && d.Len() == 0 {
		copy(try, p)
		return 0
	}
	for c := range k {
		try[c] = math.Min(math.Max(p[c]+d.AtVec(c), m.low[c]), m.high[c])
		moved = math.Max(moved, math.Abs(try[c]-p[c])/math.Max(math.Abs(try[c]), 1e-300))
	}
	return moved
}

// covariance is (JᵀJ)⁻¹, nil where a column is all but a mix of others.
func covariance(j *mat.Dense) *mat.Dense {
	n, k := j.Dims()
	if n < k {
		return nil
	}
	scaled, norms := mat.NewDense(n, k, nil), make([]float64, k)
	for c := range k {
		column := mat.Col(nil, c, j)
		norms[c] = math.Sqrt(squares(column))
		if !(norms[c] > 0) || math.IsInf(norms[c], 0) {
			return nil
		}
		for i, e := range column {
			scaled.Set(i, c, e/norms[c])
		}
	}
	var qr mat.QR
	qr.Factorize(scaled)
	var r mat.Dense
	qr.RTo(&r)
	for c := range k {
		if math.Abs(r.At(c, c)) < fitRank {
			return nil
		}
	}
	var inverse, cov mat.Dense
	if err := inverse.Inverse(r.Slice(0, k, 0, k)); err != nil && inverse.IsEmpty() {
		return nil
	}
	cov.Mul(&inverse, inverse.T())
	for a := range k {
		for b := range k {
			cov.Set(a, b, cov.At(a, b)/(norms[a]*norms[b]))
		}
	}
	return &cov
}

package builtins

import "math"

// curve is a model of n points with a few parameters, each within limits. Both
// functions work on weighted residuals: (model - y)·√weight.
type curve struct {
	points    int
	residuals func(p, r []float64)
	slopes    func(p []float64, columns [][]float64) // of the residuals, a column for each parameter
	low, high []float64                              // limits of the parameters
}

// fitted is where a fit ended.
type fitted struct {
	p         []float64
	ss        float64     // sum of the squared weighted residuals
	cov       [][]float64 // (JᵀJ)⁻¹, nil where the points do not determine every parameter
	converged bool
}

const (
	fitSteps    = 500
	fitGoal     = 1e-13 // relative change of every parameter at which no more is to be had
	fitFlat     = 1e-12 // cosine between residuals and slopes at which a fit is done
	fitMinimum  = 1e-5  // and at which it counts as a minimum where no step helps
	fitExact    = 1e-12 // residuals, relative to the data, that rounding alone makes
	fitRank     = 1e-10 // relative size of a pivot under which a parameter is not determined
	fitSingular = 1e-14 // and under which a system is not solved
	fitDamping  = 1e-3  // of the first step
	fitHeld     = 1e12  // damping at which no step is one
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
	columns := make([][]float64, k+1) // the slopes, and what they are to make
	for c := range columns {
		columns[c] = make([]float64, n)
	}
	m.residuals(f.p, r)
	f.ss = numbered(squares(r))
	damping := fitDamping
	for range fitSteps {
		s := m.lie(f.p, r, columns)
		if math.Sqrt(f.ss) <= fitExact*scale || s.cosine <= fitFlat {
			f.converged = true
			break
		}
		for i, e := range r {
			columns[k][i] = -e
		}
		triangulate(columns, 0, min(k, n))
		moved, better := 0.0, false
		for !better && damping < fitHeld {
			moved = m.step(columns, s, f.p, try, damping)
			m.residuals(try, next)
			if ss := numbered(squares(next)); ss < f.ss {
				better, f.ss = true, ss
				copy(f.p, try)
				r, next = next, r
				damping = math.Max(damping/8, 1e-15)
				break
			}
			damping *= 4
		}
		if !better || moved < fitGoal {
			f.converged = math.Sqrt(f.ss) <= fitExact*scale || m.lie(f.p, r, columns).cosine <= fitMinimum
			break
		}
	}
	if n >= k {
		m.slopes(f.p, columns[:k])
		triangulate(columns[:k], 0, k)
		f.cov = covariance(columns, k)
	}
	return f
}

// numbered has no sum as worse than any.
func numbered(ss float64) float64 {
	if math.IsNaN(ss) {
		return math.Inf(1)
	}
	return ss
}

// slant is how the residuals lie to the slopes.
type slant struct {
	lengths [mostColumns]float64 // of the slopes; 0 for a parameter that stays
	cosine  float64              // the largest between residuals and slopes along which parameters can move
}

// lie fills in the slopes and says how the residuals lie to them. A parameter at a
// limit that the way down leads out of stays.
func (m *curve) lie(p, r []float64, columns [][]float64) (s slant) {
	m.slopes(p, columns[:len(p)])
	length := math.Sqrt(squares(r))
	for c := range p {
		norm, along := math.Sqrt(squares(columns[c])), dot(columns[c], r)
		if p[c] <= m.low[c] && along > 0 || p[c] >= m.high[c] && along < 0 || norm == 0 {
			continue
		}
		s.lengths[c] = norm
		s.cosine = math.Max(s.cosine, math.Abs(along)/(norm*length))
	}
	return s
}

// step proposes parameters and answers the largest relative change.
//
// It solves the damped system by QR, which keeps the digits that the normal
// equations lose: of the slopes once, in place already, and of their small
// triangle with the damping beneath for each damping.
func (m *curve) step(columns [][]float64, s slant, p, try []float64, damping float64) (moved float64) {
	k := len(p)
	var weight, d [mostColumns]float64
	for c := range k {
		weight[c] = math.Sqrt(damping) * s.lengths[c]
	}
	damped(columns, columns[k], weight[:k], d[:k])
	for c := range k {
		try[c] = math.Min(math.Max(p[c]+d[c], m.low[c]), m.high[c])
		moved = math.Max(moved, math.Abs(try[c]-p[c])/math.Max(math.Abs(try[c]), 1e-300))
	}
	return moved
}

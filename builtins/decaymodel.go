package builtins

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"
)

// decayModel is a sum of exponentials over integrations of some length.
//
// Over an integration from f to f + d the mean of exp(-t/tau) is
//
//	exp(-f/tau) φ(d/tau),   φ(x) = (1 - exp(-x))/x,  φ(0) = 1.
//
// Its parameters are the offset, unless that is given, and for each term the
// amplitude at the first integration and the logarithm of tau: tau cannot turn
// negative then, and a limit of ours bounds it.
type decayModel struct {
	terms           int
	fixed           *float64  // the offset, where it is given
	from, span      []float64 // when integrations began, after the first one; how long they took
	y, root         []float64 // what was read, and the root of its weight
	origin          float64   // when the first one began
	tauLow, tauHigh float64
}

const (
	decayGrid   = 24 // time constants that are tried for a start
	decayStarts = 3  // best starts that are followed
	// quickestTau and longestTau bound time constants: no less than this part
	// of the shortest time between readings, no more than so many times all
	// that was seen. What lies beyond is a step, or a straight line.
	quickestTau = 0.1
	longestTau  = 20
)

// size is the number of parameters.
func (m *decayModel) size() int { return m.linear() + 2*m.terms }

// linear is the number of parameters before the terms'.
func (m *decayModel) linear() int {
	if m.fixed != nil {
		return 0
	}
	return 1
}

// begin counts times from the first integration, so that amplitudes are of the
// data's own size, and sets the limits.
func (m *decayModel) begin() {
	m.origin = slices.Min(m.from)
	middles := make([]float64, len(m.from))
	end := 0.0
	for i := range m.from {
		m.from[i] -= m.origin
		middles[i] = m.from[i] + m.span[i]/2
		end = math.Max(end, m.from[i]+m.span[i])
	}
	slices.Sort(middles)
	gap := math.Inf(1)
	for i := 1; i < len(middles); i++ {
		if d := middles[i] - middles[i-1]; d > 1e-12*end {
			gap = math.Min(gap, d)
		}
	}
	m.tauLow, m.tauHigh = quickestTau*gap, longestTau*end
}

// mean is the mean of exp(-t/tau) over one integration, and its derivative by
// the logarithm of tau.
func (m *decayModel) mean(i int, tau float64) (e, slope float64) {
	s, x := m.from[i]/tau, m.span[i]/tau
	fall := math.Exp(-s)
	phi := 1.0
	if x > 0 {
		phi = -math.Expm1(-x) / x
	}
	// d/dln(tau) of exp(-s) φ(x) with ds = -s, dx = -x, x φ'(x) = exp(-x) - φ
	return fall * phi, fall * (s*phi + phi - math.Exp(-x))
}

func (m *decayModel) curve() *curve {
	k := m.size()
	low, high := make([]float64, k), make([]float64, k)
	for p := range k {
		low[p], high[p] = math.Inf(-1), math.Inf(1)
	}
	for t := range m.terms {
		l := m.linear() + 2*t + 1
		low[l], high[l] = math.Log(m.tauLow), math.Log(m.tauHigh)
	}
	return &curve{points: len(m.y), low: low, high: high, residuals: m.residuals, slopes: m.slopes}
}

func (m *decayModel) residuals(p, r []float64) {
	for i := range r {
		r[i] = -m.y[i]
		if m.fixed != nil {
			r[i] += *m.fixed
		} else {
			r[i] += p[0]
		}
	}
	for t := range m.terms {
		b, l := m.linear()+2*t, m.linear()+2*t+1
		tau := math.Exp(p[l])
		for i := range r {
			e, _ := m.mean(i, tau)
			r[i] += p[b] * e
		}
	}
	for i := range r {
		r[i] *= m.root[i]
	}
}

func (m *decayModel) slopes(p []float64, j *mat.Dense) {
	for i := range m.y {
		if m.fixed == nil {
			j.Set(i, 0, m.root[i])
		}
		for t := range m.terms {
			b, l := m.linear()+2*t, m.linear()+2*t+1
			e, slope := m.mean(i, math.Exp(p[l]))
			j.Set(i, b, e*m.root[i])
			j.Set(i, l, p[b]*slope*m.root[i])
		}
	}
}

// weight is the sum of the weights.
func (m *decayModel) weight() (s float64) {
	for _, r := range m.root {
		s += r * r
	}
	return s
}

// length is that of the weighted data.
func (m *decayModel) length() float64 {
	w := make([]float64, len(m.root))
	for i, r := range m.root {
		w[i] = r * r
	}
	return weightedLength(m.y, w)
}

// starts tries a grid of time constants, for each of which offset and amplitudes
// follow by linear least squares, and gives the best ones.
func (m *decayModel) starts() [][]float64 {
	taus := make([]float64, decayGrid)
	for g := range taus {
		share := float64(g) / (decayGrid - 1)
		taus[g] = math.Exp(math.Log(m.tauLow*1.5)*(1-share) + math.Log(m.tauHigh/1.5)*share)
	}
	columns, y := m.columns(taus)
	type candidate struct {
		ss float64
		p  []float64
	}
	var all []candidate
	try := func(pick ...int) {
		if p, ss, ok := m.amplitudes(columns, y, taus, pick); ok {
			all = append(all, candidate{ss, p})
		}
	}
	for a := range taus {
		if m.terms == 1 {
			try(a)
			continue
		}
		for b := a + 1; b < decayGrid; b++ {
			try(a, b)
		}
	}
	slices.SortStableFunc(all, func(a, b candidate) int {
		if a.ss < b.ss {
			return -1
		}
		return 1
	})
	var out [][]float64
	for i := range min(decayStarts, len(all)) {
		out = append(out, all[i].p)
	}
	return out
}

// columns are the weighted means of each exponential over the integrations, and
// last, where the offset is fitted, of a constant; y is weighted too.
func (m *decayModel) columns(taus []float64) (columns [][]float64, y []float64) {
	for _, tau := range taus {
		column := make([]float64, len(m.y))
		for i := range column {
			e, _ := m.mean(i, tau)
			column[i] = e * m.root[i]
		}
		columns = append(columns, column)
	}
	y = make([]float64, len(m.y))
	for i := range y {
		y[i] = m.y[i]
		if m.fixed != nil {
			y[i] -= *m.fixed
		}
		y[i] *= m.root[i]
	}
	return append(columns, m.root), y
}

// amplitudes solves for the offset and the amplitudes of picked time constants.
func (m *decayModel) amplitudes(columns [][]float64, y, taus []float64, pick []int) (p []float64, ss float64, ok bool) {
	use := slices.Clone(pick)
	if m.fixed == nil {
		use = append([]int{len(taus)}, pick...)
	}
	k := len(use)
	normal, right := mat.NewSymDense(k, nil), mat.NewVecDense(k, nil)
	for a := range k {
		for b := a; b < k; b++ {
			normal.SetSym(a, b, dot(columns[use[a]], columns[use[b]]))
		}
		right.SetVec(a, dot(columns[use[a]], y))
	}
	var chol mat.Cholesky
	var x mat.VecDense
	if !chol.Factorize(normal) || chol.SolveVecTo(&x, right) != nil {
		return nil, 0, false
	}
	ss = dot(y, y) - mat.Dot(&x, right)
	if m.fixed == nil {
		p = append(p, x.AtVec(0))
	}
	for t, g := range pick {
		p = append(p, x.AtVec(m.linear()+t), math.Log(taus[g]))
	}
	return p, ss, true
}

func dot(a, b []float64) (s float64) {
	for i := range a {
		s += a[i] * b[i]
	}
	return s
}

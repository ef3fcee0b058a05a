package builtins

import (
	"math"
	"sync"
)

// decayWork is the room that the fits of one model share, used again by others.
type decayWork struct {
	room     []float64
	columns  [decayGrid + 2][]float64
	products gridProducts
}

var decayRoom = sync.Pool{New: func() any { return &decayWork{} }}

// grid gives room for so many points in each of the most columns that are needed.
func (w *decayWork) grid(n int) [][]float64 {
	if need := n * len(w.columns); cap(w.room) < need {
		w.room = make([]float64, need)
	}
	for c := range w.columns {
		w.columns[c] = w.room[c*n : (c+1)*n : (c+1)*n]
	}
	return w.columns[:]
}

const decayMost = 1 + 2*mostTerms // parameters

// decayPoint is what follows from time constants, each with the offset and the
// amplitudes that then are best.
type decayPoint struct {
	l [mostTerms]float64 // logarithms of the time constants
	a [1 + mostTerms]float64
	// ss is the sum of the squared weighted residuals.
	ss float64
	// triangle is R of the columns of a constant, unless the offset is given, of
	// the terms and of their slopes for amplitude 1; y is what it turns the data
	// into.
	triangle [decayMost][decayMost]float64
	y        [decayMost]float64
	lengths  [mostTerms]float64 // of the slopes for amplitude 1
}

// rows gives the triangle from a row and column on, to the system's end.
func (pt *decayPoint) rows(from, to int) (r [decayMost][]float64) {
	for c := from; c < to; c++ {
		r[c-from] = pt.triangle[c][from:to]
	}
	return r
}

// at finds the best offset and amplitudes for time constants; false where the
// data do not tell those.
//
// The amplitudes' columns are made triangular first: what then stands of the
// slopes and of the data below is what no amplitude can mend.
//
// Source: Golub and Pereyra, SIAM J. Numer. Anal. 10 (1973) 413, in the form of
// Kaufman, BIT 15 (1975) 49, which leaves out a term that vanishes with the
// residuals.
func (m *decayModel) at(w *decayWork, l [mostTerms]float64) (pt decayPoint, ok bool) {
	pt.l = l
	lin, size := m.linear()+m.terms, m.size()
	columns := w.grid(len(m.y))[:size+1]
	if m.fixed == nil {
		copy(columns[0], m.root)
	}
	for t := range m.terms {
		slope := columns[lin+t]
		m.means(math.Exp(l[t]), columns[m.linear()+t], slope)
		pt.lengths[t] = math.Sqrt(squares(slope))
	}
	m.weighted(columns[size])
	triangulate(columns, 0, lin)
	if !substitute(columns, columns[size], pt.a[:lin]) {
		return pt, false
	}
	pt.ss = squares(columns[size][lin:])
	triangulate(columns, lin, size)
	for c := range size {
		copy(pt.triangle[c][:c+1], columns[c])
	}
	copy(pt.y[:size], columns[size])
	return pt, finite(pt.ss)
}

// downhill gives for each term the derivative of half the sum of squares by the
// logarithm of its time constant.
func (m *decayModel) downhill(pt *decayPoint) (g [mostTerms]float64) {
	lin := m.linear() + m.terms
	for t := range m.terms {
		g[t] = -pt.a[m.linear()+t] * dot(pt.triangle[lin+t][lin:lin+m.terms], pt.y[lin:])
	}
	return g
}

// stays says that a time constant is at a limit that the way down leads out of.
func (m *decayModel) stays(l, g float64) bool {
	return l <= math.Log(m.tauLow) && g > 0 || l >= math.Log(m.tauHigh) && g < 0
}

// cosine is the largest between the residuals and the slopes along which time
// constants can move.
func (m *decayModel) cosine(pt *decayPoint) (most float64) {
	for t, g := range m.downhill(pt) {
		a := pt.a[m.linear()+min(t, m.terms-1)]
		if t < m.terms && !m.stays(pt.l[t], g) && a != 0 && pt.lengths[t] > 0 {
			most = math.Max(most, math.Abs(g/a)/(pt.lengths[t]*math.Sqrt(pt.ss)))
		}
	}
	return most
}

// step proposes time constants, and says by how much the squares should shrink
// and how far it is.
func (m *decayModel) step(pt *decayPoint, damping float64) (l [mostTerms]float64, gain, moved float64) {
	lin := m.linear() + m.terms
	r := pt.rows(lin, lin+m.terms)
	g := m.downhill(pt)
	var weight, d, left [mostTerms]float64
	var scaled [mostTerms][mostTerms]float64
	for t := range m.terms {
		a := pt.a[m.linear()+t]
		for i := range t + 1 {
			scaled[t][i] = a * r[t][i]
		}
		r[t] = scaled[t][:m.terms]
		if !m.stays(pt.l[t], g[t]) {
			weight[t] = math.Sqrt(damping) * math.Sqrt(squares(r[t]))
		}
	}
	damped(r[:m.terms], pt.y[lin:lin+m.terms], weight[:m.terms], d[:m.terms])
	l = pt.l
	for t := range m.terms {
		l[t] = math.Min(math.Max(pt.l[t]+d[t], math.Log(m.tauLow)), math.Log(m.tauHigh))
		moved = math.Max(moved, math.Abs(l[t]-pt.l[t]))
		left[t] = pt.y[lin+t]
	}
	gain = squares(left[:])
	for t := range m.terms {
		for i := range t + 1 {
			left[i] -= r[t][i] * (l[t] - pt.l[t])
		}
	}
	return l, gain - squares(left[:]), moved
}

const (
	decaySteps = 200
	// decayClosing is a share of the squares under which what a step gains is
	// drowned by their rounding; whether it helps then shows in the slopes.
	decayClosing = 1e-9
	decayOver    = 1e-26 // share of the squares at which a step has no digits left
	// meeting is how near the logarithms of two time constants are that go on to
	// meet, as many looks in a row.
	meeting, meetings = 0.01, 6
)

// follow goes down from a start to a minimum by Levenberg's and Marquardt's
// method over the time constants alone. It gives up on the way where it comes to
// an end that is known.
func (m *decayModel) follow(w *decayWork, l [mostTerms]float64, scale float64, known []decayPoint) (pt decayPoint, converged, ok bool) {
	if pt, ok = m.at(w, l); !ok {
		return pt, false, false
	}
	damping, met := fitDamping, 0
	for range decaySteps {
		cosine := m.cosine(&pt)
		if math.Sqrt(pt.ss) <= fitExact*scale || cosine <= fitFlat {
			return pt, true, true
		}
		if m.near(&pt, known) {
			return pt, false, false
		}
		if met = m.met(&pt, met); met > meetings {
			return pt, false, true
		}
		next, moved := m.better(w, &pt, cosine, &damping)
		if next == nil || moved < fitGoal {
			if next != nil {
				pt = *next
			}
			break
		}
		pt = *next
	}
	return pt, math.Sqrt(pt.ss) <= fitExact*scale || m.cosine(&pt) <= fitMinimum, true
}

// better looks for a point that is better, with more and more damping; nil where
// there is none.
func (m *decayModel) better(w *decayWork, pt *decayPoint, cosine float64, damping *float64) (next *decayPoint, moved float64) {
	for ; *damping < fitHeld; *damping *= 4 {
		l, gain, moved := m.step(pt, *damping)
		try, ok := m.at(w, l)
		closing := gain <= decayClosing*pt.ss
		switch {
		case ok && closing && m.cosine(&try) < cosine, ok && !closing && try.ss < pt.ss:
			*damping = math.Max(*damping/8, 1e-15)
			return &try, moved
		case gain <= decayOver*pt.ss:
			return nil, 0
		}
	}
	return nil, 0
}

// met counts the points in a row at which two time constants are all but one.
func (m *decayModel) met(pt *decayPoint, before int) int {
	if m.terms == 2 && math.Abs(pt.l[0]-pt.l[1]) < meeting {
		return before + 1
	}
	return 0
}

// near says that a point lies close to an end that is known, and above it.
func (m *decayModel) near(pt *decayPoint, known []decayPoint) bool {
	const apart, worse = 0.01, 1e-4
	for i := range known {
		end := &known[i]
		close := pt.ss >= end.ss && pt.ss <= (1+worse)*end.ss
		for t := range m.terms {
			close = close && math.Abs(pt.l[t]-end.l[t]) < apart
		}
		if close {
			return true
		}
	}
	return false
}

// fit follows the best starts, and keeps the best end.
func (m *decayModel) fit() fitted {
	w := decayRoom.Get().(*decayWork)
	defer decayRoom.Put(w)
	var ends []decayPoint
	best, converged := -1, false
	scale := m.length()
	for _, s := range m.starts(w) {
		pt, done, ok := m.follow(w, s.l, scale, ends)
		if !ok {
			continue
		}
		ends = append(ends, pt)
		if best < 0 || pt.ss < ends[best].ss {
			best, converged = len(ends)-1, done
		}
	}
	if best < 0 {
		return fitted{p: make([]float64, m.size()), ss: scale * scale}
	}
	return m.ended(w, &ends[best], converged)
}

// ended puts an end in terms of the model's parameters.
func (m *decayModel) ended(w *decayWork, pt *decayPoint, converged bool) fitted {
	lin, size := m.linear()+m.terms, m.size()
	f := fitted{p: make([]float64, size), converged: converged, ss: m.residual(w, pt)}
	var place [decayMost]int // of the triangle's columns among the parameters
	var scale [decayMost]float64
	if m.fixed == nil {
		f.p[0], scale[0] = pt.a[0], 1
	}
	for t := range m.terms {
		b := m.linear() + t
		place[b], scale[b] = m.linear()+2*t, 1
		place[lin+t], scale[lin+t] = place[b]+1, pt.a[b]
		f.p[place[b]], f.p[place[b]+1] = pt.a[b], pt.l[t]
	}
	r := pt.rows(0, size)
	cov := covariance(r[:size], size)
	if cov == nil {
		return f
	}
	f.cov = make([][]float64, size)
	for i := range f.cov {
		f.cov[i] = make([]float64, size)
	}
	for i := range size {
		for j := range size {
			if scale[i] == 0 || scale[j] == 0 {
				f.cov = nil
				return f
			}
			f.cov[place[i]][place[j]] = cov[i][j] / (scale[i] * scale[j])
		}
	}
	return f
}

// residual is the sum of the squared weighted residuals, from themselves.
func (m *decayModel) residual(w *decayWork, pt *decayPoint) float64 {
	columns := w.grid(len(m.y))
	r, e := columns[0], columns[1]
	m.weighted(r)
	for t := range m.terms {
		m.means(math.Exp(pt.l[t]), e, nil)
		for i := range r {
			r[i] -= pt.a[m.linear()+t] * e[i]
		}
	}
	if m.fixed == nil {
		for i := range r {
			r[i] -= pt.a[0] * m.root[i]
		}
	}
	return squares(r)
}

package builtins

import (
	"math"
	"slices"
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
	gap             float64   // the time from one beginning to the next that is usual
	off             []float64 // by how much it is longer before an integration; infinite if by more than sameSpan of it
	alone           bool      // each exponential is computed by itself, as by the rules before 5
	tauLow, tauHigh float64
}

const (
	mostTerms = 2
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
	m.pace()
}

// pace finds how regularly integrations began.
func (m *decayModel) pace() {
	m.off = make([]float64, len(m.from))
	for i := 1; i < len(m.from); i++ {
		m.off[i] = m.from[i] - m.from[i-1]
	}
	usual := slices.Sorted(slices.Values(m.off)) // the first is 0
	m.gap = usual[len(usual)/2]
	for i := range m.off {
		if m.off[i] -= m.gap; i == 0 || m.alone || !(math.Abs(m.off[i]) <= sameSpan*m.gap) {
			m.off[i] = math.Inf(1)
		}
	}
}

// sameSpan is a relative difference of two spans up to which the exponential of
// one follows from that of the other, by the first terms of a series.
const sameSpan = 1e-3

// anchored is how many exponentials at most follow from one: each adds a rounding or two.
const anchored = 32

// means gives the weighted mean of exp(-t/tau) over each integration and, unless
// slope is nil, its derivative by the logarithm of tau. Integrations mostly
// take the same time but for rounding, and follow each other at the same pace, so that most need no
// exponential of their own.
func (m *decayModel) means(tau float64, e, slope []float64) {
	rate, ref := 1/tau, math.Inf(-1)
	lost, kept := 0.0, 1.0 // 1 - exp(-ref/tau), exp(-ref/tau)
	step, decay := 0.0, 1.0
	if m.gap*rate < 1 {
		step = math.Exp(-m.gap * rate)
	}
	for i, root := range m.root {
		s, x := m.from[i]*rate, m.span[i]*rate
		if q := m.off[i] * rate; step > 0 && i%anchored != 0 && q < sameSpan {
			decay *= step * (1 - q*(1-q/2*(1-q*(1./3)*(1-q/4))))
		} else {
			decay = math.Exp(-s)
		}
		fall := decay * root
		phi, end := 1.0, 1.0
		if x > 0 {
			q := (m.span[i] - ref) * rate
			if !(math.Abs(q) <= sameSpan*x) {
				ref, q, lost, kept = m.span[i], 0, -math.Expm1(-x), math.Exp(-x)
			}
			gone := lost + kept*q*(1-q/2*(1-q/3*(1-q/4))) // 1 - exp(-q), q being small
			phi, end = gone/x, 1-gone
		}
		e[i] = fall * phi
		if slope != nil {
			// d/dln(tau) of exp(-s) φ(x) with ds = -s, dx = -x, x φ'(x) = exp(-x) - φ
			slope[i] = fall * (s*phi + phi - end)
		}
	}
}

// weight is the sum of the weights.
func (m *decayModel) weight() (s float64) { return squares(m.root) }

// length is that of the weighted data.
func (m *decayModel) length() float64 {
	ss := 0.0
	for i, r := range m.root {
		ss += r * r * m.y[i] * m.y[i]
	}
	return math.Sqrt(ss)
}

// weighted gives y less a given offset, weighted.
func (m *decayModel) weighted(y []float64) {
	less := 0.0
	if m.fixed != nil {
		less = *m.fixed
	}
	for i, r := range m.root {
		y[i] = (m.y[i] - less) * r
	}
}

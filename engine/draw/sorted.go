package draw

import (
	"math"
	"slices"
)

// sorted are the draws of a value in ascending order, those without one left
// out.
type sorted struct {
	at      []float64
	missing int
}

// sortedOf copies the finite draws into order.
func sortedOf(draws []float64) sorted {
	s := sorted{at: make([]float64, 0, len(draws))}
	for _, y := range draws {
		if finite(y) {
			s.at = append(s.at, y)
		} else {
			s.missing++
		}
	}
	slices.Sort(s.at)
	return s
}

func finite(y float64) bool { return !math.IsNaN(y) && !math.IsInf(y, 0) }

// quantile returns the p-quantile, interpolated between the draws, of which
// the i-th (from 1) is the quantile (i - ½)/n.
//
// Source: [JCGM101], D.3 and D.4 (approximation of the distribution function).
func (s sorted) quantile(p float64) float64 {
	h := p*float64(len(s.at)) - 0.5
	i := int(math.Floor(h))
	switch {
	case i < 0:
		return s.at[0]
	case i >= len(s.at)-1:
		return s.at[len(s.at)-1]
	}
	return s.at[i] + (h-float64(i))*(s.at[i+1]-s.at[i])
}

// ends returns the quantiles between which a share of all draws lies, as much
// left out on either side. Draws without a value are taken to lie beyond the
// ends, half of them each.
func (s sorted) ends(share float64) (low, high float64) {
	n := float64(len(s.at))
	out := ((1-share)/2*(n+float64(s.missing)) - float64(s.missing)/2) / n
	out = math.Max(out, 0)
	return s.quantile(out), s.quantile(1 - out)
}

func (s sorted) constant() bool { return s.at[0] == s.at[len(s.at)-1] }

// moments returns mean and standard deviation (n - 1 in the denominator) of
// numbers, in two passes and each corrected for what rounding left, so that a
// large common part costs no digits; the deviation is NaN of fewer than two.
//
// Source: [JCGM101], 7.6; the correction: T. F. Chan, G. H. Golub and R. J.
// LeVeque, "Algorithms for computing the sample variance", Am. Stat. 37 (1983)
// 242-247.
func moments(numbers []float64) (mean, sd float64) {
	n := float64(len(numbers))
	for _, y := range numbers {
		mean += y / n
	}
	var rest, squares float64
	for _, y := range numbers {
		rest += y - mean
	}
	mean += rest / n
	rest = 0
	for _, y := range numbers {
		d := y - mean
		rest += d
		squares += d * d
	}
	return mean, math.Sqrt((squares - rest*rest/n) / (n - 1))
}

// Normal quantiles: of 97.5 %, and of what one standard deviation bounds.
const (
	z975  = 1.959963984540054
	p8413 = 0.841344746068543
)

// standard returns the standard uncertainty that the draws have: their
// standard deviation; but where the outer 5 % of them hold more than half of its
// squares, what the central 95 % say of a normal distribution, their half-width
// over 1.96. Means of two or three readings are drawn from t distributions that
// have no standard deviation, or none that a thousand draws would settle; with
// four degrees of freedom the two are the same.
//
// Source: [JCGM101], 7.6, and 6.4.9.4 on the standard deviation of t; the rule
// for heavy tails is our own.
func (s sorted) standard() float64 {
	if s.constant() {
		return 0
	}
	mean, sd := moments(s.at)
	outer := len(s.at) / 40
	inner := 0.
	for _, y := range s.at[outer : len(s.at)-outer] {
		inner += (y - mean) * (y - mean)
	}
	low, high := s.ends(0.95)
	if high > low && 2*inner < sd*sd*float64(len(s.at)-1) {
		return (high - low) / (2 * z975)
	}
	return sd
}

// halfWidth is that of the central 68.27 % of the draws.
func (s sorted) halfWidth() float64 { return (s.quantile(p8413) - s.quantile(1-p8413)) / 2 }

// bias returns how far the median of the draws lies from the estimate, in
// units of the half-width of their central 68.27 %: not the standard
// deviation, which heavy tails inflate.
func (s sorted) bias(estimate float64) float64 {
	off := s.quantile(0.5) - estimate
	width := s.halfWidth()
	if width == 0 {
		if off == 0 {
			return 0
		}
		return math.Copysign(math.Inf(1), off)
	}
	return off / width
}

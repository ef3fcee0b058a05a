package draw

import (
	"fmt"
	"math"
)

// Run is a value of a run: what it is on the readings themselves and in each
// draw, NaN where a draw did not give it. The same draw of two runs used the
// same numbers for what they share.
type Run struct {
	Estimate float64
	Draws    []float64
}

// Comparison is the difference or the ratio of a value of two runs.
type Comparison struct {
	Uncertainty
	// P is how probable it is to see at least such a difference between two
	// that are equal, from both sides: the smallest α for which the interval
	// of 1 - α leaves equality out. It is never below 2/(draws + 1), since no
	// draws say more.
	P float64
	// Significant says that the interval of 95 % leaves equality out.
	Significant bool
}

// Difference returns a - b, draw by draw, so that what both runs share cancels
// as far as it does: the meter's scale nearly all, each one's scatter not at
// all. Equality is 0.
//
// Errors are those of [Evaluate], a draw being without a value where either
// run is, and [ErrUnequal].
//
// Source: [JCGM101], clause 7, with both values as outputs of one model;
// [JCGM100], 5.2.5 and F.1.2.3 on correlation by shared causes.
func Difference(a, b Run) (Comparison, error) {
	return compare(a, b, 0, func(x, y float64) float64 { return x - y })
}

// Ratio returns a/b, draw by draw. Equality is 1. Where b is 0, or is not of
// one sign in all draws that give a value, the error is [ErrDivisor].
func Ratio(a, b Run) (Comparison, error) {
	if b.Estimate == 0 {
		return Comparison{}, fmt.Errorf("%w: it is 0", ErrDivisor)
	}
	for _, y := range b.Draws {
		if y == 0 || y*math.Copysign(1, b.Estimate) < 0 {
			return Comparison{}, fmt.Errorf("%w: it is %v, and %v in a draw", ErrDivisor, b.Estimate, y)
		}
	}
	return compare(a, b, 1, func(x, y float64) float64 { return x / y })
}

func compare(a, b Run, equal float64, of func(x, y float64) float64) (Comparison, error) {
	if len(a.Draws) != len(b.Draws) {
		return Comparison{}, fmt.Errorf("%w: %d and %d draws; draw both anew, equally often", ErrUnequal, len(a.Draws), len(b.Draws))
	}
	draws := make([]float64, len(a.Draws))
	for i := range draws {
		draws[i] = of(a.Draws[i], b.Draws[i])
	}
	estimate := of(a.Estimate, b.Estimate)
	s, err := usable(estimate, draws)
	if err != nil {
		return Comparison{}, err
	}
	c := Comparison{Uncertainty: s.evaluate(estimate, Unlimited)}
	c.P = s.probability(estimate, equal)
	c.Significant = c.Low > equal || c.High < equal
	return c, nil
}

// probability returns the smallest α for which the interval of 1 - α, by the
// method that the draws ask for, leaves a number out.
func (s sorted) probability(estimate, number float64) float64 {
	m, c := s.choose(estimate, Unlimited)
	if m == Constant {
		if estimate == number {
			return 1
		}
		return 0
	}
	out := func(alpha float64) bool {
		low, high := s.interval(m, estimate, 1-alpha, c)
		return low > number || high < number
	}
	least := 2 / float64(len(s.at)+1)
	if out(least) {
		return least
	}
	within, without := least, 1.
	if !out(without) {
		return 1
	}
	for range 40 {
		if half := (within + without) / 2; out(half) {
			without = half
		} else {
			within = half
		}
	}
	return without
}

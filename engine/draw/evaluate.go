package draw

import (
	"fmt"
	"math"
)

// Uncertainty is the uncertainty of a value, evaluated from its draws.
type Uncertainty struct {
	Estimate  float64 // the value on the readings themselves
	U         float64 // standard uncertainty
	Low, High float64 // an interval of 95 %
	Method    Method  // how the interval was had
	// Bias is the estimated change of the value by errors of the readings; 0
	// unless the method reflects. The estimate is not corrected for it. The
	// interval is, and so it need not hold the estimate.
	Bias    float64
	Draws   int // with a value
	Missing int // without one: divergent, failed, or not a finite number
}

// Evaluate returns the uncertainty of a value with a 95 % interval. estimate is the
// value from the readings themselves. draws holds its value in each draw, or NaN
// (or an infinity) for a draw that gave no value.
//
// The method follows from b, the distance of the median of the draws from the
// estimate in half-widths of their central 68.27 %: [Percentile] for |b| < 0.1,
// [Guarded] up to 1, [Reflected] above. If neither the value nor any draw is
// negative, the value is assumed to have the limit 0. This only matters if errors
// push the value away from 0; [EvaluateWithin] takes other limits. If the estimate
// and all draws are whole numbers, so are the ends of the interval.
//
// Draws without a value widen the interval, as if they lay beyond its ends. The
// error is [ErrDivergent] if they are more than 5 %, [ErrTooFew] if fewer than 100
// draws have a value, [ErrNoEstimate] if the estimate is not finite, and
// [ErrTooLarge] if the squares of the numbers are not finite.
//
// Source: [JCGM101], 7.5 to 7.7 and 5.3 for u and the percentile interval; the
// choice of the method is our own, see the package comment for how it covers.
func Evaluate(estimate float64, draws []float64) (Uncertainty, error) {
	s, err := usable(estimate, draws)
	if err != nil {
		return Uncertainty{}, err
	}
	return s.finite(estimate, s.guessed(estimate))
}

// EvaluateWithin is [Evaluate] for a value with known limits: [Unlimited] for a
// signed value, 0 and 1 for a share, 0 and 100 for a percentage such as a
// uniformity. Estimate and draws are expected to lie within the limits.
func EvaluateWithin(estimate float64, draws []float64, limits Limits) (Uncertainty, error) {
	s, err := usable(estimate, draws)
	if err != nil {
		return Uncertainty{}, err
	}
	return s.finite(estimate, limits)
}

func usable(estimate float64, draws []float64) (sorted, error) {
	if !finite(estimate) {
		return sorted{}, fmt.Errorf("%w: it is %v", ErrNoEstimate, estimate)
	}
	s := sortedOf(draws)
	if float64(s.missing) > mostDivergent*float64(len(draws)) {
		return s, fmt.Errorf("%w: %d of %d, the limit is %.0f %%", ErrDivergent, s.missing, len(draws), 100*mostDivergent)
	}
	if len(s.at) < leastDraws {
		return s, fmt.Errorf("%w: %d gave a value; at least %d are needed", ErrTooFew, len(s.at), leastDraws)
	}
	return s, nil
}

// guessed returns the limits of a value by what it was.
func (s sorted) guessed(estimate float64) Limits {
	limits := Unlimited
	if estimate >= 0 && s.at[0] >= 0 {
		limits.Low = 0
	}
	if estimate <= 0 && s.at[len(s.at)-1] <= 0 {
		limits.High = 0
	}
	return limits
}

// finite is evaluate, and an error where the squares of the draws are too large to be
// numbers, as they are beyond 10¹⁵⁴.
func (s sorted) finite(estimate float64, limits Limits) (Uncertainty, error) {
	u := s.evaluate(estimate, limits)
	if !finite(u.U) || !finite(u.Low) || !finite(u.High) || !finite(u.Bias) {
		return Uncertainty{}, fmt.Errorf("%w, from %v to %v; record the value in a larger unit", ErrTooLarge, s.at[0], s.at[len(s.at)-1])
	}
	return u, nil
}

func (s sorted) evaluate(estimate float64, limits Limits) Uncertainty {
	u := Uncertainty{Estimate: estimate, Draws: len(s.at), Missing: s.missing}
	m, c := s.choose(estimate, limits)
	u.Method = m
	u.U = s.standard()
	u.Low, u.High = s.interval(m, estimate, 0.95, c)
	if m == Reflected || m == Guarded {
		u.Bias = s.push(estimate, c).bias()
	}
	if s.whole(estimate) {
		u.Low, u.High = math.Floor(u.Low), math.Ceil(u.High)
	}
	u.Low, u.High = math.Max(u.Low, limits.Low), math.Min(u.High, limits.High)
	return u
}

// choose returns the method that the draws ask for, and its scale.
func (s sorted) choose(estimate float64, limits Limits) (Method, scale) {
	if s.constant() && s.at[0] == estimate && s.missing == 0 {
		return Constant, scale{}
	}
	b := s.bias(estimate)
	c := scaleOf(b, limits)
	switch b = math.Abs(b); {
	case b < leastBias:
		return Percentile, c
	case b < clearBias:
		return Guarded, c
	}
	return Reflected, c
}

func (s sorted) whole(estimate float64) bool {
	if estimate != math.Trunc(estimate) {
		return false
	}
	for _, y := range s.at {
		if y != math.Trunc(y) {
			return false
		}
	}
	return true
}

package draw

import (
	"fmt"
	"math"
)

// Uncertainty is what the draws say of a value.
type Uncertainty struct {
	Estimate  float64 // the value on the readings themselves
	U         float64 // standard uncertainty
	Low, High float64 // an interval of 95 %
	Method    Method  // how the interval was had
	// Bias is by how much errors of the readings are estimated to have pushed
	// the estimate; 0 unless the method reflects. The estimate is not
	// corrected for it, the interval is and need not hold the estimate.
	Bias    float64
	Draws   int // with a value
	Missing int // without one: divergent, failed, or not a finite number
}

// Evaluate returns the uncertainty of a value: estimate is the value on the
// readings themselves, draws what it was in each draw, NaN (or an infinity)
// where that draw did not give it. The interval is of 95 %.
//
// The method follows from b, by how far the median of the draws lies from the
// estimate, in half-widths of their central 68.27 %: [Percentile] for |b| <
// 0.1, [Guarded] up to 1, [Reflected] above. A value that is not negative, nor
// is in any draw, is taken to have 0 as its limit, which only matters where it
// is pushed away from there; [EvaluateWithin] says another.
// Where the estimate and all draws are whole numbers, so are the ends.
//
// Draws without a value widen the interval, as though they lay beyond its
// ends; above 5 % the error is [ErrDivergent]. Fewer than 100 draws with a
// value are [ErrTooFew], an estimate that is not finite is [ErrNoEstimate], and numbers
// whose squares are none are [ErrTooLarge].
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

// EvaluateWithin is [Evaluate] of a value whose limits are known: [Unlimited]
// for a signed one, 0 and 1 for a share, 0 and 100 for one in percent, such as a
// uniformity. Estimate and draws are expected to lie
// within.
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
		return s, fmt.Errorf("%w: %d gave a value, want at least %d", ErrTooFew, len(s.at), leastDraws)
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

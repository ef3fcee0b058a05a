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
	// unless the method reflects, and where chance may have made it. The estimate is not corrected for it. The
	// interval is, and so it need not hold the estimate.
	Bias    float64
	Draws   int // with a value
	Missing int // without one: divergent, failed, or not a finite number
}

// Value is a value whose uncertainty is to be evaluated.
type Value struct {
	Estimate float64   // on the readings themselves
	Draws    []float64 // in each draw; NaN or an infinity where a draw gave none
	// Linear is the share of the draws' variance that is in proportion to the readings, as
	// [Moves.Linear] finds it; NaN where it is not known.
	Linear float64
	// Limits are those that are known; nil where they are to be found from the draws.
	Limits *Limits
	// Percent says that the unit is the percent, so that a value whose draws all lie from 0 to
	// 100 has the limit 100.
	Percent bool
}

// Evaluate returns the uncertainty of a value of which nothing is known but its draws, see [Value.Evaluate].
func Evaluate(estimate float64, draws []float64) (Uncertainty, error) {
	return Value{Estimate: estimate, Draws: draws, Linear: math.NaN()}.Evaluate()
}

// EvaluateWithin is [Evaluate] for a value with known limits: [Unlimited] for a
// signed value, 0 and 1 for a share. Estimate and draws are expected to lie within them.
func EvaluateWithin(estimate float64, draws []float64, limits Limits) (Uncertainty, error) {
	return Value{Estimate: estimate, Draws: draws, Linear: math.NaN(), Limits: &limits}.Evaluate()
}

// Evaluate returns the uncertainty of a value with a 95 % interval.
//
// A value that takes few values is [Counted]. For others the method follows from b, the distance of the median of the draws from the
// estimate in half-widths of their central 68.27 %: [Percentile] for |b| < 0.1,
// [Guarded] up to 1, [Reflected] above. Of a value that follows the readings in
// proportion, |b| up to 2.5/√draws is taken for chance. Of one that does not, the
// interval reaches further to the side where the truth is: see the package comment.
//
// A limit is where the draws pile up: one in fifty is exactly there, and none beyond. Else, if neither the value nor any draw is
// negative, and the value does not follow the readings in proportion, its limit is 0, as that of a distance.
// If the estimate and all draws are whole numbers, so are the ends of the interval.
//
// Draws without a value widen the interval, as if they lay beyond its ends. The
// error is [ErrDivergent] if they are more than 5 %, [ErrTooFew] if fewer than 100
// draws have a value, [ErrNoEstimate] if the estimate is not finite, and
// [ErrTooLarge] if the squares of the numbers are not finite, [ErrThroughInfinity] if the draws lie on
// both sides of infinity.
//
// Source: [JCGM101], 7.5 to 7.7 and 5.3 for u and the percentile interval; the
// choice of the method is our own, see the package comment for how it covers.
func (v Value) Evaluate() (Uncertainty, error) {
	s, err := usable(v.Estimate, v.Draws)
	if err != nil {
		return Uncertainty{}, err
	}
	if s.throughInfinity() {
		return Uncertainty{}, ErrThroughInfinity
	}
	limits := s.limits(v)
	u := s.evaluate(v.Estimate, v.Linear, limits)
	if !finite(u.U) || !finite(u.Low) || !finite(u.High) || !finite(u.Bias) {
		return Uncertainty{}, fmt.Errorf("%w, from %v to %v; record the value in a larger unit", ErrTooLarge, s.at[0], s.at[len(s.at)-1])
	}
	return u, nil
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

func (s sorted) evaluate(estimate, linear float64, limits Limits) Uncertainty {
	u := Uncertainty{Estimate: estimate, Draws: len(s.at), Missing: s.missing, U: s.standard()}
	if s.constant() && s.at[0] == estimate && s.missing == 0 {
		u.Method, u.Low, u.High = Constant, estimate, estimate
		return u
	}
	if c, ok := s.counted(estimate); ok {
		u.Method = Counted
		u.Low, u.High = s.count(c, estimate, linear, limits)
		return u
	}
	var c scale
	u.Method, c = s.choose(estimate, linear, limits)
	u.Low, u.High = s.interval(u.Method, estimate, 0.95, c)
	if u.Method != Percentile {
		if math.Abs(s.bias(estimate)) >= sureBias/math.Sqrt(float64(len(s.at))) {
			u.Bias = s.push(estimate, c).bias()
		}
		u.Low, u.High = s.stretched(u.Low, u.High, estimate, linear)
	}
	u.Low, u.High = s.folded(u.Low, u.High, limits)
	if s.whole(estimate) {
		u.Low, u.High = math.Floor(u.Low), math.Ceil(u.High)
	}
	u.Low, u.High = s.within(u.Low, u.High, limits)
	return u
}

// within cuts an interval at its limits. Where nearly all of it would be beyond, the value is at the
// limit, as well as can be told: it then keeps a half-width of the draws.
func (s sorted) within(low, high float64, limits Limits) (float64, float64) {
	low, high = math.Max(low, limits.Low), math.Min(high, limits.High)
	if low == limits.Low {
		high = math.Min(math.Max(high, low+s.halfWidth()), limits.High)
	}
	if high == limits.High {
		low = math.Max(math.Min(low, high-s.halfWidth()), limits.Low)
	}
	return low, high
}

// choose returns the method that the draws ask for, and its scale.
func (s sorted) choose(estimate, linear float64, limits Limits) (Method, scale) {
	b := s.bias(estimate)
	c := scaleOf(b, limits)
	least := leastBias
	if linear >= inProportion {
		least = math.Max(least, chanceBias/math.Sqrt(float64(len(s.at))))
	}
	switch b = math.Abs(b); {
	case b < least:
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

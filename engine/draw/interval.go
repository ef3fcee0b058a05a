package draw

import "math"

// Method is how an interval was computed from the draws.
type Method string

// The methods.
const (
	// Constant is for a value that no draw changes.
	Constant Method = "constant"
	// Percentile takes the ends from the draws and leaves out the same share on
	// each side. It is right if the draws lie about the estimate as estimates
	// lie about the truth.
	Percentile Method = "percentile"
	// Reflected is for a value that errors push in one direction, as they push a
	// mean of distances up: the estimate is assumed to lie as far above the truth
	// as the draws lie above the estimate. The interval covers both the percentile
	// interval mirrored at the estimate and the one moved by twice the bias.
	Reflected Method = "reflected"
	// Guarded covers both the reflected and the percentile interval, for a bias that
	// is too small to tell which of them is right. For a single value each has a lower
	// level, such that both together have the level asked for, whichever is right.
	Guarded Method = "guarded"
	// Counted is for a value that takes few values, such as a number of places or a
	// share of them: the interval goes from the lowest to the highest that the draws and the estimate allow.
	Counted Method = "counted"
)

// Biases, see [sorted.bias], from which on a method is another one. A few hundred
// draws tell a bias of 0 from one of 0.1, since they are divided among strata, see
// Key.uniform. The second was chosen by the study of coverage: a
// median of distances is best served by percentiles up to there.
const (
	leastBias = 0.1
	clearBias = 1
)

// A value follows the readings in proportion from this share of its variance on; a bias of
// such a value up to so many times 1/√draws is taken for chance; and one of any value from sureBias times on is none.
// By chance a bias scatters by 1.25/√draws, or less.
const (
	inProportion = 0.985
	chanceBias   = 2.5
	sureBias     = 3.75
)

// Limits are the lowest and the highest possible value, whatever the readings are;
// infinite if there is none.
type Limits struct{ Low, High float64 }

// Unlimited is for a value that may be any number.
var Unlimited = Limits{math.Inf(-1), math.Inf(1)}

// limits returns those that are known of a value, or those that its draws show.
func (s sorted) limits(v Value) Limits {
	if v.Limits != nil {
		return *v.Limits
	}
	low, high := s.at[0], s.at[len(s.at)-1]
	limits := s.piled(v.Estimate)
	if limits == Unlimited && !(v.Linear >= inProportion) {
		limits = s.guessed(v.Estimate)
	}
	if v.Percent && math.Min(low, v.Estimate) >= 0 && math.Max(high, v.Estimate) <= 100 {
		limits.High = math.Min(limits.High, 100)
	}
	return limits
}

// piled finds a limit at which the draws pile up.
func (s sorted) piled(estimate float64) Limits {
	const share = 50
	n := len(s.at)
	limits := Unlimited
	low, high := s.at[0], s.at[n-1]
	if low == high {
		return limits
	}
	at := (n+s.missing+share-1)/share - 1 // of the last draw that must be there
	if s.at[at] == low && estimate >= low {
		limits.Low = low
	}
	if s.at[n-1-at] == high && estimate <= high {
		limits.High = high
	}
	return limits
}

// guessed returns the limits of a value by what it was: 0 for what never changes its sign.
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

// scale is the scale on which errors push a value: distances from a limit add
// in squares, so that near the limit it is their squares that are pushed by as
// much again. Far from it, and where there is none, that is no difference.
type scale struct {
	squares bool
	limit   float64
	sign    float64 // of what lies on the possible side of the limit
}

// scaleOf chooses the scale: squares about the limit that the draws are pushed
// away from.
func scaleOf(bias float64, limits Limits) scale {
	switch {
	case bias > 0 && !math.IsInf(limits.Low, 0):
		return scale{true, limits.Low, 1}
	case bias < 0 && !math.IsInf(limits.High, 0):
		return scale{true, limits.High, -1}
	}
	return scale{}
}

func (c scale) to(y float64) float64 {
	if !c.squares {
		return y
	}
	d := (y - c.limit) * c.sign
	return d * math.Abs(d)
}

func (c scale) from(t float64) float64 {
	if !c.squares {
		return t
	}
	return c.limit + c.sign*math.Sqrt(math.Max(t, 0))
}

// interval returns the ends between which a method has a share of the draws.
func (s sorted) interval(m Method, estimate, share float64, c scale) (low, high float64) {
	switch m {
	case Reflected:
		low, high = s.ends(share)
		return s.reflected(estimate, low, high, c)
	case Guarded:
		each := s.guardedShare(share, estimate)
		low, high = s.ends(each)
		// The nearer to a clear bias, the surer the reflected interval, which has the full share there.
		sure := s.bias(estimate) / clearBias
		l, h := s.ends(each + (share-each)*sure*sure)
		a, b := s.reflected(estimate, l, h, c)
		return math.Min(a, low), math.Max(b, high)
	}
	return s.ends(share)
}

// How much further than a normal interval that of a value reaches which does not follow the
// readings in proportion, in half-widths of the central 68.27 % of the draws: by furthest, where it is less
// than inProportion by fullAt. Chosen by the study of functions.
const (
	furthest = 2.2
	fullAt   = 0.2
	follows  = 0.1 // what follows its readings by less hangs on something else, of which nothing is known
)

// stretched takes the end of an interval that is on the side of the truth further out, as far as
// errors may have pushed the estimate unseen. The largest of several nearly equal numbers
// is the one that errors happened to raise most. The others are lower then, so that the draws seldom
// exceed it: they show little of the push, or nothing. What tells such a value
// is that it follows the readings in steps, not in proportion.
func (s sorted) stretched(low, high, estimate, linear float64) (float64, float64) {
	if !(linear > follows && linear < inProportion) {
		return low, high
	}
	by := (z975 + furthest*math.Min(1, (inProportion-linear)/fullAt)) * s.halfWidth()
	if s.bias(estimate) > 0 {
		return math.Min(low, estimate-by), high
	}
	return low, math.Max(high, estimate+by)
}

// folded takes an end to a limit near which the draws crowd. An absolute difference that is
// found at twice its errors may be nothing: the draws then are less than a tenth of it in some cases, and
// never lie as evenly beyond the limit as they would without it.
func (s sorted) folded(low, high float64, limits Limits) (float64, float64) {
	middle := s.quantile(0.5)
	if s.quantile(0.025)-limits.Low < (middle-limits.Low)/4 {
		low = limits.Low
	}
	if limits.High-s.quantile(0.975) < (limits.High-middle)/4 {
		high = limits.High
	}
	return low, high
}

// guardedShare is that of the draws. Those without a value are taken to lie beyond
// both ends, of which the interval whose middle is the truth's has but one: what
// lies beyond the other is put back.
func (s sorted) guardedShare(share, estimate float64) float64 {
	missing := float64(s.missing) / float64(len(s.at)+s.missing)
	return math.Min(share, guardedShare(share, s.bias(estimate))+missing)
}

// guardedShare returns the share at which each of two intervals, whose middles lie
// twice the bias apart, is to be taken, such that both together have the share
// asked for about the middle of either, as though the draws were normal. What is left
// out of each on either side is p of
//
//	p + Φ(Φ⁻¹(p) - 2|bias|) = 1 - share
//
// half of what is left out in all without a bias, and all of it with a large one,
// when only the far end of either interval can miss.
func guardedShare(share, bias float64) float64 {
	least, most := (1-share)/2, math.Min(1-share, 0.5)
	for range 50 { // to the last bit
		p := (least + most) / 2
		if p+normalShare(normalQuantile(p)-2*math.Abs(bias)) > 1-share {
			most = p
		} else {
			least = p
		}
	}
	return 1 - 2*least
}

// reflected returns, of the ends l and h on the scale of pushes t:
//
//	mirrored  2t₀ - t(h) to 2t₀ - t(l)
//	moved     t(l) - 2(t(median) - t₀) to t(h) - 2(t(median) - t₀)
//
// from the lower of the two to the higher. They are the same where the draws
// are symmetrical.
//
// Source: mirrored: A. C. Davison and D. V. Hinkley, Bootstrap Methods and
// their Application, Cambridge 1997, 5.2 (basic limits), from memory; both
// together, and the squares, are our own and rest on the study of coverage.
func (s sorted) reflected(estimate, low, high float64, c scale) (float64, float64) {
	p := s.push(estimate, c)
	a, b, d, e := p.mirrored(low), p.mirrored(high), p.moved(low), p.moved(high)
	return min(a, b, d, e), max(a, b, d, e)
}

// push is what errors did to the draws of a value, on a scale: to take off
// what they did to the estimate.
type push struct {
	scale
	estimate, median float64 // on the scale
}

func (s sorted) push(estimate float64, c scale) push {
	return push{c, c.to(estimate), c.to(s.quantile(0.5))}
}

func (p push) mirrored(y float64) float64 { return p.from(2*p.estimate - p.to(y)) }
func (p push) moved(y float64) float64    { return p.from(p.to(y) - 2*(p.median-p.estimate)) }

// bias is by how much errors pushed the estimate.
func (p push) bias() float64 { return p.from(p.estimate) - p.from(2*p.estimate-p.median) }

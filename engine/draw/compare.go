package draw

import (
	"fmt"
	"math"
)

// Run is a value of a run: its estimate from the readings themselves and its value in
// each draw, or NaN for a draw without a value. The same draw of two runs used the same
// numbers for the errors that they share.
type Run struct {
	Estimate float64
	Draws    []float64
}

// Comparison is the difference or the ratio of a value of two runs.
type Comparison struct {
	Uncertainty
	// P is the two-sided probability of at least such a difference between two
	// equal values: the smallest α for which the interval of 1 - α excludes
	// equality. It is never below 2/(draws + 1), which is all that the draws can
	// show.
	P float64
	// Significant says that the 95 % interval excludes equality.
	Significant bool
}

// Difference returns a - b, draw by draw, so that shared errors cancel: nearly all
// of the meter's scale, and nothing of each run's scatter. Equality is 0.
//
// The errors are those of [Evaluate] and [ErrUnequal]. A draw has no value if either
// run has none.
//
// Source: [JCGM101], clause 7, with both values as outputs of one model;
// [JCGM100], 5.2.5 and F.1.2.3 on correlation by shared causes.
func Difference(a, b Run) (Comparison, error) {
	return compare(a, b, 0, func(x, y float64) float64 { return x - y })
}

// Ratio returns a/b, draw by draw. Equality is 1. The error is [ErrDivisor] if b is 0,
// or changes its sign between draws.
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
		return Comparison{}, fmt.Errorf("%w: %d and %d; make the uncertainties of both again with the same number of draws", ErrUnequal, len(a.Draws), len(b.Draws))
	}
	p := pair{estimate: of(a.Estimate, b.Estimate)}
	var err error
	if p.plain, err = usable(p.estimate, together(a.Draws, b.Draws, of)); err != nil {
		return Comparison{}, err
	}
	p.choose()
	if p.method == Guarded || p.method == Reflected {
		pushA, pushB := a.push(), b.push()
		p.mirrored = sortedOf(together(each(a.Draws, pushA.mirrored), each(b.Draws, pushB.mirrored), of))
		p.moved = sortedOf(together(each(a.Draws, pushA.moved), each(b.Draws, pushB.moved), of))
		if missing := p.plain.missing; p.mirrored.missing > missing || p.moved.missing > missing {
			return Comparison{}, fmt.Errorf("%w: it is %v, and may be 0 when its bias is removed", ErrDivisor, b.Estimate)
		}
	}
	return p.compared(equal), nil
}

// pair are the draws of a difference or a ratio: as they are, and with what
// errors pushed each run taken off, each on its own scale. Of two runs that are
// pushed alike it cancels; of two that are not, as a chart that is good and one
// that is bad, only each run's own limit says how far.
type pair struct {
	estimate               float64
	method                 Method
	plain, mirrored, moved sorted
}

func (p *pair) choose() {
	switch _, counted := p.plain.counted(p.estimate); {
	case p.plain.constant() && p.plain.at[0] == p.estimate && p.plain.missing == 0:
		p.method = Constant
	case counted:
		p.method = Counted
	default:
		p.method, _ = p.plain.choose(p.estimate, math.NaN(), Unlimited)
	}
}

// interval holds, where it is guarded, intervals of the full share, unlike
// that of a single value: how far their middles lie apart is not twice the bias, since
// the runs' own pushes may cancel in it.
func (p *pair) interval(share float64) (low, high float64) {
	if p.method == Counted {
		low, high = p.plain.among((1 - share) / 2)
		return min(low, p.estimate), max(high, p.estimate)
	}
	low, high = p.plain.ends(share)
	if p.method != Guarded && p.method != Reflected {
		return low, high
	}
	a, b := p.mirrored.ends(share)
	c, d := p.moved.ends(share)
	if p.method == Reflected {
		return min(a, c), max(b, d)
	}
	return min(low, a, c), max(high, b, d)
}

func (p *pair) compared(equal float64) Comparison {
	u := Uncertainty{Estimate: p.estimate, U: p.plain.standard(), Method: p.method, Draws: len(p.plain.at), Missing: p.plain.missing}
	u.Low, u.High = p.interval(0.95)
	if p.method == Guarded || p.method == Reflected {
		u.Bias = p.estimate - p.mirrored.quantile(0.5)
	}
	if p.plain.whole(p.estimate) {
		u.Low, u.High = math.Floor(u.Low), math.Ceil(u.High)
	}
	return Comparison{Uncertainty: u, P: p.probability(equal), Significant: u.Low > equal || u.High < equal}
}

// probability returns the smallest α for which the interval of 1 - α leaves a
// number out.
func (p *pair) probability(number float64) float64 {
	if p.method == Constant {
		if p.estimate == number {
			return 1
		}
		return 0
	}
	out := func(alpha float64) bool {
		low, high := p.interval(1 - alpha)
		return low > number || high < number
	}
	least := 2 / float64(len(p.plain.at)+1)
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

// push returns what errors did to the draws of a run, on its own scale.
func (r Run) push() push {
	s := sortedOf(r.Draws)
	return s.push(r.Estimate, scaleOf(s.bias(r.Estimate), s.guessed(r.Estimate)))
}

// together is without a value where either run is.
func together(a, b []float64, of func(x, y float64) float64) []float64 {
	out := make([]float64, len(a))
	for i := range out {
		out[i] = math.NaN()
		if finite(a[i]) && finite(b[i]) {
			out[i] = of(a[i], b[i])
		}
	}
	return out
}

func each(draws []float64, of func(y float64) float64) []float64 {
	out := make([]float64, len(draws))
	for i, y := range draws {
		out[i] = math.NaN()
		if finite(y) {
			out[i] = of(y)
		}
	}
	return out
}

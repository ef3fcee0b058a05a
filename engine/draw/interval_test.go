package draw

import (
	"errors"
	"math"
	"slices"
	"testing"

	"gonum.org/v1/gonum/stat/distuv"
	"pgregory.net/rapid"
)

// without leaves out so many draws, from all over.
func without(n int, draws []float64) []float64 {
	out := slices.Clone(draws)
	for i := range n {
		out[i*len(out)/n] = math.NaN()
	}
	return out
}

// What a user is told: a value has an uncertainty if at most 5 % of the draws came
// to none, and 100 or more came to one. All that evaluates keeps to the same limits.
func TestLimitsOfWhatIsEvaluated(t *testing.T) {
	normal := even(1000, distuv.UnitNormal.Quantile)
	far := numbers(1000, func(i int) float64 { return 20 + normal[i] })
	for _, c := range []struct {
		name  string
		draws []float64
		is    error
	}{
		{"5 % without a value", without(50, far), nil},
		{"one more", without(51, far), ErrDivergent},
		{"a half", without(500, far), ErrDivergent},
		{"100 draws", far[:100], nil},
		{"100 with a value", without(5, far[:105]), nil},
		{"99 draws", far[:99], ErrTooFew},
		{"99 with a value", without(5, far[:104]), ErrTooFew},
	} {
		run := Run{20, c.draws}
		for by, evaluate := range map[string]func() error{
			"Evaluate":       func() error { _, err := Evaluate(20, c.draws); return err },
			"EvaluateWithin": func() error { _, err := EvaluateWithin(20, c.draws, Limits{0, 100}); return err },
			"Explain":        func() error { _, err := Explain(20, c.draws, nil, Scatter); return err },
			"Difference":     func() error { _, err := Difference(run, Run{0, far[:len(c.draws)]}); return err },
			"Ratio":          func() error { _, err := Ratio(run, run); return err },
		} {
			if err := evaluate(); !errors.Is(err, c.is) {
				t.Errorf("%s, %s: got %v, want %v", c.name, by, err, c.is)
			}
		}
	}
}

// The nearer the bias is to a clear one, the surer is the reflected interval, and the
// more of 95 % has it: (bias)² of the way from the share that each of the two has,
// so that at a bias of 1 it goes over into the one that only reflects.
func TestGuardedGrowsIntoReflected(t *testing.T) {
	draws := even(9999, distuv.UnitNormal.Quantile)
	z := func(share float64) float64 { return distuv.UnitNormal.Quantile(0.5 + share/2) }
	for _, bias := range []float64{0.3, 0.6, 0.9, 0.99} {
		each := guardedShare(0.95, bias)
		low, high := -2*bias-z(each+(0.95-each)*bias*bias), z(each)
		up, err := EvaluateWithin(-bias, draws, Unlimited)
		if err != nil || up.Method != Guarded || math.Abs(up.Low-low) > 0.004 || math.Abs(up.High-high) > 0.004 {
			t.Errorf("bias %v: %+v, %v; want %v to %v", bias, up, err, low, high)
		}
		down, err := EvaluateWithin(bias, draws, Unlimited)
		if err != nil || math.Abs(down.Low+high) > 0.004 || math.Abs(down.High+low) > 0.004 {
			t.Errorf("bias %v: %+v, %v; want %v to %v", -bias, down, err, -high, -low)
		}
	}
	clear, err := EvaluateWithin(-1.001, draws, Unlimited)
	if want := -2*1.001 - z(0.95); err != nil || clear.Method != Reflected || math.Abs(clear.Low-want) > 0.004 {
		t.Errorf("a clear bias: %+v, %v; want from %v", clear, err, want)
	}
}

// Draws without a value lie beyond both ends, but the interval in whose middle the
// truth is has only one of these: 1 % of the draws without a value is 1 % more.
func TestGuardedShareOfMissing(t *testing.T) {
	s := sortedOf(without(20, even(2000, distuv.UnitNormal.Quantile)))
	if got, want := s.guardedShare(0.95, -0.9), guardedShare(0.95, s.bias(-0.9))+0.01; math.Abs(got-want) > 1e-12 {
		t.Errorf("each interval has %v, want %v", got, want)
	}
}

// A limit is where the scale of squares begins, wherever it lies and to whichever side:
// what is evaluated of y with the limit 0 is evaluated of 3 + y with the limit 3, and
// of 3 - y with the upper limit 3, as a share that is near to all.
func TestLimitsMoveWithTheValue(t *testing.T) {
	draws := even(999, distuv.Gamma{Alpha: 4, Beta: 1}.Quantile)
	for _, y0 := range []float64{1.2, 2.6, 3.6} { // reflected, guarded, percentiles
		want, err := EvaluateWithin(y0, draws, Limits{0, math.Inf(1)})
		if err != nil {
			t.Fatal(err)
		}
		same := func(a, b float64) bool { return math.Abs(a-b) < 1e-9 }
		up, err := EvaluateWithin(3+y0, numbers(999, func(i int) float64 { return 3 + draws[i] }), Limits{3, math.Inf(1)})
		if err != nil || up.Method != want.Method || !same(up.Low, 3+want.Low) || !same(up.High, 3+want.High) || !same(up.Bias, want.Bias) {
			t.Errorf("above 3: %+v, %v; want 3 more than %+v", up, err, want)
		}
		down, err := EvaluateWithin(3-y0, numbers(999, func(i int) float64 { return 3 - draws[i] }), Limits{math.Inf(-1), 3})
		if err != nil || down.Method != want.Method || !same(down.Low, 3-want.High) || !same(down.High, 3-want.Low) || !same(down.Bias, -want.Bias) {
			t.Errorf("below 3: %+v, %v; want 3 less %+v", down, err, want)
		}
	}
}

// A limit on the side to which nothing is pushed changes nothing, however small the push.
func TestLimitOnTheOtherSide(t *testing.T) {
	draws := even(999, distuv.UnitNormal.Quantile)
	for _, bias := range []float64{0.05, 0.5, 2} {
		for _, c := range []struct {
			estimate float64
			limits   Limits
		}{{-bias, Limits{math.Inf(-1), 25}}, {bias, Limits{-25, math.Inf(1)}}} {
			want, err := EvaluateWithin(c.estimate, draws, Unlimited)
			if got, err2 := EvaluateWithin(c.estimate, draws, c.limits); err != nil || err2 != nil || got != want {
				t.Errorf("estimate %v, limits %v: %+v, %v; want %+v, %v", c.estimate, c.limits, got, err2, want, err)
			}
		}
	}
}

// The scale rises throughout, beyond the limit too, where noise may have put a value;
// and leads back to all that may be.
func TestScale(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := scale{true, rapid.Float64Range(-100, 100).Draw(t, "limit"), rapid.SampledFrom([]float64{-1, 1}).Draw(t, "sign")}
		a, b := rapid.Float64Range(-10, 10).Draw(t, "a"), rapid.Float64Range(-10, 10).Draw(t, "b")
		if a, b = min(a, b), max(a, b); b-a > 1e-3 && !(c.to(c.limit+c.sign*a) < c.to(c.limit+c.sign*b)) {
			t.Fatalf("%v: of %v and %v the scale has %v and %v", c, a, b, c.to(c.limit+c.sign*a), c.to(c.limit+c.sign*b))
		}
		if y := c.limit + c.sign*math.Abs(a); math.Abs(c.from(c.to(y))-y) > 1e-9 {
			t.Fatalf("%v: %v comes back as %v", c, y, c.from(c.to(y)))
		}
		if y := c.limit - c.sign*math.Abs(a); c.from(c.to(y)) != c.limit {
			t.Fatalf("%v: %v, beyond the limit, comes back as %v", c, y, c.from(c.to(y)))
		}
	})
}

// A value that never leaves its side of 0 is taken to have 0 as its limit: estimate and
// all draws, 0 itself belonging to both sides.
func TestGuessedLimits(t *testing.T) {
	for _, c := range []struct {
		estimate, lowest, highest float64
		low, high                 bool // whether 0 is the limit
	}{
		{0.5, 0.2, 3, true, false},
		{0, 0, 3, true, false},
		{0.5, -0.2, 3, false, false},
		{-0.5, 0.2, 3, false, false},
		{-0.5, -3, -0.2, false, true},
		{0, -3, 0, false, true},
		{-0.5, -3, 0.2, false, false},
		{0.5, -3, -0.2, false, false},
		{0, 0, 0, true, true},
	} {
		want := Unlimited
		if c.low {
			want.Low = 0
		}
		if c.high {
			want.High = 0
		}
		if got := sortedOf([]float64{c.highest, c.lowest}).guessed(c.estimate); got != want {
			t.Errorf("estimate %v, draws from %v to %v: %v, want %v", c.estimate, c.lowest, c.highest, got, want)
		}
	}
}

// Constant is only what each and every draw leaves as it is.
func TestConstantOnlyIfNoDrawChanges(t *testing.T) {
	same := make([]float64, 200)
	if u, err := Evaluate(0, same); err != nil || u.Method != Constant {
		t.Errorf("the same throughout: %+v, %v", u, err)
	}
	if u, err := Evaluate(0, without(1, same)); err != nil || u.Method != Counted || u.Missing != 1 {
		t.Errorf("the same, but once without a value: %+v, %v", u, err)
	}
	lowest := numbers(200, func(i int) float64 { return float64(i) })
	if u, err := Evaluate(0, lowest); err != nil || u.Method != Reflected {
		t.Errorf("the estimate is the lowest draw: %+v, %v", u, err)
	}
}

// The squares of what lies far from its limit are too large, though its spread is not;
// or those of the spread, though its ends are not.
func TestEvaluateTooLargeInPart(t *testing.T) {
	draws := numbers(200, func(i int) float64 { return 1e155 * (1 + 1e-9*float64(i)) })
	if u, err := Evaluate(1e155, draws); !errors.Is(err, ErrTooLarge) {
		t.Errorf("with the limit 0: %+v, %v", u, err)
	}
	spread := even(200, func(p float64) float64 { return 1e200 * (p - 0.5) })
	if u, err := EvaluateWithin(0, spread, Unlimited); !errors.Is(err, ErrTooLarge) {
		t.Errorf("a standard deviation that is too large, between ends that are not: %+v, %v", u, err)
	}
	if u, err := EvaluateWithin(1e155, draws, Unlimited); err != nil || !(u.U > 0) {
		t.Errorf("without a limit: %+v, %v", u, err)
	}
}

// An absolute difference that is found at twice its error may be nothing: the draws crowd at 0, and
// 0 is where the interval begins. A ratio with as large an error stays away from it.
func TestFolded(t *testing.T) {
	normal := even(999, distuv.UnitNormal.Quantile)
	folded := numbers(999, func(i int) float64 { return math.Abs(1.9 + normal[i]) })
	if u, err := (Value{Estimate: 1.9, Draws: folded, Linear: 0.9}).Evaluate(); err != nil || u.Low != 0 {
		t.Errorf("%+v, %v; want from 0", u, err)
	}
	ratio := numbers(999, func(i int) float64 { return math.Exp(0.4 * normal[i]) })
	if u, err := (Value{Estimate: 1, Draws: ratio, Linear: 0.9}).Evaluate(); err != nil || math.Abs(u.Low-math.Exp(-0.4*1.96)) > 0.02 {
		t.Errorf("%+v, %v; want from %v", u, err, math.Exp(-0.4*1.96))
	}
}

// What follows the readings in proportion is a signed number that no draw happened to make negative: it has no limit at 0.
func TestSignedIsNotCut(t *testing.T) {
	draws := even(200, distuv.Normal{Mu: 3.4, Sigma: 1}.Quantile)
	if u, err := (Value{Estimate: 1.4, Draws: draws, Linear: 1}).Evaluate(); err != nil || slices.Min(draws) < 0 || u.Low >= 0 {
		t.Errorf("%+v, %v; want from below 0", u, err)
	}
	if u, err := (Value{Estimate: 1.4, Draws: draws, Linear: 0.5}).Evaluate(); err != nil || u.Low != 0 {
		t.Errorf("as a distance: %+v, %v; want from 0", u, err)
	}
}

// A percentage that stays from 0 to 100 has the limit 100, and another number has not.
func TestPercent(t *testing.T) {
	draws := even(500, distuv.Normal{Mu: 97, Sigma: 0.5}.Quantile)
	v := Value{Estimate: 99, Draws: draws, Linear: 0.5}
	if u, err := v.Evaluate(); err != nil || u.High <= 100 {
		t.Errorf("%+v, %v; want beyond 100", u, err)
	}
	v.Percent = true
	if u, err := v.Evaluate(); err != nil || u.High != 100 {
		t.Errorf("in %%: %+v, %v; want up to 100", u, err)
	}
}

// A value that follows the readings in steps reaches further to the side of the truth: by 2.2
// half-widths where it follows them to less than 78 %, by nothing from 98.5 % on.
func TestStretched(t *testing.T) {
	draws := even(999, distuv.Normal{Mu: 100.3, Sigma: 1}.Quantile)
	for _, c := range []struct{ linear, low float64 }{{0.5, 100 - z975 - 2.2}, {0.885, 100 - z975 - 1.1}} {
		if u, err := (Value{Estimate: 100, Draws: draws, Linear: c.linear}).Evaluate(); err != nil || math.Abs(u.Low-c.low) > 0.02 {
			t.Errorf("%v: %+v, %v; want from %v", c.linear, u, err, c.low)
		}
	}
	for _, linear := range []float64{0.99, 1, math.NaN()} {
		if u, err := (Value{Estimate: 100, Draws: draws, Linear: linear}).Evaluate(); err != nil || u.Low < 97.8 {
			t.Errorf("%v: %+v, %v; want from 97.9", linear, u, err)
		}
	}
}

package draw

import (
	"errors"
	"math"
	"slices"
	"strings"
	"testing"

	"gonum.org/v1/gonum/stat"
	"gonum.org/v1/gonum/stat/distuv"
	"pgregory.net/rapid"
)

// even are n draws that lie as evenly as draws can: the quantiles (i - ½)/n of
// a distribution, in no order.
func even(n int, quantile func(p float64) float64) []float64 {
	return numbers(n, func(i int) float64 { return quantile((float64(i*617%n) + 0.5) / float64(n)) })
}

// The ends of symmetrical draws are the distribution's, as gonum has it.
func TestEvaluateSymmetrical(t *testing.T) {
	for _, c := range []struct {
		name   string
		q      func(float64) float64
		u, end float64
	}{
		{"normal", distuv.Normal{Mu: 100, Sigma: 2}.Quantile, 2, 1.959964 * 2},
		{"rectangular", distuv.Uniform{Min: 99, Max: 101}.Quantile, 1 / math.Sqrt(3), 0.95},
		{"t of 10", distuv.StudentsT{Mu: 100, Sigma: 1, Nu: 10}.Quantile, math.Sqrt(10. / 8), 2.228139}, // [JCGM100], table G.2: 2.23
		// A t of 2 has no standard deviation: 4.303/1.96 [JCGM100, table G.2: 4.30].
		{"t of 2", distuv.StudentsT{Mu: 100, Sigma: 1, Nu: 2}.Quantile, 4.302653 / 1.959964, 4.302653},
	} {
		got, err := Evaluate(100, even(9999, c.q))
		if err != nil || got.Method != Percentile || math.Abs(got.U-c.u) > 0.003*c.u || math.Abs(got.High-100-c.end) > 0.002*c.end || math.Abs(got.Low-100+c.end) > 0.002*c.end || got.Bias != 0 {
			t.Errorf("%s: %+v, %v; want u %v, ends 100 ± %v", c.name, got, err, c.u, c.end)
		}
	}
}

// A pushed value: the ends are those that the definitions give, of exact
// quantiles.
func TestEvaluatePushed(t *testing.T) {
	skewed := distuv.Gamma{Alpha: 4, Beta: 1}
	draws := even(9999, skewed.Quantile)
	median, high := skewed.Quantile(0.5), skewed.Quantile(0.975)
	square := func(x float64) float64 { return math.Sqrt(math.Max(x, 0)) }
	y0 := 1.2
	for _, c := range []struct {
		name             string
		limits           Limits
		wantLow, wantEnd float64
	}{
		{"no limit", Unlimited, 2*y0 - high, high - 2*(median-y0)},
		{"at 0", Limits{0, math.Inf(1)}, 0, square(high*high - 2*(median*median-y0*y0))},
		{"upper limit is on the other side", Limits{math.Inf(-1), 25}, 2*y0 - high, high - 2*(median-y0)},
	} {
		got, err := EvaluateWithin(y0, draws, c.limits)
		if err != nil || got.Method != Reflected || math.Abs(got.Low-c.wantLow) > 0.01 || math.Abs(got.High-c.wantEnd) > 0.01 {
			t.Errorf("%s: %+v, %v; want %v to %v", c.name, got, err, c.wantLow, c.wantEnd)
		}
	}
	// The same upside down.
	up, _ := EvaluateWithin(y0, draws, Limits{0, math.Inf(1)})
	for i := range draws {
		draws[i] *= -1
	}
	down, _ := EvaluateWithin(-y0, draws, Limits{math.Inf(-1), 0})
	if math.Abs(down.Low+up.High) > 1e-12 || down.High != -up.Low || math.Abs(down.Bias+up.Bias) > 1e-12 || up.Bias <= 0 {
		t.Errorf("upside down %+v is not %+v", down, up)
	}
	guessed, _ := Evaluate(-y0, draws)
	if guessed != down {
		t.Errorf("limit guessed %+v, given %+v", guessed, down)
	}
}

// The estimate of a bias: the norm of three normal errors and nothing else has
// one of its own size; draws about it have √2 of it, so that squares take it
// off in full.
func TestBias(t *testing.T) {
	k := NewKey("bias")
	y0 := 1.53817 // the median of χ with 3 degrees of freedom, √2.36597 (gonum below)
	if d := math.Abs(y0*y0 - (distuv.ChiSquared{K: 3}).Quantile(0.5)); d > 1e-4 {
		t.Fatal(d)
	}
	draws := numbers(20000, func(i int) float64 { return math.Sqrt2 * math.Sqrt(k.chiSquare(3, i)) })
	u, err := Evaluate(y0, draws)
	if err != nil || u.Method != Guarded || u.Low != 0 || math.Abs(u.Bias-y0) > 0.35 {
		t.Errorf("%+v, %v; want a bias of %v", u, err, y0)
	}
}

func TestMethodFollowsTheBias(t *testing.T) {
	draws := even(1001, distuv.UnitNormal.Quantile)
	for _, c := range []struct {
		estimate float64
		want     Method
	}{{0, Percentile}, {0.09, Percentile}, {-0.09, Percentile}, {0.11, Guarded}, {-0.97, Guarded}, {1.03, Reflected}, {-5, Reflected}} {
		got, err := Evaluate(c.estimate, draws)
		if err != nil || got.Method != c.want {
			t.Errorf("estimate %v: method is %q, %v; want %q", c.estimate, got.Method, err, c.want)
		}
		if math.Abs(c.estimate) < sureBias/math.Sqrt(1001) {
			c.want = Percentile // chance may have made the bias, and it is not stated
		}
		if c.want == Percentile && got.Bias != 0 || c.want != Percentile && math.Abs(got.Bias+c.estimate) > 0.01*5 && got.Bias != -c.estimate {
			t.Errorf("estimate %v: bias is %v", c.estimate, got.Bias)
		}
	}
	// What guards holds what reflects, and the percentiles, each of 91.9 %: so that
	// of a normal estimate about 0, or about 0.6, 95 % are in it.
	got, _ := Evaluate(0.3, draws)
	if math.Abs(got.Low+1.745) > 0.02 || math.Abs(got.High-(0.6+1.745)) > 0.02 {
		t.Errorf("guarded interval is %v to %v", got.Low, got.High)
	}
}

// A guarded interval holds 95 % of the draws, those without a value being outside.
func TestGuardedHoldsTheDraws(t *testing.T) {
	normal := even(2000, distuv.UnitNormal.Quantile)
	for _, missing := range []int{0, 60, 100} {
		draws := slices.Clone(normal)
		for i := range missing { // from all over
			draws[i*len(draws)/missing] = math.NaN()
		}
		for _, estimate := range []float64{-0.9, -0.5, 0.15, 0.9} {
			u, err := Evaluate(estimate, draws)
			if err != nil || u.Method != Guarded {
				t.Fatalf("%+v, %v", u, err)
			}
			held := 0
			for _, y := range draws {
				if u.Low <= y && y <= u.High {
					held++
				}
			}
			if share := float64(held) / float64(len(draws)); share < 0.948 || share > 0.956 {
				t.Errorf("estimate %v, %d missing: %.3f are in the interval", estimate, missing, share)
			}
		}
	}
}

// Two intervals whose middles are twice the bias apart hold together what is
// asked of a normal number about either middle. Source: gonum's normal distribution.
func TestGuardedShare(t *testing.T) {
	if got := guardedShare(0.95, 0); math.Abs(got-0.95) > 1e-12 {
		t.Errorf("without a bias each has %v, want 0.95", got)
	}
	if got := guardedShare(0.95, 20); math.Abs(got-0.9) > 1e-12 {
		t.Errorf("far apart each has %v, want 0.9", got)
	}
	rapid.Check(t, func(t *rapid.T) {
		share := rapid.Float64Range(1e-6, 1-1e-6).Draw(t, "share")
		bias := rapid.Float64Range(-3, 3).Draw(t, "bias")
		each := guardedShare(share, bias)
		z := distuv.UnitNormal.Quantile(0.5 + each/2)
		far := distuv.UnitNormal.CDF(z + 2*math.Abs(bias))
		if got := far - distuv.UnitNormal.CDF(-z); each > share+1e-12 || math.Abs(got-share) > 1e-9 && each > 1e-9 || got < share-1e-9 {
			t.Fatalf("each has %v, and both hold %v of %v", each, got, share)
		}
	})
}

func TestEvaluateConstantAndWhole(t *testing.T) {
	same := numbers(500, func(int) float64 { return 7.5 })
	if u, err := Evaluate(7.5, same); err != nil || u != (Uncertainty{Estimate: 7.5, Low: 7.5, High: 7.5, Method: Constant, Draws: 500}) {
		t.Errorf("constant: %+v, %v", u, err)
	}
	if u, err := EvaluateWithin(8, same, Unlimited); err != nil || u.Method != Counted || u.U != 0 || u.Low != 7.5 || u.High != 8 {
		t.Errorf("constant beside the estimate: %+v, %v", u, err)
	}
	k := NewKey("whole")
	steps := numbers(1000, func(i int) float64 { return math.Round(1200 + 150*k.normal(i)) })
	u, err := Evaluate(1200, steps)
	if err != nil || u.Low != math.Trunc(u.Low) || math.Abs(u.Low-906) > 12 || u.High != math.Trunc(u.High) || math.Abs(u.High-1494) > 12 || u.Method != Percentile {
		t.Errorf("whole numbers: %+v, %v; want 906 to 1494", u, err)
	}
	if u, err = Evaluate(1200.4, steps); err != nil || u.Low == math.Floor(u.Low) && u.High == math.Floor(u.High) {
		t.Errorf("whole draws of a value that is not: %+v, %v", u, err)
	}
	rare := numbers(1000, func(i int) float64 { return float64(i / 990) })
	if u, err = Evaluate(0, rare); err != nil || u.U < 0.05 || u.Low != 0 || u.High != 0 {
		t.Errorf("1 %% of draws elsewhere: %+v, %v", u, err)
	}
}

// Draws without a value lie beyond the ends, half on each side.
func TestEvaluateMissing(t *testing.T) {
	draws := even(1000, distuv.UnitNormal.Quantile)
	for i := range 40 {
		draws[i*25] = []float64{math.NaN(), math.Inf(1), math.Inf(-1)}[i%3]
	}
	u, err := Evaluate(0, draws)
	// 2.5 % of 1000 less 20 are 5 of 960.
	if want := (distuv.UnitNormal).Quantile(1 - 5./960); err != nil || u.Missing != 40 || u.Draws != 960 || math.Abs(u.High-want) > 0.1 || math.Abs(u.Low+want) > 0.1 {
		t.Errorf("%+v, %v; want ± %v", u, err, want)
	}
	for i := range 11 {
		draws[i*25+1] = math.NaN()
	}
	_, err = Evaluate(0, draws)
	if !errors.Is(err, ErrDivergent) || !strings.HasSuffix(err.Error(), "51 of 1000, the limit is 5 %") {
		t.Errorf("error is %v", err)
	}
}

func TestEvaluateRefuses(t *testing.T) {
	many := make([]float64, 1000)
	for _, c := range []struct {
		estimate float64
		draws    []float64
		is       error
		text     string
	}{
		{math.NaN(), many, ErrNoEstimate, "the value is not a finite number: it is NaN"},
		{math.Inf(1), many, ErrNoEstimate, "the value is not a finite number: it is +Inf"},
		{0, many[:99], ErrTooFew, "too few draws: 99 gave a value; at least 100 are needed"},
		{0, nil, ErrTooFew, "too few draws: 0 gave a value; at least 100 are needed"},
	} {
		if _, err := Evaluate(c.estimate, c.draws); !errors.Is(err, c.is) || err.Error() != c.text {
			t.Errorf("Evaluate: %v, want %s", err, c.text)
		}
		if _, err := EvaluateWithin(c.estimate, c.draws, Unlimited); !errors.Is(err, c.is) {
			t.Errorf("EvaluateWithin: %v, want %v", err, c.is)
		}
	}
}

// Evaluating leaves the draws as they are, in their order.
func TestEvaluateKeepsTheDraws(t *testing.T) {
	draws := numbers(200, NewKey("keep").normal)
	before := append([]float64(nil), draws...)
	if _, err := Evaluate(0, draws); err != nil {
		t.Fatal(err)
	}
	for i := range draws {
		if draws[i] != before[i] {
			t.Fatal("the draws were moved")
		}
	}
}

// Other units are other numbers of the same: what is evaluated of k y, for k of
// either sign, is k times what is evaluated of y; and of y + c, without a limit,
// c more. The order of the draws does not matter.
func TestEvaluateInOtherUnits(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		k := NewKey("units").Number(rapid.Int().Draw(t, "key"))
		y0, skew := rapid.Float64Range(-3, 3).Draw(t, "estimate"), rapid.Float64Range(0, 1).Draw(t, "skew")
		times := rapid.SampledFrom([]float64{-8, -1, 0.25, 2, 1024}).Draw(t, "times") // powers of two, which round nothing
		more := rapid.Float64Range(-100, 100).Draw(t, "more")
		draws := numbers(300, func(i int) float64 { z := k.normal(i); return z + skew*z*z })
		limits := []Limits{Unlimited, {math.Min(y0, slices.Min(draws)), math.Inf(1)}, {math.Inf(-1), math.Max(y0, slices.Max(draws))}}
		l := rapid.SampledFrom(limits).Draw(t, "limits")
		want, err := EvaluateWithin(y0, draws, l)
		if err != nil {
			t.Fatal(err)
		}
		inUnits := func(x float64) float64 { return x * times }
		scaled := Limits{min(inUnits(l.Low), inUnits(l.High)), max(inUnits(l.Low), inUnits(l.High))}
		got, err := EvaluateWithin(inUnits(y0), numbers(300, func(i int) float64 { return inUnits(draws[299-i]) }), scaled)
		ends := []float64{inUnits(want.Low), inUnits(want.High)}
		slices.Sort(ends)
		close := func(a, b float64) bool { return math.Abs(a-b) <= 1e-9*math.Abs(times)*(1+math.Abs(more)) }
		if err != nil || got.Method != want.Method || !close(got.Low, ends[0]) || !close(got.High, ends[1]) || !close(got.U, want.U*math.Abs(times)) || !close(got.Bias, inUnits(want.Bias)) {
			t.Fatalf("%v times %+v is %+v, %v", times, want, got, err)
		}
		if l != Unlimited {
			return
		}
		got, err = EvaluateWithin(y0+more, numbers(300, func(i int) float64 { return draws[i] + more }), l)
		if err != nil || !close(got.Low, want.Low+more) || !close(got.High, want.High+more) || !close(got.U, want.U) || !close(got.Bias, want.Bias) {
			t.Fatalf("%v more than %+v is %+v, %v", more, want, got, err)
		}
	})
}

// Numerical accuracy of means and standard deviations. Source: NIST Statistical
// Reference Datasets, univariate summary statistics, certified values;
// the digits that doubles can hold are said in nist_strd's own notes: sd to
// 1e-9 (NumAcc3) and 1e-8 (NumAcc4).
func TestMomentsNIST(t *testing.T) {
	alternating := func(first, a, b float64) []float64 {
		out := []float64{first}
		for range 500 {
			out = append(out, a, b)
		}
		return out
	}
	for _, c := range []struct {
		name     string
		numbers  []float64
		mean, sd float64
		within   float64 // of sd, relative
	}{
		{"NumAcc1", []float64{10000001, 10000003, 10000002}, 10000002, 1, 1e-15},
		{"NumAcc2", alternating(1.2, 1.1, 1.3), 1.2, 0.1, 1e-14},
		{"NumAcc3", alternating(1000000.2, 1000000.1, 1000000.3), 1000000.2, 0.1, 1e-9},
		{"NumAcc4", alternating(10000000.2, 10000000.1, 10000000.3), 10000000.2, 0.1, 1e-8},
	} {
		mean, sd := moments(c.numbers)
		if math.Abs(mean/c.mean-1) > 1e-15 || math.Abs(sd/c.sd-1) > c.within {
			t.Errorf("%s: mean %v, sd %v; certified %v, %v", c.name, mean, sd, c.mean, c.sd)
		}
	}
	x := numbers(1000, NewKey("m").normal)
	if mean, sd := moments(x); math.Abs(mean-stat.Mean(x, nil)) > 1e-15 || math.Abs(sd-stat.StdDev(x, nil)) > 1e-14 {
		t.Errorf("mean %v, sd %v; gonum has %v, %v", mean, sd, stat.Mean(x, nil), stat.StdDev(x, nil))
	}
	if _, sd := moments([]float64{1}); !math.IsNaN(sd) {
		t.Errorf("sd of one number is %v", sd)
	}
}

// A spread whose squares are beyond the largest number is refused, not given as infinite.
func TestEvaluateTooLarge(t *testing.T) {
	draws := make([]float64, 200)
	for i := range draws {
		draws[i] = 1e308 * (1 + float64(i%7)/100)
	}
	for name, evaluate := range map[string]func() (Uncertainty, error){
		"guessed": func() (Uncertainty, error) { return Evaluate(1e308, draws) },
		"within":  func() (Uncertainty, error) { return EvaluateWithin(1e308, draws, Unlimited) },
	} {
		if u, err := evaluate(); !errors.Is(err, ErrTooLarge) {
			t.Errorf("%s: got %+v, %v", name, u, err)
		}
	}
	for i := range draws {
		draws[i] *= 1e-160
	}
	if u, err := Evaluate(1e148, draws); err != nil || !(u.U > 0) {
		t.Errorf("what is large, and has a spread: %+v, %v", u, err)
	}
}

package draw

import (
	"errors"
	"math"
	"slices"
	"testing"

	"gonum.org/v1/gonum/stat/distuv"

	"candelua/testdata/campaign"
)

// TestProbability compares with the normal distribution: a difference of z
// standard uncertainties has P = 2(1 - Φ(z)).
func TestProbability(t *testing.T) {
	zero := Run{0, make([]float64, 9999)}
	for _, z := range []float64{0, 0.5, 1, 1.9, 2.1, -2.5, 3} {
		a := Run{z, even(9999, distuv.Normal{Mu: z, Sigma: 1}.Quantile)}
		got, err := Difference(a, zero)
		want := 2 * (distuv.UnitNormal.CDF(-math.Abs(z)))
		if err != nil || math.Abs(got.P-want) > 0.001 || got.Significant != (math.Abs(z) > 1.96) {
			t.Errorf("%v u: %+v, %v; want P %v", z, got, err, want)
		}
	}
	far := Run{50, even(9999, distuv.Normal{Mu: 50, Sigma: 1}.Quantile)}
	if got, err := Difference(far, zero); err != nil || got.P != 2./10000 || !got.Significant {
		t.Errorf("50 u: %+v, %v", got, err)
	}
	if got, err := Difference(far, far); err != nil || got.Method != Constant || got.P != 1 || got.Significant {
		t.Errorf("the same twice: %+v, %v", got, err)
	}
	if got, err := Ratio(far, Run{25, numbers(9999, func(i int) float64 { return far.Draws[i] / 2 })}); err != nil || got.Estimate != 2 || got.P != 0 || !got.Significant {
		t.Errorf("just twice as much: %+v, %v", got, err)
	}
}

// equalUnits are two equal units: each read 10 times on 4 patches of
// the same level, with a pooled scatter, by meters that err by 1 %.
func equalUnits(e int, sameMeter bool) (a, b Run) {
	const patches, singles, draws = 4, 10, 400
	at := func(unit int) Run {
		meter := NewKey("scale").Number(e)
		if unit == 1 && !sameMeter {
			meter = NewKey("scale").Text("other").Number(e)
		}
		gain := 1 + 0.01*meter.Text("truth").normal(0)
		var spreads [patches]spread
		r := Run{Draws: make([]float64, draws)}
		readings := make([]Reading, patches)
		for p := range patches {
			world := NewKey("world").Number(e).Number(unit).Number(p)
			light := make([]XYZ, singles)
			for i := range light {
				light[i] = XYZ{Y: 100 * gain * (1 + 0.003*world.Number(i).normal(0))}
			}
			spreads[p] = spreadOf(light)
			readings[p] = Reading{Mean: MeanOf(light), Accuracy: Accuracy{Scale: 1}, Keys: Keys{Scale: meter, Scatter: NewKey("scatter").Number(e).Number(unit).Number(p)}}
			r.Estimate += readings[p].Mean.Y / patches
		}
		for p := range readings {
			readings[p].scatter = pooled(spreads[:]...).mean(singles)
			for i := range r.Draws {
				r.Draws[i] += readings[p].draw(i).Apply(readings[p].Mean).Y / patches
			}
		}
		return r
	}
	return at(0), at(1)
}

// Of 2,000 pairs of equal units some 5 % differ significantly, 3.5 to 6.5 %
// (three standard errors; the brief form has 500 pairs, and 2 to 8 %), by the difference and by the ratio, with one meter
// and with two; with one meter the interval is narrower by far, because its
// scale cancels: √2 · 0.3 %/√40 against √2 · 1 %.
func TestFalselySignificant(t *testing.T) {
	pairs := campaign.Of(t, 500, 2000)
	off := 3 * math.Sqrt(0.05*0.95/float64(pairs))
	width := map[bool]float64{}
	for _, sameMeter := range []bool{true, false} {
		different, unequal := 0, 0
		for e := range pairs {
			a, b := equalUnits(e, sameMeter)
			d, err := Difference(a, b)
			if err != nil {
				t.Fatal(err)
			}
			q, err := Ratio(a, b)
			if err != nil {
				t.Fatal(err)
			}
			if d.Significant {
				different++
			}
			if q.Significant {
				unequal++
			}
			if (d.P < 0.05-1e-9) != d.Significant && math.Abs(d.P-0.05) > 1e-6 {
				t.Fatalf("pair %d: %+v", e, d)
			}
			width[sameMeter] += (d.High - d.Low) / float64(pairs)
		}
		t.Logf("one meter %v: %.1f %% by difference, %.1f %% by ratio, width %.3f", sameMeter, 100*float64(different)/float64(pairs), 100*float64(unequal)/float64(pairs), width[sameMeter])
		for _, n := range []int{different, unequal} {
			if rate := float64(n) / float64(pairs); math.Abs(rate-0.05) > off {
				t.Errorf("one meter %v: %.2f %% are significant, want %.1f to %.1f %%", sameMeter, 100*rate, 5-100*off, 5+100*off)
			}
		}
	}
	if width[true] > 0.2*width[false] {
		t.Errorf("width of the interval is %v with one meter, %v with two", width[true], width[false])
	}
}

// A draw is without a value where either run is.
func TestCompareMissing(t *testing.T) {
	a := Run{1, numbers(1000, func(i int) float64 { return 1 + NewKey("a").normal(i) })}
	b := Run{20, numbers(1000, func(i int) float64 { return 20 + NewKey("b").normal(i) })}
	a.Draws[5], b.Draws[6], b.Draws[7] = math.NaN(), math.NaN(), math.Inf(1)
	if d, err := Difference(a, b); err != nil || d.Missing != 3 || d.Draws != 997 {
		t.Errorf("difference is %+v, %v", d, err)
	}
	if r, err := Ratio(a, b); err != nil || r.Missing != 3 {
		t.Errorf("ratio is %+v, %v", r, err)
	}
}

// Two pushed runs whose push does not cancel: distances of 0 and of 3 errors.
// What is left of a divisor may be nothing.
func TestComparePushed(t *testing.T) {
	k := NewKey("pushed")
	a := Run{3, numbers(2000, func(i int) float64 { return math.Hypot(3+k.normal(i), k.part(1).normal(i)) })}
	b := Run{1, numbers(2000, func(i int) float64 { return 1.6 + 0.2*k.Text("b").normal(i) })}
	d, err := Difference(a, b)
	if err != nil || d.Method == Percentile || d.High < 2.9 || d.Bias > -0.5 {
		t.Errorf("difference is %+v, %v", d, err)
	}
	_, err = Ratio(a, b)
	if want := "the divisor may be 0: it is 1, and may be 0 when its bias is removed"; !errors.Is(err, ErrDivisor) || err.Error() != want {
		t.Errorf("ratio: %v", err)
	}
	whole := Run{2, numbers(2000, func(i int) float64 { return math.Round(3.5 + k.normal(i)) })}
	if d, err = Difference(whole, Run{0, make([]float64, 2000)}); err != nil || d.Low != math.Floor(d.Low) || d.High != math.Ceil(d.High) {
		t.Errorf("whole numbers: %+v, %v", d, err)
	}
}

// The interval of a pushed difference: percentiles of the draws as they are where it is
// guarded, of the mirrored and of the moved ones, and no less than any of these. Which
// reaches furthest depends on skew and push; the ends are those that the definitions give,
// of exact quantiles.
func TestComparePushedEnds(t *testing.T) {
	gamma := distuv.Gamma{Alpha: 4, Beta: 1}
	median := gamma.Quantile(0.5)
	width := (gamma.Quantile(p8413) - gamma.Quantile(1-p8413)) / 2
	zero := Run{0, make([]float64, 9999)}
	for _, skew := range []float64{1, -1} {
		draws := even(9999, func(p float64) float64 { return skew * (gamma.Quantile(p) - median) })
		low, high := gamma.Quantile(0.025)-median, gamma.Quantile(0.975)-median
		if skew < 0 {
			low, high = -high, -low
		}
		for _, c := range []struct {
			bias   float64
			method Method
		}{{0.3, Guarded}, {-0.3, Guarded}, {0.8, Guarded}, {-0.8, Guarded}, {1.5, Reflected}, {-1.5, Reflected}} {
			push := c.bias * width
			lows, highs := []float64{-2*push - high, low - 2*push}, []float64{-2*push - low, high - 2*push}
			if c.method == Guarded {
				lows, highs = append(lows, low), append(highs, high)
			}
			got, err := Difference(Run{-push, draws}, zero)
			if err != nil || got.Method != c.method || math.Abs(got.Low-slices.Min(lows)) > 0.01 || math.Abs(got.High-slices.Max(highs)) > 0.01 || math.Abs(got.Bias-push) > 0.01 {
				t.Errorf("skew %v, bias %v: %+v, %v; want %v to %v by %s, pushed by %v", skew, c.bias, got, err, slices.Min(lows), slices.Max(highs), c.method, push)
			}
		}
	}
}

// A divisor that may be 0 once its push is taken off is refused, whether it is the draws
// mirrored that reach it or the draws moved.
func TestRatioToWhatMayBeNothing(t *testing.T) {
	one := Run{1, numbers(400, func(int) float64 { return 1 })}
	around := func(middle, by, other float64) Run {
		return Run{1, numbers(400, func(i int) float64 {
			if i < 4 {
				return other
			}
			return middle + by*(float64(i)/200-1)
		})}
	}
	for name, c := range map[string]struct {
		by Run
		is error
	}{
		"neither":  {around(1.1, 0.2, 1.3), nil},        // 0.9 to 1.3, √(2·1.1² - 2) = 0.65, √2 = 1.41
		"mirrored": {around(1.1, 0.2, 1.5), ErrDivisor}, // 1.5 > 1.41
		"moved":    {around(1.2, 0.2, 0.9), ErrDivisor}, // 0.9 < √(2·1.2² - 2) = 0.94
	} {
		if got, err := Ratio(one, c.by); !errors.Is(err, c.is) || err == nil && got.Method == Percentile {
			t.Errorf("%s: %+v, %v; want %v", name, got, err, c.is)
		}
	}
	nothing := slices.Clone(one.Draws)
	nothing[7] = 0
	if _, err := Ratio(one, Run{1, nothing}); !errors.Is(err, ErrDivisor) {
		t.Errorf("a divisor that is 0 in one draw: %v", err)
	}
	if got, err := Ratio(one, Run{0.01, numbers(400, func(i int) float64 { return 0.01 + 1e-5*NewKey("small").normal(i) })}); err != nil || math.Abs(got.Estimate-100) > 1e-9 {
		t.Errorf("a divisor that is small, and certain: %+v, %v", got, err)
	}
}

func TestCompareRefuses(t *testing.T) {
	good := Run{1, numbers(200, func(i int) float64 { return 5 + NewKey("a").uniform(i) })}
	crossing := Run{1, numbers(200, NewKey("a").normal)}
	below := 0.
	for _, y := range crossing.Draws {
		if y <= 0 {
			below = y
			break
		}
	}
	if below == 0 {
		t.Fatal("no draw below 0")
	}
	for _, c := range []struct {
		name string
		do   func() error
		is   error
	}{
		{"unequal", func() error { _, err := Difference(good, Run{1, good.Draws[:199]}); return err }, ErrUnequal},
		{"few", func() error { _, err := Difference(Run{1, good.Draws[:9]}, Run{1, good.Draws[:9]}); return err }, ErrTooFew},
		{"no estimate", func() error { _, err := Difference(Run{math.NaN(), good.Draws}, good); return err }, ErrNoEstimate},
		{"divisor 0", func() error { _, err := Ratio(good, Run{0, good.Draws}); return err }, ErrDivisor},
		{"divisor around 0", func() error { _, err := Ratio(good, crossing); return err }, ErrDivisor},
		{"divisor on the other side", func() error { _, err := Ratio(good, Run{-1, good.Draws}); return err }, ErrDivisor},
		{"ratio unequal", func() error { _, err := Ratio(good, Run{1, good.Draws[:199]}); return err }, ErrUnequal},
	} {
		if err := c.do(); !errors.Is(err, c.is) {
			t.Errorf("%s: %v, want %v", c.name, err, c.is)
		}
	}
}

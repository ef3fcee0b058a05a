package result

import (
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

func num(f float64) *float64 { return &f }

// Limits included and simple acceptance: JCGM 106:2012, 8.2, from memory.
// Bounds: by the definition of an interval that lies in, out of or across.
func TestJudge(t *testing.T) {
	between := Tolerance{Min: num(1), Max: num(2)}
	low, high := Tolerance{Min: num(1)}, Tolerance{Max: num(2)}
	for _, c := range []struct {
		name  string
		t     Tolerance
		value float64
		bound Bound
		want  Finding
	}{
		{"inside", between, 1.5, "", Pass},
		{"on the lower limit", between, 1, "", Pass},
		{"on the upper limit", between, 2, "", Pass},
		{"below", between, 0.999, "", Fail},
		{"above", between, 2.001, "", Fail},
		{"a rounding error above", Tolerance{Max: num(0.3)}, 0.30000000000000004, "", Pass},
		{"a rounding error below", Tolerance{Min: num(0.8)}, 0.7999999999999999, "", Pass},
		{"min only", low, 1e6, "", Pass},
		{"max only", high, -1e6, "", Pass},
		{"black under the floor, which is under the limit", high, 0.005, Upper, Pass},
		{"black on the limit", high, 2, Upper, Pass},
		{"black under a floor that is above the limit", high, 3, Upper, NotEvaluated},
		{"upper bound against a minimum it may reach", low, 1.5, Upper, NotEvaluated},
		{"upper bound below the minimum", low, 0.5, Upper, Fail},
		{"upper bound within a range", between, 1.5, Upper, NotEvaluated},
		{"lower bound above the minimum", low, 1.5, Lower, Pass},
		{"lower bound above the maximum", high, 2.5, Lower, Fail},
		{"lower bound below the maximum", high, 1.5, Lower, NotEvaluated},
	} {
		got, why := c.t.judge(c.value, c.bound)
		if got != c.want || (why != "") != (c.want == NotEvaluated) {
			t.Errorf("%s: %s (%s), want %s", c.name, got, why, c.want)
		}
	}
}

// A bound stands for all values beyond it, so it may pass only where each of
// them does, and fail only where each of them does.
func TestJudgeOfBounds(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		number := rapid.Float64Range(-10, 10)
		tol := Tolerance{Min: num(number.Draw(t, "min")), Max: num(20)}
		if rapid.Bool().Draw(t, "open") {
			tol.Min = nil
		}
		v := number.Draw(t, "value")
		away := rapid.Float64Range(0, 100).Draw(t, "away")
		bounded, _ := tol.judge(v, Upper)
		single, _ := tol.judge(v-away, "")
		if bounded != NotEvaluated && bounded != single {
			t.Fatalf("at most %v gives %s, and %v gives %s", v, bounded, v-away, single)
		}
	})
}

func TestToleranceCheck(t *testing.T) {
	for want, tol := range map[string]Tolerance{
		"without a limit":              {},
		"min (2) is above its max (1)": {Min: num(2), Max: num(1)},
		"max is NaN":                   {Max: num(math.NaN())},
		"min is +Inf":                  {Min: num(math.Inf(1))},
		"a finite number":              {Min: num(math.Inf(-1)), Max: num(1)},
		"min (5) is above":             {Min: num(5), Max: num(-5)},
	} {
		if err := tol.check(); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("error is %v, want %q in it", err, want)
		}
	}
}

func TestSame(t *testing.T) {
	for _, c := range []struct {
		a, b float64
		want bool
	}{
		{1, 1, true}, {1e6, 1e6 * (1 + 0.9e-9), true}, {1e6, 1e6 * (1 + 1.2e-9), false},
		{0, 0.9e-12, true}, {0, 1.1e-12, false}, {-1, 1, false}, {0, math.Copysign(0, -1), true},
		{math.MaxFloat64, -math.MaxFloat64, false}, {math.Inf(1), 1, false}, {math.Inf(1), math.Inf(1), true}, {math.NaN(), math.NaN(), false},
	} {
		if Same(c.a, c.b) != c.want || Same(c.b, c.a) != c.want {
			t.Errorf("Same(%v, %v) is %v, want %v, both ways", c.a, c.b, !c.want, c.want)
		}
	}
}

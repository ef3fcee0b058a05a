package trial

import (
	"encoding/json"
	"math"
	"strings"
	"testing"

	"candelua/engine/result"
)

func ptr[T any](x T) *T { return &x }

func TestJudge(t *testing.T) {
	const truth = 200.0
	near := Expectation{ID: "v", Within: 2}
	share := Expectation{ID: "v", Within: 1, Unit: "%"}
	upper := Expectation{ID: "v", Within: 2, Bound: result.Upper, BoundWithin: 20}
	upperShare := Expectation{ID: "v", Within: 1, Unit: "%", Bound: result.Upper, BoundWithin: 10}
	lower := Expectation{ID: "v", Bound: result.Lower, BoundWithin: 50}
	for _, tt := range []struct {
		name  string
		e     Expectation
		value result.Value
		want  verdict
		err   float64 // NaN: there is none
		why   string
	}{
		{"inside", near, result.Value{Value: ptr(201.5)}, passed, 1.5, ""},
		{"on the limit", near, result.Value{Value: ptr(198.0)}, passed, -2, ""},
		{"outside", near, result.Value{Value: ptr(203.0)}, wrong, 3, ""},
		{"a share of the truth", share, result.Value{Value: ptr(201.0)}, passed, 0.5, ""},
		{"a share, outside", share, result.Value{Value: ptr(197.0)}, wrong, -1.5, ""},
		{"nothing", near, result.Value{Why: "too dark"}, none, math.NaN(), "too dark"},
		{"a text", near, result.Value{Text: "bright"}, wrong, math.NaN(), `it is the text "bright", not a number`},
		{"its unit", Expectation{ID: "v", Within: 2, Unit: "cd/m2"}, result.Value{Value: ptr(200.0), Unit: "cd/m2"}, passed, 0, ""},
		{"another unit", Expectation{ID: "v", Within: 2, Unit: "cd/m2"}, result.Value{Value: ptr(200.0), Unit: "lx"}, wrong, math.NaN(), `its unit is "lx", and the trial expects "cd/m2"; correct the one that is wrong`},
		{"a bound that is near", upper, result.Value{Value: ptr(215.0), Bound: result.Upper}, passed, math.NaN(), ""},
		{"a bound as far as it may lie", upper, result.Value{Value: ptr(220.0), Bound: result.Upper}, passed, math.NaN(), ""},
		{"a bound that is loose", upper, result.Value{Value: ptr(900.0), Bound: result.Upper}, none, math.NaN(), "the upper bound 900 holds, but lies farther from the truth than bound_within"},
		{"a bound near by a share", upperShare, result.Value{Value: ptr(219.0), Bound: result.Upper}, passed, math.NaN(), ""},
		{"a bound loose by a share", upperShare, result.Value{Value: ptr(221.0), Bound: result.Upper}, none, math.NaN(), "the upper bound 221 holds, but lies farther from the truth than bound_within"},
		{"a bound on the truth", upper, result.Value{Value: ptr(truth), Bound: result.Upper}, passed, math.NaN(), ""},
		{"a bound that does not hold", upper, result.Value{Value: ptr(199.0), Bound: result.Upper}, wrong, math.NaN(), "the upper bound 199 does not hold"},
		{"a number where a bound may be", upper, result.Value{Value: ptr(201.0)}, passed, 1, ""},
		{"a bound where a number is wanted", near, result.Value{Value: ptr(201.0), Bound: result.Upper}, none, math.NaN(), "it is only a bound (upper), but the trial wants a number"},
		{"a false bound where a number is wanted", near, result.Value{Value: ptr(150.0), Bound: result.Upper}, wrong, math.NaN(), "the upper bound 150 does not hold"},
		{"a bound of the other kind", upper, result.Value{Value: ptr(150.0), Bound: result.Lower}, none, math.NaN(), "it is only a bound (lower), but the trial wants a number or a bound of the kind upper"},
		{"a false lower bound", lower, result.Value{Value: ptr(201.0), Bound: result.Lower}, wrong, math.NaN(), "the lower bound 201 does not hold"},
		{"a lower bound", lower, result.Value{Value: ptr(150.0), Bound: result.Lower}, passed, math.NaN(), ""},
		{"a loose lower bound", lower, result.Value{Value: ptr(149.0), Bound: result.Lower}, none, math.NaN(), "the lower bound 149 holds, but lies farther from the truth than bound_within"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			r := result.New()
			tt.value.Name, tt.value.ID = "V", "v"
			if _, err := r.Value(tt.value); err != nil {
				t.Fatal(err)
			}
			got := tt.e.judge(r, truth)
			if got.Verdict != tt.want || got.Why != tt.why {
				t.Errorf("verdict %q %q, want %q %q", got.Verdict, got.Why, tt.want, tt.why)
			}
			if (got.Err == nil) != math.IsNaN(tt.err) || got.Err != nil && math.Abs(*got.Err-tt.err) > 1e-12 {
				t.Errorf("error %v, want %v", got.Err, tt.err)
			}
		})
	}
}

// A value that is missing may have another id than the one that is expected.
func TestJudgeMissing(t *testing.T) {
	e := Expectation{ID: "peak-luminanc", Within: 1}
	r := result.New()
	for _, want := range []string{
		"the run recorded no value with this id; it recorded none",
		"the run recorded no value with this id; it recorded gamma",
		"the run recorded no value with this id; did you mean peak-luminance? (it recorded gamma, peak-luminance)",
	} {
		if got := e.judge(r, 1); got.Verdict != missing || got.Why != want {
			t.Errorf("verdict %q %q, want missing, %q", got.Verdict, got.Why, want)
		}
		name := "Gamma"
		if len(r.Values()) == 1 {
			name = "Peak luminance"
		}
		if _, err := r.Value(result.Value{Name: name, Value: ptr(1.0)}); err != nil && len(r.Values()) < 2 {
			t.Fatal(err)
		}
	}
}

// What no JSON number can hold is left out, and never passes.
func TestJudgeBeyondMeasure(t *testing.T) {
	for _, tt := range []struct {
		e     Expectation
		value float64
		bound result.Bound
		truth float64
		want  verdict
	}{
		{Expectation{ID: "v", Unit: "%"}, 1e10, "", 1e-300, wrong},
		{Expectation{ID: "v"}, math.MaxFloat64, "", -math.MaxFloat64, wrong},
		{Expectation{ID: "v", Bound: result.Upper, BoundWithin: math.MaxFloat64}, math.MaxFloat64, result.Upper, -math.MaxFloat64, none},
	} {
		r := result.New()
		if _, err := r.Value(result.Value{Name: "V", Value: &tt.value, Bound: tt.bound}); err != nil {
			t.Fatal(err)
		}
		got := tt.e.judge(r, tt.truth)
		if got.Verdict != tt.want || got.Err != nil || got.Bound != nil || !strings.Contains(got.Why, "too large for a number") {
			t.Errorf("%g against %g: %+v, want verdict %q and no error", tt.value, tt.truth, got, tt.want)
		}
	}
	most := math.MaxFloat64
	c := (&Expectation{ID: "v"}).check(1, []judged{{Verdict: wrong, Err: &most}, {Verdict: wrong, Err: &most}})
	if c.Bias != nil || c.Scatter != nil || *c.Worst != most {
		t.Errorf("of errors beyond all measure the bias is %v and the scatter %v, want none", c.Bias, c.Scatter)
	}
	if _, err := json.Marshal(c); err != nil {
		t.Error(err)
	}
}

// Bounds are counted apart, near enough or not.
func TestCheckBounds(t *testing.T) {
	e := Expectation{ID: "v", Within: 1, Bound: result.Upper, BoundWithin: 5}
	c := e.check(10, []judged{{Verdict: passed, Err: ptr(0.5)}, {Verdict: passed, Bound: ptr(3.0)}, {Verdict: none, Bound: ptr(80.0), Why: "far"}, {Verdict: wrong, Why: "false"}})
	if c.Passed != 2 || c.NotEvaluated != 1 || c.Wrong != 1 || c.Bounds != 2 || *c.Farthest != 80 || c.Bound != "upper" || *c.BoundWithin != 5 {
		t.Errorf("counts %+v", c)
	}
	if c := (&Expectation{ID: "v"}).check(10, nil); c.Bounds != 0 || c.Farthest != nil || c.BoundWithin != nil {
		t.Errorf("without bounds: %+v", c)
	}
}

// A value may be a negative truth's: the share keeps the error's sign.
func TestJudgeNegativeTruth(t *testing.T) {
	r := result.New()
	if _, err := r.Value(result.Value{Name: "V", Value: ptr(-99.0)}); err != nil {
		t.Fatal(err)
	}
	got := (&Expectation{ID: "v", Within: 2, Unit: "%"}).judge(r, -100)
	if got.Verdict != passed || got.Err == nil || math.Abs(*got.Err+1) > 1e-12 {
		t.Errorf("got %q, %v; want it passed with -1 %%: it is 1 %% smaller in size", got.Verdict, got.Err)
	}
}

func TestJudgeIntervals(t *testing.T) {
	e := Expectation{ID: "v", Within: 10}
	var values []judged
	for _, interval := range [][2]float64{{99, 101}, {100, 102}, {101, 103}} {
		r := result.New()
		if _, err := r.Value(result.Value{Name: "V", Value: ptr(101.0), Interval: &interval}); err != nil {
			t.Fatal(err)
		}
		values = append(values, e.judge(r, 100))
	}
	if c := e.check(100, values); c.Intervals != 3 || c.Covered != 2 || c.Passed != 3 {
		t.Errorf("%d of %d intervals hold the truth, want 2 of 3", c.Covered, c.Intervals)
	}
}

// The spread of 1, 2 and 6 about 0, by hand: mean 3, variance (4+1+9)/2 = 7.
func TestCheckSpread(t *testing.T) {
	e := Expectation{ID: "v", Within: 5, OrNone: true}
	values := []judged{{Verdict: passed, Err: ptr(1.0)}, {Verdict: passed, Err: ptr(2.0)}, {Verdict: wrong, Err: ptr(6.0)}, {Verdict: none, Why: "dark"}, {Verdict: missing}}
	c := e.check(50, values)
	if c.Runs != 5 || c.Passed != 2 || c.Wrong != 1 || c.NotEvaluated != 1 || c.Missing != 1 || c.Why != "dark" {
		t.Errorf("counts %+v", c)
	}
	if *c.Bias != 3 || math.Abs(*c.Scatter-math.Sqrt(7)) > 1e-15 || *c.Worst != 6 {
		t.Errorf("bias %v, scatter %v, worst %v; want 3, 2.6458, 6", *c.Bias, *c.Scatter, *c.Worst)
	}
	if one := e.check(50, values[:1]); one.Scatter != nil || *one.Bias != 1 {
		t.Errorf("of one error the scatter is %v, want none", one.Scatter)
	}
	if no := e.check(50, values[3:]); no.Bias != nil || no.Worst != nil {
		t.Errorf("of no error the bias is %v, want none", no.Bias)
	}
}

// A seed passes when all its values do; the world when enough seeds do.
func TestSummarise(t *testing.T) {
	good, bad, dark := judged{Verdict: passed, Err: ptr(0.0)}, judged{Verdict: wrong, Err: ptr(9.0)}, judged{Verdict: none}
	ok := func(v ...judged) runResult { return runResult{Values: v} }
	for _, tt := range []struct {
		name    string
		pass    float64
		orNone  bool
		seeds   []runResult
		passed  int
		failed  int
		finding result.Finding
	}{
		{"all pass", 1, false, []runResult{ok(good, good), ok(good, good)}, 2, 0, result.Pass},
		{"one value wrong", 1, false, []runResult{ok(good, good), ok(good, bad)}, 1, 0, result.Fail},
		{"half is enough", 0.5, false, []runResult{ok(good, good), ok(bad, bad)}, 1, 0, result.Pass},
		{"half is not enough", 0.6, false, []runResult{ok(good, good), ok(bad, bad)}, 1, 0, result.Fail},
		{"not evaluated", 1, false, []runResult{ok(good, dark)}, 0, 0, result.Fail},
		{"or not evaluated", 1, true, []runResult{ok(good, dark)}, 1, 0, result.Pass},
		{"missing is never enough", 1, true, []runResult{ok(good, judged{Verdict: missing})}, 0, 0, result.Fail},
		{"wrong is never enough", 1, true, []runResult{ok(good, bad)}, 0, 0, result.Fail},
		{"an error", 1, false, []runResult{ok(good, good), {Error: ptr("lamp")}}, 1, 1, result.Fail},
	} {
		t.Run(tt.name, func(t *testing.T) {
			o := &Outcome{Pass: tt.pass, Expect: []Expectation{{ID: "a", Within: 1}, {ID: "b", Within: 1, OrNone: tt.orNone}}}
			rep := o.summarise(knownWorld{"w", []float64{1, 1}}, tt.seeds)
			if rep.Passed != tt.passed || rep.Failed != tt.failed || rep.Finding != tt.finding {
				t.Errorf("%d passed, %d failed, %s; want %d, %d, %s", rep.Passed, rep.Failed, rep.Finding, tt.passed, tt.failed, tt.finding)
			}
		})
	}
	// 19 of 20 is 0.95, whatever the binary fractions are.
	o := &Outcome{Pass: 0.95, Expect: []Expectation{{ID: "a"}}}
	seeds := []runResult{{Error: ptr("lamp")}}
	for range 19 {
		seeds = append(seeds, ok(good))
	}
	rep := o.summarise(knownWorld{"w", []float64{1}}, seeds)
	if rep.Finding != result.Pass || rep.Error != "lamp" || rep.ErrorSeed != 1 || rep.Checks[0].Runs != 19 {
		t.Errorf("19 of 20 with pass = 0.95: %+v", rep)
	}
}

func TestEndsWrong(t *testing.T) {
	lamp := ptr("there is no lamp")
	for _, tt := range []struct {
		refuses string
		err     *string
		want    string
	}{
		{"", nil, ""},
		{"", lamp, "there is no lamp"},
		{"no lamp", lamp, ""},
		{"no lamp", nil, `the run ended without an error; it must end with an error with the text "no lamp"`},
		{"too dark", lamp, `there is no lamp (it must end with an error with the text "too dark")`},
	} {
		if got := (&Outcome{Refuses: tt.refuses}).endsWrong(runResult{Error: tt.err}); got != tt.want {
			t.Errorf("refuses %q, ended with %v: %q, want %q", tt.refuses, tt.err, got, tt.want)
		}
	}
}

// Of what gives no number nothing is asked; a number without an interval is
// one that does not hold the truth.
func TestUncovered(t *testing.T) {
	yes, no := true, false
	number := func(covered *bool) judged { return judged{Verdict: passed, Err: ptr(0.0), Covered: covered} }
	for _, tt := range []struct {
		name   string
		covers float64
		values []judged
		want   string
	}{
		{"not asked for", 0, []judged{number(&no)}, ""},
		{"enough", 0.5, []judged{number(&yes), number(&no), {Verdict: none}}, ""},
		{"too few", 0.6, []judged{number(&yes), number(&no)}, "the 95 % interval holds the truth in 1 of 2 runs; at least 2 are needed (covers = 0.6)"},
		{"no interval", 0.6, []judged{number(&yes), number(nil)}, "the 95 % interval holds the truth in 1 of 2 runs; at least 2 are needed (covers = 0.6)"},
		{"no number", 0.6, []judged{{Verdict: none}}, "no run gave a number, so no interval could hold the truth"},
	} {
		e := Expectation{ID: "v", Covers: tt.covers, OrNone: true}
		if got := e.check(1, tt.values).Uncovered; got != tt.want {
			t.Errorf("%s: %q, want %q", tt.name, got, tt.want)
		}
		w := (&Outcome{Pass: 1, Expect: []Expectation{e}}).summarise(knownWorld{"w", []float64{1}}, []runResult{{Values: tt.values[:1]}})
		if failed := w.Finding == result.Fail; failed != (w.Checks[0].Uncovered != "") {
			t.Errorf("%s: the world's finding is %s, and of the interval it says %q", tt.name, w.Finding, w.Checks[0].Uncovered)
		}
	}
}

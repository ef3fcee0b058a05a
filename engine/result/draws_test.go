package result

import (
	"encoding/json"
	"fmt"
	"math"
	"regexp"
	"strings"
	"testing"
)

// drawn is results whose uncertainties were drawn.
func drawn(t *testing.T) *Results {
	t.Helper()
	r := New()
	v, err := r.Value(Value{Name: "Gamma", Value: ptr(2.2)})
	if err != nil {
		t.Fatal(err)
	}
	v.U, v.Interval, v.Method, v.Rounded = ptr(0.004), &[2]float64{2.19, 2.21}, "percentile", "2.2000 ± 0.0040"
	v.Bias = ptr(0.001)
	v.Budget = []Part{{"scale", 0.003, 0.6}, {"scatter", 0.002, 0.4}}
	table, err := r.Table("Steps", "", []Column{{"signal", ""}, {"luminance", "cd/m2"}})
	if err != nil {
		t.Fatal(err)
	}
	for i := range 2 {
		if err := table.Add(map[string]any{"signal": float64(i), "luminance": 100 * float64(i)}); err != nil {
			t.Fatal(err)
		}
	}
	if err := table.SetSpread(1, 1, Spread{0.5, 99, 101}); err != nil {
		t.Fatal(err)
	}
	r.SetDraws(&Draws{Count: 500, Divergent: 2, Failed: 1, NoScatter: 4})
	return r
}

func TestDrawnRoundTrip(t *testing.T) {
	r := drawn(t)
	text, err := r.MarshalJSON()
	if err != nil {
		t.Fatal(err)
	}
	for _, part := range []string{`{"format":3,`, `"method":"percentile","rounded":"2.2000 ± 0.0040","bias":0.001,"budget":[{"of":"scale","u":0.003,"share":0.6}`,
		`"u":[` + "\n" + `[null,null],` + "\n" + `[null,0.5]]`, `"low":[`, `"high":[`, `"draws":{"count":500,"divergent":2,"failed":1,"no_scatter":4}`} {
		if !strings.Contains(string(text), part) {
			t.Errorf("lacks %s:\n%s", part, text)
		}
	}
	back := New()
	if err := json.Unmarshal(text, back); err != nil {
		t.Fatal(err)
	}
	if again, _ := back.MarshalJSON(); string(again) != string(text) {
		t.Errorf("read and written again:\n%s\nwas\n%s", again, text)
	}
	if d := Compare(r, back); len(d) > 0 {
		t.Errorf("differs from itself: %v", d)
	}
}

func ptr[T any](x T) *T { return &x }

// Each number that was drawn is compared, where both were drawn.
func TestDrawnCompare(t *testing.T) {
	for want, change := range map[string]func(*Results){
		"value gamma: u is recorded as 0.004":                                        func(r *Results) { r.Values()[0].U = ptr(0.005) },
		"value gamma: interval's lower end":                                          func(r *Results) { r.Values()[0].Interval = &[2]float64{2.1, 2.21} },
		"value gamma: method is recorded as":                                         func(r *Results) { r.Values()[0].Method = "guarded" },
		"value gamma: rounded value":                                                 func(r *Results) { r.Values()[0].Rounded = "2.2" },
		"value gamma: bias is recorded as 0.001":                                     func(r *Results) { r.Values()[0].Bias = ptr(0.002) },
		"value gamma: budget, scale is recorded as 0.003":                            func(r *Results) { r.Values()[0].Budget[0].U = 0.004 },
		"value gamma: budget is recorded as \"scatter\"":                             func(r *Results) { r.Values()[0].Budget = r.Values()[0].Budget[:1] },
		"table steps: row 2, u of luminance is recorded as 0.5":                      func(r *Results) { _ = r.Tables()[0].SetSpread(1, 1, Spread{0.6, 99, 101}) },
		"table steps: row 2, upper end of luminance is recorded":                     func(r *Results) { _ = r.Tables()[0].SetSpread(1, 1, Spread{0.5, 99, 102}) },
		"draws all: 2 divergent and 1 failed of 500 draws are recorded, and 3 and 1": func(r *Results) { r.SetDraws(&Draws{Count: 500, Divergent: 3, Failed: 1, NoScatter: 4}) },
		"draws all: 0 readings whose scatter is concluded from other luminances are recorded, and 2 are": func(r *Results) {
			r.SetDraws(&Draws{Count: 500, Divergent: 2, Failed: 1, NoScatter: 4, FarScatter: 2})
		},
		"draws all: 4 readings of unknown scatter are recorded, and 5 are now":                           func(r *Results) { r.SetDraws(&Draws{Count: 500, Divergent: 2, Failed: 1, NoScatter: 5}) },
		"draws all: the reason why budgets are missing is recorded as \"\" and is \"too few draws\" now": func(r *Results) { r.Draws().BudgetWhy = "too few draws" },
	} {
		other := drawn(t)
		change(other)
		d := Compare(drawn(t), other)
		if len(d) == 0 || !strings.Contains(d[0].String(), want) {
			t.Errorf("differences are %v, want %q", d, want)
		}
	}
	plain := drawn(t)
	plain.Values()[0].Method, plain.Values()[0].U = "", ptr(1.0)
	plain.SetDraws(nil)
	if d := Compare(drawn(t), plain); len(d) > 0 {
		t.Errorf("a replay that does not draw differs: %v", d)
	}
}

// TestFormerParts: a part of a recorded budget that is called otherwise now is the same
// part, and no other is.
func TestFormerParts(t *testing.T) {
	for was, is := range map[string]string{"last digit": "resolution", "scatter and last digit": "scatter and resolution"} {
		recorded, now := drawn(t), drawn(t)
		recorded.Values()[0].Budget[1].Of, now.Values()[0].Budget[1].Of = was, is
		if d := Compare(recorded, now); len(d) > 0 {
			t.Errorf("%s and %s differ: %v", was, is, d)
		}
		now.Values()[0].Budget[1].Of = "scatter"
		want := fmt.Sprintf("value gamma: budget is recorded as %q and is \"scatter\" now", is)
		if d := Compare(recorded, now); len(d) != 1 || d[0].String() != want {
			t.Errorf("%s and scatter: differences are %v, want %q", was, d, want)
		}
		now.Values()[0].Budget[1] = Part{is, 1, 0.4}
		if d := Compare(recorded, now); len(d) != 1 {
			t.Errorf("parts of different sizes: differences are %v, want one", d)
		}
	}
}

func TestSpreadRefuses(t *testing.T) {
	table := drawn(t).Tables()[0]
	for _, err := range []error{
		table.SetSpread(2, 0, Spread{}), table.SetSpread(0, 2, Spread{}), table.SetSpread(-1, 0, Spread{}),
		table.SetSpread(0, 0, Spread{U: -1}), table.SetSpread(0, 0, Spread{1, 3, 2}),
	} {
		if err == nil {
			t.Error("was taken")
		}
	}
	if table.Spread(9, 9) != nil || table.Spread(0, 1) != nil {
		t.Error("a cell has an uncertainty that nobody gave")
	}
	for text, want := range map[string]string{
		`"u":[[1]],"low":[[1]],"high":[[1]]`:                            "have 1, 1 and 1 rows; they must have 2 each",
		`"u":[[1],[1]],"low":[[1],[1]],"high":[[1],[1]]`:                "has not 2 cells",
		`"u":[[1,1],[1,1]],"low":[[1,1],[1,1]],"high":[[1,1],[1,null]]`: "are not all there",
	} {
		r := New()
		err := json.Unmarshal([]byte(`{"format":3,"kind":"candelua-results","tables":[{"id":"t","name":"T","columns":[{"name":"a"},{"name":"b"}],"rows":[[1,2],[3,4]],`+text+`}]}`), r)
		if err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%s: %v, want %q", text, err, want)
		}
	}
}

// A negative nought is written as 0, wherever a number stands.
func TestNoNegativeNought(t *testing.T) {
	r := drawn(t)
	minus := math.Copysign(0, -1)
	v := r.Values()[0]
	v.Value, v.U, v.Bias, v.Interval = &minus, &minus, &minus, &[2]float64{minus, minus}
	table, err := r.Table("Others", "", []Column{{"signal", ""}})
	if err != nil {
		t.Fatal(err)
	}
	if err := table.Add(map[string]any{"signal": minus}); err != nil {
		t.Fatal(err)
	}
	if err := table.SetSpread(0, 0, Spread{minus, minus, minus}); err != nil {
		t.Fatal(err)
	}
	text, err := r.MarshalJSON()
	if err != nil {
		t.Fatal(err)
	}
	if regexp.MustCompile(`-0[^.]`).Match(text) {
		t.Errorf("a negative nought is in\n%s", text)
	}
}

// An uncertainty whose method is missing on one side alone is a difference where both
// were drawn as often: else a smaller one could be written there.
func TestCompareWithoutMethod(t *testing.T) {
	made := func(method string, u float64) *Results {
		r := New()
		x := 100.0
		v, err := r.Value(Value{Name: "Peak", Value: &x})
		if err != nil {
			t.Fatal(err)
		}
		v.U, v.Method = &u, method
		r.SetDraws(&Draws{Count: 500})
		return r
	}
	if d := Compare(made("", 0.001), made("percentile", 1)); len(d) != 1 || d[0].Of() != OfUncertainty {
		t.Errorf("a missing method differs in %v", d)
	}
	if d := Compare(made("percentile", 1), made("percentile", 1)); len(d) > 0 {
		t.Errorf("equal ones differ in %v", d)
	}
}

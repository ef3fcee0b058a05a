package report

import (
	"strings"
	"testing"

	"candelua/engine/result"
)

// TestBudget: what an uncertainty is made of stands under its value, with what errors
// pushed it by, or why it is not taken apart; nothing where nobody drew.
func TestBudget(t *testing.T) {
	y, u, bias := 2.31, 0.02, 0.004
	parts := []result.Part{{Of: "scale", U: 0.016, Share: 0.64}, {Of: "scatter", U: 0.012, Share: 0.36}}
	for _, tt := range []struct {
		name  string
		draws *result.Draws
		parts []result.Part
		want  string
	}{
		{"drawn", &result.Draws{Count: 500}, parts, "u is made of scale 0.016 (64 % of u²), scatter 0.012 (36 %); random errors may have shifted the value by 0.004"},
		{"too few draws", &result.Draws{Count: 500, BudgetWhy: "too few draws"}, nil, "what u is made of is not evaluated: too few draws"},
		{"not drawn", nil, parts, ""},
		{"a limit, which is not drawn", &result.Draws{Count: 500}, nil, ""},
	} {
		t.Run(tt.name, func(t *testing.T) {
			r := result.New()
			v, err := r.Value(result.Value{Name: "Mean difference", Value: &y})
			if err != nil {
				t.Fatal(err)
			}
			v.U, v.Bias, v.Budget = &u, &bias, tt.parts
			r.SetDraws(tt.draws)
			var out strings.Builder
			if err := Terminal(&out, r, Options{Width: 200, Budget: true}); err != nil {
				t.Fatal(err)
			}
			_, below, _ := strings.Cut(strings.TrimSpace(out.String()), "\n")
			_, below, _ = strings.Cut(below, "\n")
			below, _, _ = strings.Cut(below, "\nuncertainties: ")
			if !strings.HasPrefix(strings.TrimSpace(below), tt.want) || tt.want == "" && below != "" {
				t.Errorf("got %q, want %q", below, tt.want)
			}
		})
	}
}

// TestDrawsAreTold: how many draws gave no value, and how many readings' scatter nobody
// knows, is said wherever there are such, and how many draws there were with the budget.
func TestDrawsAreTold(t *testing.T) {
	const unknown = " is not known and is left out, so these uncertainties are too small: state in " +
		"the bench file how single readings scatter ([meter.accuracy], repeatability in %, or noise at some levels), or, on a meter that is not read by hand, give repeats = 2 or more to meter.read in the script\n"
	for _, tt := range []struct {
		draws  *result.Draws
		budget bool
		want   string
	}{
		{nil, true, ""},
		{&result.Draws{Count: 500}, false, ""},
		{&result.Draws{Count: 500}, true, "uncertainties: from 500 draws\n"},
		{&result.Draws{Count: 500, Divergent: 12}, false, "uncertainties: from 500 draws; in 12 the script took other steps\n"},
		{&result.Draws{Count: 500, Failed: 3}, false, "uncertainties: from 500 draws; in 3 the script ended in an error\n"},
		{&result.Draws{Count: 500, NoScatter: 1}, false, "uncertainties: from 500 draws; the scatter of 1 reading" + unknown},
		{&result.Draws{Count: 500, FarScatter: 2}, false, "uncertainties: from 500 draws; how 2 readings would scatter is concluded from other luminances, on the safe side, " +
			"so these uncertainties may be far too large: take each of them twice or more, or state the meter's noise at some levels in the bench file ([meter.accuracy], noise)\n"},
		{&result.Draws{Count: 500, Failed: 3, NoScatter: 12}, false, "uncertainties: from 500 draws; in 3 the script ended in an error; the scatter of 12 readings" + unknown},
	} {
		r := result.New()
		r.SetDraws(tt.draws)
		var out strings.Builder
		if err := Terminal(&out, r, Options{Width: 400, Budget: tt.budget}); err != nil {
			t.Fatal(err)
		}
		if out.String() != tt.want {
			t.Errorf("%+v, budget %v: got %q, want %q", tt.draws, tt.budget, out.String(), tt.want)
		}
	}
}

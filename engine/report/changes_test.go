package report

import (
	"bytes"
	"testing"

	"github.com/google/go-cmp/cmp"

	"candelua/engine/result"
)

func TestChanges(t *testing.T) {
	results := func(values ...result.Value) *result.Results {
		r := result.New()
		for _, v := range values {
			if _, err := r.Value(v); err != nil {
				t.Fatal(err)
			}
		}
		return r
	}
	num := func(f float64) *float64 { return &f }
	before := results(
		result.Value{Name: "Gone", Value: num(1), Unit: "%"},
		result.Value{Name: "Peak", Value: num(612.4), Unit: "cd/m2", U: num(0.3)},
		result.Value{Name: "Same", Value: num(2.5)},
		result.Value{Name: "Word", Text: "a text of more than sixteen"},
		result.Value{Name: "Other unit", Value: num(1), Unit: "%"},
		result.Value{Name: "Black", Value: num(0.01), Unit: "cd/m2", Bound: result.Upper},
		result.Value{Name: "Crush", Value: num(2)},
	)
	after := results(
		result.Value{Name: "Peak", Value: num(598.02), Unit: "cd/m2"},
		result.Value{Name: "Same", Value: num(2.5)},
		result.Value{Name: "Word", Text: "short"},
		result.Value{Name: "New", Value: num(3)},
		result.Value{Name: "Other unit", Value: num(2)},
		result.Value{Name: "Black", Unit: "cd/m2"},
		result.Value{Name: "Crushed steps", Value: num(3), Formerly: []string{"crushing", "crush"}},
	)
	var b bytes.Buffer
	if err := Changes(&b, before, after, Options{}); err != nil {
		t.Fatal(err)
	}
	want := `value          before            ± u     after   change  unit
Peak           612.40            ± 0.30  598.02  -14.4   cd/m2
Same             2.5                       2.5
Word           a text of more …          short
New            -                           3
Other unit       1                         2
Black          < 0.01                    -               cd/m2
Crushed steps    2                         3     +1
Gone             1                       -               %
`
	if d := cmp.Diff(want, b.String()); d != "" {
		t.Errorf("%s\n%s", d, b.String())
	}
	b.Reset()
	if err := Changes(&b, result.New(), result.New(), Options{}); err != nil || b.Len() > 0 {
		t.Errorf("nothing is shown as %q, %v", b.String(), err)
	}
}

// The budget is that of the value as it is now.
func TestChangesWithBudget(t *testing.T) {
	results := func(y, u float64, draws *result.Draws) *result.Results {
		r := result.New()
		budget := []result.Part{{Of: "scale", U: u, Share: 1}}
		if _, err := r.Value(result.Value{Name: "Peak", Value: &y, U: &u, Unit: "cd/m2", Budget: budget}); err != nil {
			t.Fatal(err)
		}
		r.SetDraws(draws)
		return r
	}
	draws := &result.Draws{Count: 200}
	for _, c := range []struct {
		budget bool
		want   string
	}{
		{false, ""},
		{true, "    u is made of scale 0.35 (100 % of u²)\n\nuncertainties: from 200 draws\n"},
	} {
		var b bytes.Buffer
		if err := Changes(&b, results(612.4, 0.3, draws), results(598.02, 0.35, draws), Options{Budget: c.budget}); err != nil {
			t.Fatal(err)
		}
		want := "value  before  ± u     after   ± u     change  unit\nPeak   612.40  ± 0.30  598.02  ± 0.35  -14.4   cd/m2\n" + c.want
		if d := cmp.Diff(want, b.String()); d != "" {
			t.Errorf("%s\n%s", d, b.String())
		}
	}
}

package draw

import (
	"errors"
	"math"
	"slices"
	"testing"
)

func TestPlan(t *testing.T) {
	got := Plan(Of(Scatter, Scale, Digit))
	if want := []Set{Of(Scatter, Scale, Digit), Of(Scatter), Of(Scale), Of(Digit)}; !slices.Equal(got, want) {
		t.Errorf("plan is %v, want %v", got, want)
	}
	if got := Plan(0); !slices.Equal(got, []Set{0}) {
		t.Errorf("plan of nothing is %v", got)
	}
}

// drawnValue is a value that follows from one full reading.
func drawnValue(r Reading, set Set, n int, of func(XYZ) float64) []float64 {
	return numbers(n, func(i int) float64 { return of(r.Draw(set, i).Apply(r.Mean)) })
}

// The parts are the stated sizes: scale 1 % of 99.998, a digit 0.05/√3, dark
// and drift 0.002 each; by drawing alone and by regression.
func TestBudgets(t *testing.T) {
	r := fullReading()
	r.Scatter, _ = ScatterOf([]XYZ{r.Mean}, Taken{Repeatability: 0.3})
	r.Accuracy.Dark = 0.4
	light := func(a XYZ) float64 { return a.Y }
	want := map[Component]float64{Scale: 0.01 * r.Mean.Y, Scatter: 0.003 * r.Mean.Y, Digit: 0.05 / math.Sqrt(3), DarkLevel: 0.4, Drift: 0.002, Chroma: 0}
	squares := 0.
	for _, u := range want {
		squares += u * u
	}
	var alone []Alone
	for _, set := range Plan(All)[1:] {
		alone = append(alone, Alone{set.Components()[0], drawnValue(r, set, 4000, light)})
	}
	b, err := BudgetOf(r.Mean.Y, alone)
	if err != nil || len(b.Parts) != 6 || b.Parts[0].Component != Scale || math.Abs(b.Together/math.Sqrt(squares)-1) > 0.04 {
		t.Fatalf("budget is %+v, %v; together %v", b, err, math.Sqrt(squares))
	}
	for _, p := range b.Parts {
		if u := want[p.Component]; math.Abs(p.U-u) > 0.04*u || math.Abs(p.Share-u*u/squares) > 0.03 {
			t.Errorf("part of %v is %+v, want u %v, share %v", p.Component, p, u, u*u/squares)
		}
	}
	e, err := Explain(r.Mean.Y, drawnValue(r, All, 4000, light), append(r.Causes(), r.Causes()...), Scatter)
	if err != nil || len(e.Parts) != 5 {
		t.Fatalf("explained as %+v, %v", e, err)
	}
	want[Scatter] = math.Hypot(want[Scatter], want[Digit])
	for _, p := range e.Parts {
		// 2/√4000 of u is 3 %.
		if u := want[p.Component]; math.Abs(p.U-u) > 0.032*math.Sqrt(squares) {
			t.Errorf("explained part of %v is %+v, want u %v", p.Component, p, u)
		}
	}
}

// A chromaticity has nothing from the scale, and half of a square's part is
// out of proportion and goes to the rest.
func TestExplainWhatDoesNotFollow(t *testing.T) {
	r := fullReading()
	r.Scatter = MeanScatter{}
	square := drawnValue(r, Of(Scale), 2000, func(a XYZ) float64 { return math.Pow(a.Y-r.Mean.Y, 2) })
	square[7] = math.NaN()
	e, err := Explain(0, square, r.Causes(), Scatter)
	if err != nil || e.Parts[0].Component != Scatter || e.Parts[0].Share < 0.98 {
		t.Errorf("a square is explained as %+v, %v", e, err)
	}
	same, err := Explain(1, make([]float64, 500), r.Causes(), Scatter)
	if err != nil || same.Together != 0 || same.Parts[0].Share != 0 {
		t.Errorf("nothing is explained as %+v, %v", same, err)
	}
}

func TestBudgetsRefuse(t *testing.T) {
	few := make([]float64, 50)
	if _, err := BudgetOf(0, []Alone{{Scale, few}}); !errors.Is(err, ErrTooFew) {
		t.Errorf("budget of few draws: %v", err)
	}
	if _, err := Explain(0, few, nil, Scatter); !errors.Is(err, ErrTooFew) {
		t.Errorf("few draws explained: %v", err)
	}
	many := []Cause{{Scale, NewKey("scale"), 40}}
	_, err := Explain(0, make([]float64, 119), many, Scatter)
	if want := "too few draws: 119 with a value for 40 numbers of shared causes, want three times as many"; !errors.Is(err, ErrTooFew) || err.Error() != want {
		t.Errorf("many causes explained: %v, want %s", err, want)
	}
	if b, err := BudgetOf(0, []Alone{{Scale, make([]float64, 100)}}); err != nil || b.Together != 0 || b.Parts[0].Share != 0 {
		t.Errorf("budget of nothing is %+v, %v", b, err)
	}
}

func TestCauses(t *testing.T) {
	r := fullReading()
	if got := len(r.Causes()); got != 4 {
		t.Errorf("%d causes, want 4", got)
	}
	r.Colour = false
	if got := r.Causes(); len(got) != 3 || got[1].Numbers != 1 {
		t.Errorf("causes without colour are %+v", got)
	}
	r.Hours = 0
	r.Accuracy.Scale = 0
	if got := r.Causes(); len(got) != 1 || got[0].Component != DarkLevel {
		t.Errorf("causes are %+v", got)
	}
}

func TestAgreement(t *testing.T) {
	draws := make([]string, 1000)
	for i := range draws {
		draws[i] = "pass"
		switch {
		case i%10 == 0:
			draws[i] = "fail"
		case i%10 == 1:
			draws[i] = ""
		case i%50 == 2:
			draws[i] = "not_evaluated"
		}
	}
	a, err := AgreementOf("pass", draws)
	if want := []Count{{"", 100}, {"fail", 100}, {"not_evaluated", 20}}; err != nil || a.Share != 0.78 || !slices.Equal(a.Others, want) || a.Draws != 1000 {
		t.Errorf("agreement is %+v, %v", a, err)
	}
	if _, err := AgreementOf("pass", draws[:99]); !errors.Is(err, ErrTooFew) || err.Error() != "too few draws: 99, want 100 or more" {
		t.Errorf("error is %v", err)
	}
}

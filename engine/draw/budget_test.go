package draw

import (
	"errors"
	"math"
	"reflect"
	"testing"
)

// drawnValue is a value that follows from one full reading.
func drawnValue(r Reading, n int, of func(XYZ) float64) []float64 {
	return numbers(n, func(i int) float64 { return of(r.draw(i).Apply(r.Mean)) })
}

// The parts are the stated sizes: scale 1 % of 99.998, a digit 0.05/√3, dark
// 0.4 and drift 0.002.
func TestBudgets(t *testing.T) {
	r := fullReading()
	r.scatter = meanScatter{dof: math.Inf(1)}
	r.scatter.root[0][0] = 0.003 * r.Mean.Y
	r.Accuracy.Dark = 0.4
	light := func(a XYZ) float64 { return a.Y }
	want := map[Component]float64{Scale: 0.01 * r.Mean.Y, Scatter: 0.003 * r.Mean.Y, typedDigit: 0.05 / math.Sqrt(3), DarkLevel: 0.4, Drift: 0.002, Chroma: 0}
	squares := 0.
	for _, u := range want {
		squares += u * u
	}
	e, err := Explain(r.Mean.Y, drawnValue(r, 4000, light), append(r.causes(), r.causes()...), Scatter)
	if err != nil || len(e.Parts) != 5 {
		t.Fatalf("explained as %+v, %v", e, err)
	}
	want[Scatter] = math.Hypot(want[Scatter], want[typedDigit])
	for _, p := range e.Parts {
		// 2/√4000 of u is 3 %.
		if u := want[p.Component]; math.Abs(p.U-u) > 0.032*math.Sqrt(squares) {
			t.Errorf("explained part of %v is %+v, want u %v", p.Component, p, u)
		}
	}
}

// TestExplainerKeepsDirections: an explainer gives each value the budget that it has alone, to the last digit,
// and computes what the causes drew once for each set of draws that gave a value, however many values there are. Beyond
// what it may keep it refuses.
func TestExplainerKeepsDirections(t *testing.T) {
	r := fullReading()
	e := NewExplainer(r.causes())
	for i := range 60 {
		draws := drawnValue(r, 300, func(a XYZ) float64 { return a.Y * float64(i+1) })
		for k := range i % 3 {
			draws[10*k] = math.NaN()
		}
		got, err := e.Explain(r.Mean.Y*float64(i+1), draws, Scatter)
		want, err2 := Explain(r.Mean.Y*float64(i+1), draws, r.causes(), Scatter)
		if err != nil || err2 != nil || !reflect.DeepEqual(got, want) {
			t.Fatalf("value %d: %+v, %v; alone %+v, %v", i, got, err, want, err2)
		}
	}
	if len(e.known) != 3 {
		t.Errorf("the causes were computed %d times for 3 sets of draws", len(e.known))
	}
	e.kept = mostKept
	draws := drawnValue(r, 300, func(a XYZ) float64 { return a.Y })
	if _, err := e.Explain(r.Mean.Y, draws, Scatter); err != nil {
		t.Errorf("a set that is known: %v", err)
	}
	draws[5] = math.NaN()
	if _, err := e.Explain(r.Mean.Y, draws, Scatter); !errors.Is(err, ErrManySets) || len(e.known) != 3 {
		t.Errorf("one set too many: %v", err)
	}
}

// A chromaticity has nothing from the scale, and half of a square's part is
// out of proportion and goes to the rest.
func TestExplainWhatDoesNotFollow(t *testing.T) {
	r := fullReading()
	r.scatter = meanScatter{}
	square := drawnValue(only(r, Scale), 2000, func(a XYZ) float64 { return math.Pow(a.Y-r.Mean.Y, 2) })
	square[7] = math.NaN()
	e, err := Explain(0, square, r.causes(), Scatter)
	if err != nil || e.Parts[0].Component != Scatter || e.Parts[0].Share < 0.98 {
		t.Errorf("a square is explained as %+v, %v", e, err)
	}
	same, err := Explain(1, make([]float64, 500), r.causes(), Scatter)
	if err != nil || same.Together != 0 || same.Parts[0].Share != 0 {
		t.Errorf("nothing is explained as %+v, %v", same, err)
	}
}

func TestBudgetsRefuse(t *testing.T) {
	few := make([]float64, 50)
	if _, err := Explain(0, few, nil, Scatter); !errors.Is(err, ErrTooFew) {
		t.Errorf("few draws explained: %v", err)
	}
	many := []Cause{{Scale, NewKey("scale"), 40}}
	_, err := Explain(0, make([]float64, 119), many, Scatter)
	if want := "too few draws: 119 gave a value; at least 120 are needed to tell the shared causes of error apart"; !errors.Is(err, ErrTooFew) || err.Error() != want {
		t.Errorf("many causes explained: %v, want %s", err, want)
	}
}

func TestCauses(t *testing.T) {
	r := fullReading()
	if got := len(r.causes()); got != 4 {
		t.Errorf("%d causes, want 4", got)
	}
	r.Accuracy.Gain, r.Keys.Gain = 2, NewKey("gain")
	if got := r.causes(); len(got) != 5 || got[1] != (Cause{Gain, r.Keys.Gain, 1}) {
		t.Errorf("causes with a correction are %+v", got)
	}
	r.Colour, r.Accuracy.Gain = false, 0
	if got := r.causes(); len(got) != 3 || got[1].numbers != 1 {
		t.Errorf("causes without colour are %+v", got)
	}
	r.Hours = 0
	r.Accuracy.Scale = 0
	if got := r.causes(); len(got) != 1 || got[0].component != DarkLevel {
		t.Errorf("causes are %+v", got)
	}
}

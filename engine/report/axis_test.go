package report

import (
	"math"
	"slices"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
	"pgregory.net/rapid"
)

func TestAxis(t *testing.T) {
	near := cmpopts.EquateApprox(1e-12, 1e-15)
	for _, c := range []struct {
		values []float64
		log    bool
		want   []float64
	}{
		{[]float64{198, 813}, false, []float64{0, 200, 400, 600, 800, 1000}},
		{[]float64{0, 1}, false, []float64{0, 0.2, 0.4, 0.6, 0.8, 1}},
		{[]float64{-3, 3}, false, []float64{-3, -2, -1, 0, 1, 2, 3}},
		{[]float64{5, 5}, false, []float64{2, 3, 4, 5, 6, 7, 8}},
		{[]float64{4, math.Nextafter(4, 5)}, false, []float64{2, 3, 4, 5, 6}}, // no tick lies between them
		{[]float64{0}, false, []float64{-0.001, -0.0005, 0, 0.0005, 0.001}},
		{[]float64{95, 100}, false, []float64{95, 96, 97, 98, 99, 100}},
		{[]float64{1, 100}, true, []float64{1, 2, 5, 10, 20, 50, 100}},
		{[]float64{0.3, 40}, true, []float64{1, 10}}, // 0.2, 0.5 to 50 would be eight
		{[]float64{5, 5}, true, []float64{2, 5, 10}},
		{[]float64{1e-5, 1e3}, true, []float64{1e-5, 1e-3, 0.1, 10, 1000}},
	} {
		got := newAxis(c.values, c.log, 7)
		if diff := cmp.Diff(c.want, got.ticks, near); diff != "" {
			t.Errorf("%v: %s", c.values, diff)
		}
	}
}

// All values lie on their axis, in order, and the ticks too.
func TestAxisHoldsItsValues(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		log := rapid.Bool().Draw(t, "log")
		number := rapid.Float64Range(-1e6, 1e6)
		if log {
			number = rapid.Map(rapid.Float64Range(-9, 9), func(e float64) float64 { return math.Pow(10, e) })
		}
		values := rapid.SliceOfN(number, 1, 10).Draw(t, "values")
		a := newAxis(values, log, 7)
		slices.Sort(values)
		last := math.Inf(-1)
		for _, v := range append(values, a.ticks[len(a.ticks)-1]) {
			at := a.at(v)
			if math.IsNaN(at) || at < -1e-9 || at > 1+1e-9 {
				t.Fatalf("%v lies at %v of %v to %v", v, at, a.low, a.high)
			}
			if v != a.ticks[len(a.ticks)-1] && at < last {
				t.Fatalf("%v lies at %v, below %v", v, at, last)
			}
			last = at
		}
		if len(a.ticks) < 1 || len(a.ticks) > 8 {
			t.Fatalf("ticks are %v", a.ticks)
		}
	})
}

func TestRounding(t *testing.T) {
	for _, c := range []struct{ v, down, up float64 }{
		{1, 1, 1}, {1.5, 1, 2}, {2, 2, 2}, {3, 2, 5}, {5, 5, 5}, {7, 5, 10}, {0.03, 0.02, 0.05}, {990, 500, 1000},
	} {
		if d, u := roundDown(c.v), roundUp(c.v); math.Abs(d/c.down-1) > 1e-9 || math.Abs(u/c.up-1) > 1e-9 {
			t.Errorf("%v is rounded to %v and %v, want %v and %v", c.v, d, u, c.down, c.up)
		}
	}
}

package uncertainty_test

import (
	"context"
	"fmt"
	"math"
	"testing"

	"candelua/engine/draw"
	"candelua/engine/result"
	"candelua/engine/uncertainty"
)

// script is a script in Go: it records what it computes from two readings, at the steps 1 and 2.
type script func(r *result.Results, a, b float64) (ends bool)

// Probe executes the script on 100 and 50, moved.
func (s script) Probe(_ context.Context, moves map[int]draw.Move) (*result.Results, error) {
	r := result.New()
	if s(r, moved(100, moves[1]), moved(50, moves[2])) {
		return nil, nil
	}
	return r, nil
}

func moved(x float64, by draw.Move) float64 {
	if by.To != nil {
		return *by.To
	}
	return x * (1 + by.Share)
}

func number(r *result.Results, name string, x float64) {
	if _, err := r.Value(result.Value{Name: name, Value: &x}); err != nil {
		panic(err)
	}
}

func TestHang(t *testing.T) {
	s := script(func(r *result.Results, a, b float64) bool {
		number(r, "a", a)
		number(r, "b", b)
		number(r, "ratio", a/b)
		number(r, "rounded a", math.Round(a))
		number(r, "larger", max(a, b))
		if _, err := r.Value(result.Value{Name: "text of a", Text: fmt.Sprintf("%.0f nit", a)}); err != nil {
			panic(err)
		}
		if a == 100 {
			number(r, "only there", 1)
		}
		return false
	})
	base, err := s.Probe(t.Context(), nil)
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		steps []int
		hang  map[string]bool
	}{
		{[]int{1}, map[string]bool{"a": true, "ratio": true, "rounded-a": true, "larger": true, "text-of-a": true, "only-there": true}},
		{[]int{2}, map[string]bool{"b": true, "ratio": true}},
		{[]int{1, 2}, map[string]bool{"a": true, "b": true, "ratio": true, "rounded-a": true, "larger": true, "text-of-a": true, "only-there": true}},
		{nil, map[string]bool{}},
	} {
		h, err := uncertainty.Hang(t.Context(), s, base, c.steps)
		if err != nil || !h.Known() {
			t.Fatal(err, h)
		}
		for _, v := range base.Values() {
			if h.Value(v.ID) != c.hang[v.ID] {
				t.Errorf("steps %v: that %s hangs on them is %v", c.steps, v.ID, h.Value(v.ID))
			}
		}
	}
}

// Where the script takes other steps by the least change, nothing is known.
func TestHangOfOtherSteps(t *testing.T) {
	s := script(func(r *result.Results, a, _ float64) bool {
		number(r, "a", a)
		return a != 100
	})
	base, err := s.Probe(t.Context(), nil)
	if err != nil {
		t.Fatal(err)
	}
	if h, err := uncertainty.Hang(t.Context(), s, base, []int{1}); err != nil || h.Known() || h.Value("a") {
		t.Errorf("got %+v, %v", h, err)
	}
}

package builtins

import (
	"errors"
	"math"
	"testing"

	"candelua/engine/sandbox"
)

// The definition of Nadaraya and Watson, worked by hand.
func TestKernelMean(t *testing.T) {
	e := math.Exp(-1)
	for _, c := range []struct {
		script string
		want   []float64
	}{
		{`stats.kernel_mean { x = { 0, 2 }, values = { 1, 3 }, width = 2 }`, []float64{(1 + 3*e) / (1 + e), (3 + e) / (1 + e)}},
		{`stats.kernel_mean { x = { 0, 1 }, y = { 0, 2 }, z = { 0, 2 }, values = { 0, 1 }, width = 3 }`, []float64{e / (1 + e), 1 / (1 + e)}},
		{`stats.kernel_mean { x = { 0, 1e6 }, values = { 5, 7 }, width = 1 }`, []float64{5, 7}},
		{`stats.kernel_mean { x = {}, values = {}, width = 1 }`, nil},
	} {
		r := newRig()
		if err := r.play(t, "local m = "+c.script+"\nfor _, x in ipairs(m) do record.value { name = 'v' .. _, value = x } end"); err != nil {
			t.Fatal(err)
		}
		values := r.results.Values()
		if len(values) != len(c.want) {
			t.Fatalf("%s gives %d numbers, want %d", c.script, len(values), len(c.want))
		}
		for i, v := range values {
			if math.Abs(*v.Value-c.want[i]) > 1e-15*c.want[i] {
				t.Errorf("%s: number %d is %v, want %v", c.script, i+1, *v.Value, c.want[i])
			}
		}
	}
}

func TestKernelMeanRefuses(t *testing.T) {
	r := newRig()
	for body, want := range map[string]string{
		"stats.kernel_mean { x = { 1, 2 }, values = { 1 }, width = 1 }":                       "stats.kernel_mean: values has 1 number; it must have 2, as many as x",
		"stats.kernel_mean { x = { 1, 2 }, y = { 1 }, values = { 1, 2 }, width = 1 }":         "stats.kernel_mean: y has 1 number; it must have 2, as many as x",
		"stats.kernel_mean { x = { 1 }, y = { 1 }, z = { 1, 2 }, values = { 1 }, width = 1 }": "stats.kernel_mean: z has 2 numbers; it must have 1, as many as x",
		"stats.kernel_mean { x = { 1, 2 }, values = { 1, 2 }, width = 0 }":                    "stats.kernel_mean: width is 0; it must be more than 0",
		"stats.kernel_mean { x = { 1, 2 }, values = { 1, 2 } }":                               "stats.kernel_mean: width is missing; it must be more than 0",
		"stats.kernel_mean { x = { 1, 0/0 }, values = { 1, 2 }, width = 1 }":                  "stats.kernel_mean: x[2] is nan; it must be a finite number",
	} {
		r.fails(t, body, want)
	}
	err := r.play(t, "local t = {} for i = 1, 1e5 do t[i] = i end stats.kernel_mean { x = t, values = t, width = 1 }")
	if !errors.Is(err, sandbox.ErrBudget) {
		t.Errorf("a hundred thousand points end with %v", err)
	}
}

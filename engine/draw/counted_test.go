package draw

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/stat/distuv"
	"pgregory.net/rapid"
)

// drawsOf repeats each value as often as said.
func drawsOf(times map[float64]int) (draws []float64) {
	for y, n := range times {
		for range n {
			draws = append(draws, y)
		}
	}
	return draws
}

func TestCounted(t *testing.T) {
	for _, c := range []struct {
		name      string
		v         Value
		low, high float64
	}{
		{"a count", Value{Estimate: 2, Draws: drawsOf(map[float64]int{1: 100, 2: 300, 3: 100}), Linear: math.NaN()}, 1, 3},
		{"a value in less than one of a hundred draws", Value{Estimate: 2, Draws: drawsOf(map[float64]int{2: 498, 3: 2}), Linear: math.NaN()}, 2, 2},
		{"and in more", Value{Estimate: 2, Draws: drawsOf(map[float64]int{2: 490, 3: 10}), Linear: math.NaN()}, 2, 3},
		{"an estimate that no draw has", Value{Estimate: 5, Draws: drawsOf(map[float64]int{2: 250, 3: 250}), Linear: math.NaN()}, 2, 5},
		{"listed windows", Value{Estimate: 4, Draws: drawsOf(map[float64]int{1: 20, 4: 400, 10: 80}), Linear: math.NaN()}, 1, 10},
		{"a share", Value{Estimate: 100. / 3, Draws: drawsOf(map[float64]int{0: 50, 100. / 3: 400, 200. / 3: 50}), Linear: math.NaN(), Percent: true}, 0, 200. / 3},
		{"the same throughout, beside the estimate", Value{Estimate: 3, Draws: drawsOf(map[float64]int{4: 500}), Linear: math.NaN()}, 3, 4},
	} {
		u, err := c.v.Evaluate()
		if err != nil || u.Method != Counted || math.Abs(u.Low-c.low) > 1e-9 || math.Abs(u.High-c.high) > 1e-9 || u.Bias != 0 {
			t.Errorf("%s: %+v, %v; want %v to %v", c.name, u, err, c.low, c.high)
		}
	}
}

// What has as many values as draws, or but one that is frequent, is not counted.
func TestNotCounted(t *testing.T) {
	normal := even(500, distuv.UnitNormal.Quantile)
	clipped := numbers(500, func(i int) float64 { return math.Max(normal[i], 1.5) })
	many := numbers(500, func(i int) float64 { return math.Round(1000 * normal[i]) })
	fine := numbers(500, func(i int) float64 { return 480 + 1e-11*float64(i) })
	for name, draws := range map[string][]float64{"normal": normal, "clipped": clipped, "whole numbers far apart": many, "a spread as small as rounding": fine} {
		if u, err := Evaluate(draws[250], draws); err != nil || u.Method == Counted {
			t.Errorf("%s: %+v, %v", name, u, err)
		}
	}
}

// Of sixteen places near their threshold all may be on one side. The draws of each are
// what a probability p makes them, with p as likely as any other: their variance is 16/6.
func TestCountOfPlacesAtTheirThreshold(t *testing.T) {
	k := NewKey("places")
	draws := numbers(500, func(j int) (n float64) {
		for i := range 16 {
			if k.Number(i).uniform(j) < (float64(i)+0.5)/16 {
				n++
			}
		}
		return n
	})
	u, err := Value{Estimate: 8, Draws: draws, Linear: 0.5}.Evaluate()
	if err != nil || u.Low != 0 || u.High != 16 {
		t.Errorf("%+v, %v; want 0 to 16", u, err)
	}
	for name, linear := range map[string]float64{"rounded": 0.95, "not known": math.NaN()} {
		if u, err := (Value{Estimate: 8, Draws: draws, Linear: linear}).Evaluate(); err != nil || u.Low < 2 || u.High > 14 {
			t.Errorf("%s: %+v, %v; want what the draws show", name, u, err)
		}
	}
}

// The interval of a count holds the estimate, ends at values that are possible, and is
// never negative where no draw is.
func TestCountedAlways(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		mean, sd := rapid.Float64Range(0, 6).Draw(t, "mean"), rapid.Float64Range(0.1, 3).Draw(t, "sd")
		step := rapid.SampledFrom([]float64{1, 0.25, 100. / 7}).Draw(t, "step")
		k := NewKey("counts").Number(rapid.Int().Draw(t, "key"))
		draws := numbers(300, func(j int) float64 { return step * math.Max(0, math.Round(mean+sd*k.normal(j))) })
		estimate := step * math.Round(mean)
		u, err := Value{Estimate: estimate, Draws: draws, Linear: rapid.Float64Range(0, 1).Draw(t, "linear")}.Evaluate()
		if err != nil || u.Method != Counted && u.Method != Constant {
			t.Fatalf("%+v, %v", u, err)
		}
		for _, end := range []float64{u.Low, u.High} {
			if steps := end / step; math.Abs(steps-math.Round(steps)) > 1e-6 || end < 0 {
				t.Fatalf("%+v ends between steps of %v, or below 0", u, step)
			}
		}
		if u.Low > estimate || u.High < estimate {
			t.Fatalf("%+v leaves the estimate out", u)
		}
	})
}

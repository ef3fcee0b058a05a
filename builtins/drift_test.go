package builtins

import (
	"math"
	"testing"

	"candelua/engine/bench"
)

func samplesOf(f func(t float64) float64) []sample {
	var s []sample
	for i := range 5 {
		t := float64(i) * 1.1
		s = append(s, sample{Began: t, Ended: t + 1, Y: f(t + 0.5)})
	}
	return s
}

func TestDrifts(t *testing.T) {
	steady := samplesOf(func(t float64) float64 { return 100 + 0.1*math.Sin(40*t) })
	falling := samplesOf(func(t float64) float64 { return 100 * (1 + 0.03*math.Exp(-t/1.8)) })
	sloping := samplesOf(func(t float64) float64 { return 100 + t })
	dim := samplesOf(func(t float64) float64 { return 0.1 + 0.005*math.Exp(-t) })
	late := samplesOf(func(t float64) float64 {
		if t < 1 {
			return 102
		}
		return 100
	})
	rough := samplesOf(func(t float64) float64 { return 10 + 0.2*math.Sin(40*t) })
	stated := bench.Identity{Accuracy: bench.Accuracy{Repeatability: 0.1}}
	floored := bench.Identity{Accuracy: bench.Accuracy{Repeatability: 0.1}, Floor: 0.005}
	for _, c := range []struct {
		name    string
		samples []sample
		known   bench.Identity
		want    bool
	}{
		{"steady, with a stated repeatability", steady, stated, false},
		{"steady", steady, bench.Identity{}, false},
		{"settling, with a stated repeatability", falling, stated, true},
		{"settling, with a poor meter", falling, bench.Identity{Accuracy: bench.Accuracy{Repeatability: 2}}, false},
		{"sloping", sloping, bench.Identity{}, true},
		{"dim, by the repeatability alone", dim, stated, true},
		{"dim, within the meter's floor", dim, floored, false},
		{"settling, with a floor", falling, floored, true},
		{"the first before it was lit", late, stated, true},
		{"rough, by more than is stated", rough, bench.Identity{Accuracy: bench.Accuracy{Repeatability: 0.01}}, false},
		{"too few to tell", sloping[:4], stated, false},
		{"black", samplesOf(func(float64) float64 { return 0 }), stated, false},
	} {
		if got := drifts(c.samples, c.known); got != c.want {
			t.Errorf("%s: drifts is %v, want %v", c.name, got, c.want)
		}
	}
}

// Second differences of a straight line are nothing; of one step up among n
// numbers they are 1, -2 and 1, so that s² is 6/(6 (n - 2)).
func TestRoughness(t *testing.T) {
	if got := roughness([]float64{1, 3, 5, 7, 9}); got != 0 {
		t.Errorf("of a straight line: %v", got)
	}
	if got, want := roughness([]float64{0, 0, 1, 0, 0}), math.Sqrt(1./3); !near(got, want, 1e-12) {
		t.Errorf("of one that stands out: %v, want %v", got, want)
	}
}

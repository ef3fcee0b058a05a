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
	stated := bench.Accuracy{Repeatability: 0.1}
	for _, c := range []struct {
		name    string
		samples []sample
		known   bench.Accuracy
		want    bool
	}{
		{"steady, with a stated repeatability", steady, stated, false},
		{"steady", steady, bench.Accuracy{}, false},
		{"settling, with a stated repeatability", falling, stated, true},
		{"settling, with a poor meter", falling, bench.Accuracy{Repeatability: 2}, false},
		{"sloping", sloping, bench.Accuracy{}, true},
		{"too few to tell", sloping[:4], stated, false},
		{"black", samplesOf(func(float64) float64 { return 0 }), stated, false},
	} {
		if got := drifts(c.samples, c.known); got != c.want {
			t.Errorf("%s: drifts is %v, want %v", c.name, got, c.want)
		}
		if got := average(c.samples, c.known).Flags.Drifting; got != c.want {
			t.Errorf("%s: the flag is %v, want %v", c.name, got, c.want)
		}
	}
}

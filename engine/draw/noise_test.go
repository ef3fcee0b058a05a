package draw

import (
	"math"
	"testing"
)

// What the noise goes with: 1/t, Y/t and Y². Of whatever has no time it is that of 1 s,
// so that readings that say how long they took and readings that do not are known beside
// each other; what is darker than dark, by chance, is dark.
func TestPowersOfLight(t *testing.T) {
	for _, c := range []struct {
		light light
		want  noise
	}{
		{light{10, 0.5}, noise{2, 20, 100}},
		{light{10, 4}, noise{0.25, 2.5, 100}},
		{light{10, 0}, noise{1, 10, 100}},
		{light{0.5, 1}, noise{1, 0.5, 0.25}},
		{light{-0.1, 2}, noise{0.5, 0, 0}},
	} {
		if got := c.light.powers(); got != c.want {
			t.Errorf("%+v: got %v, want %v", c.light, got, c.want)
		}
	}
}

// The fit knows no unit: of a black and of a torch it finds the same shape. What it
// finds of a meter's counting is its law, in the dark too.
func TestNoiseInOtherUnits(t *testing.T) {
	seen := func(unit float64, variance func(level float64) float64) []levelled {
		var all []levelled
		for level, i := 0.5, 0; level < 300; level, i = level*1.5, i+1 {
			s := levelled{spread{dof: 4}, light{level * unit, 0}}
			s.cov[0][0] = unit * unit * variance(level) * (1 + 0.3*math.Sin(float64(i)))
			all = append(all, s)
		}
		return all
	}
	for name, variance := range map[string]func(level float64) float64{
		"all three": func(level float64) float64 { return 1e-4 + 1e-4*level + 1e-6*level*level },
		"counting":  func(level float64) float64 { return 1e-4 * level },
		"no change": func(float64) float64 { return 1e-4 },
		"a gain":    func(level float64) float64 { return 1e-6 * level * level },
	} {
		want := noiseOf(seen(1, variance))
		for _, unit := range []float64{1e-5, 1e5} {
			got := noiseOf(seen(unit, variance))
			for _, level := range []float64{0.5, 20, 300} {
				a, b := want.times(light{level, 0}, light{5, 0}), got.times(light{level * unit, 0}, light{5 * unit, 0})
				if !(math.Abs(a/b-1) < 1e-6) {
					t.Errorf("%s, in units of %v: at %v readings scatter %v times as much as at 5, want %v", name, unit, level, b, a)
				}
			}
		}
		for _, level := range []float64{0.5, 300} {
			if got, known := want.times(light{level, 0}, light{5, 0}), math.Sqrt(variance(level)/variance(5)); !(math.Abs(got/known-1) < 0.2) {
				t.Errorf("%s: at %v readings scatter %v times as much as at 5, want %v", name, level, got, known)
			}
		}
	}
}

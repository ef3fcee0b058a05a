package draw

import (
	"math"
	"math/rand/v2"
	"testing"
)

// What is stated at some levels is what it is there, and on the safe side elsewhere: nowhere
// below a variance of three terms through the same levels.
func TestStatedIsOnTheSafeSide(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	for range 200 {
		var terms [3]float64
		for k, size := range []float64{1e-3, 1e-3, 1e-3} {
			if r.IntN(3) > 0 {
				terms[k] = size * size * math.Exp(4*r.NormFloat64())
			}
		}
		sigma := func(level float64) float64 { return math.Sqrt(terms[0] + terms[1]*level + terms[2]*level*level) }
		var s StatedScatter
		for _, level := range []float64{0, 0.1, 3, 40}[r.IntN(2):] {
			s.Noise = append(s.Noise, NoiseAt{level, sigma(level), 0.5})
		}
		for _, at := range s.Noise {
			if got, _ := s.luminance(at.Level); math.Abs(got-at.Noise) > 1e-12*at.Noise {
				t.Errorf("at %v cd/m2 it is %v, and was stated as %v", at.Level, got, at.Noise)
			}
		}
		for level := 1e-4; level < 1e4; level *= 1.7 {
			if got, _ := s.luminance(level); got < sigma(level)*(1-1e-9) {
				t.Errorf("at %v cd/m2 it is %v, and %v in truth; of %v", level, got, sigma(level), s.Noise)
			}
		}
	}
}

// What X, Y and Z have in common is stated: of Y, what is stated.
func TestStatedChannels(t *testing.T) {
	for _, c := range []struct {
		common, correlation, x float64 // of X and Y; of X/95
	}{{0, 0, 1 / math.Sqrt(0.95)}, {0.5, 0.5 / math.Sqrt(0.5+0.5/0.95), math.Sqrt(0.5 + 0.5/0.95)}, {1, 1, 1}} {
		s := StatedScatter{Noise: []NoiseAt{{100, 0.2, c.common}}}
		got := s.at(XYZ{95, 100, 109})
		y, x := got.luminance(), math.Sqrt(got.cov[1][1])
		dark := math.Sqrt((1 - c.common) * 0.04) // one level: all of its own is of the dark
		want := math.Sqrt(c.common*0.04*0.95*0.95 + dark*dark)
		if math.Abs(y-0.2) > 1e-12 || math.Abs(x-want) > 1e-12 {
			t.Errorf("common %v: Y scatters by %v, X by %v; want 0.2 and %v", c.common, y, x, want)
		}
		s.Noise = []NoiseAt{{0, 0, 0}, {100, 0.2, c.common}}
		got = s.at(XYZ{95, 100, 109})
		if x := math.Sqrt(got.cov[1][1]) / 0.95 / 0.2; math.Abs(x-c.x) > 1e-9 {
			t.Errorf("common %v, counting: X scatters by %v of its share, want %v", c.common, x, c.x)
		}
		if r := got.cov[0][1] / math.Sqrt(got.cov[0][0]*got.cov[1][1]); math.Abs(r-c.correlation) > 1e-9 {
			t.Errorf("common %v: X and Y correlate by %v, want %v", c.common, r, c.correlation)
		}
	}
	// A light that is not clear of its noise has no colour to go by.
	dim := StatedScatter{Noise: []NoiseAt{{0, 0.001, 0.5}}}
	if x := math.Sqrt(dim.at(XYZ{0.004, 0.000001, 0.001}).cov[1][1]); math.Abs(x-0.001) > 1e-12 {
		t.Errorf("X of next to no light scatters by %v, want 0.001", x)
	}
	if s := (StatedScatter{}); s.says() {
		t.Error("nothing stated says something")
	}
}

// A statement that what was seen contradicts does not count; one that is too large does not where many
// readings say so.
func TestWithStated(t *testing.T) {
	of := func(variance, dof float64) (s spread) {
		s.cov[0][0], s.dof = variance, dof
		return s
	}
	for _, c := range []struct {
		name         string
		seen, stated spread
		want         known
	}{
		{"alike", of(2, 4), of(1, 12), known{20. / 16, 16}},
		{"nothing seen", spread{}, of(1, 12), known{1, 12}},
		{"far too small", of(5, 4), of(1, 12), known{5, 4}},
		{"far too large, by many", of(0.1, 9), of(1, 12), known{0.1, 9}},
		{"far too large, by two", of(1e-9, 1), of(1, 12), known{(1e-9 + 12) / 13, 13}},
		{"no noise stated", of(1, 2), of(0, 12), known{1, 2}},
	} {
		if got := withStated(c.seen, c.stated); math.Abs(got.variance/c.want.variance-1) > 1e-12 || got.dof != c.want.dof {
			t.Errorf("%s: %+v, want %+v", c.name, got, c.want)
		}
	}
	// t of 4, 12 and 30: 2.776, 2.179, 2.042 (JCGM 100, table G.2)
	for dof, want := range map[float64]float64{4: 2.776, 12: 2.179, 30: 2.042, math.Inf(1): 1.96} {
		if got := (known{4, dof}).width(); math.Abs(got/2/want-1) > 0.002 {
			t.Errorf("the half-width of %v degrees of freedom is %v, want %v", dof, got/2, want)
		}
	}
}

// TestZero: the measurement of the dark level scatters. Readings after the same one share its number, before
// the first there is none, and where nobody states it, it scatters as readings of the dark do.
func TestZero(t *testing.T) {
	s := &Sheet{}
	enter := func(step int, meter string, sitting int, stated StatedScatter) {
		y := []XYZ{{Y: 10}}
		s.Enter(step, 0, meter, y, Taken{Stated: stated}, Reading{Mean: y[0], Zeroed: sitting > 0,
			Keys: Keys{Zero: NewKey("zero").Text(meter).Number(sitting), Scatter: NewKey("scatter").Number(step)}})
	}
	noise := []NoiseAt{{0, 0.003, 0}, {10, 1e-6, 0}}
	for step, sitting := range []int{0, 1, 1, 2} {
		enter(step, "stated", sitting, StatedScatter{Noise: noise, Zero: 0.002})
		enter(10+step, "noise", sitting, StatedScatter{Noise: noise})
		enter(20+step, "nothing", sitting, StatedScatter{})
	}
	causes := map[Component]int{}
	for _, c := range s.Causes() {
		causes[c.component]++
	}
	if causes[Zero] != 4 {
		t.Errorf("there are %v, want 4 zeros: two sittings of two meters", causes)
	}
	size := func(step int) float64 {
		_, sd := moments(numbers(4000, func(i int) float64 { d, _ := s.Draw(step, 0, i); return d.Add.Y }))
		return sd
	}
	for step, want := range map[int]float64{0: 0, 1: 0.002, 3: 0.002, 10: 0, 11: 0.003 * math.Sqrt(12/10.), 20: 0, 21: 0} {
		if got := size(step); math.Abs(got-want) > 0.03*want+2e-6 {
			t.Errorf("reading %d moves by %v, want %v", step, got, want)
		}
	}
	for i := range 100 {
		a, _ := s.Draw(1, 0, i)
		b, _ := s.Draw(2, 0, i)
		c, _ := s.Draw(3, 0, i)
		if math.Abs(a.Add.Y-b.Add.Y) > 2e-5 || math.Abs(a.Add.Y-c.Add.Y) < 1e-9 {
			t.Errorf("draw %d: %v and %v of one sitting, %v of the next", i, a.Add.Y, b.Add.Y, c.Add.Y)
		}
	}
}

package draw

import (
	"math"
	"math/rand/v2"
	"testing"
)

// What the noise goes with: 1/t, Y/t and Y². Of whatever has no time it is that of 1 s,
// so that readings that say how long they took and readings that do not are known beside
// each other; what is darker than dark, by chance, is dark.
func TestTermsOfLight(t *testing.T) {
	for _, c := range []struct {
		light light
		want  [3]float64
	}{
		{light{10, 0.5}, [3]float64{2, 20, 100}},
		{light{10, 4}, [3]float64{0.25, 2.5, 100}},
		{light{10, 0}, [3]float64{1, 10, 100}},
		{light{0.5, 1}, [3]float64{1, 0.5, 0.25}},
		{light{-0.1, 2}, [3]float64{0.5, 0, 0}},
	} {
		if got := c.light.terms(); got != c.want {
			t.Errorf("%+v: got %v, want %v", c.light, got, c.want)
		}
	}
}

// seenOf are variances of four degrees of freedom each, as chance has them.
func seenOf(r *rand.Rand, levels []float64, variance func(light) float64, seconds func(float64) float64) (all []levelled) {
	for _, level := range levels {
		s := levelled{spread{dof: 4}, light{level, seconds(level)}}
		for range 4 {
			z := r.NormFloat64()
			s.cov[0][0] += variance(s.light) * z * z / 4
		}
		all = append(all, s)
	}
	return all
}

func ladder(from, to, by float64) (levels []float64) {
	for ; from < to; from *= by {
		levels = append(levels, from)
	}
	return levels
}

// TestNoise: a meter's noise is found from variances of four degrees of freedom
// each, whatever it is made of, and whether or not the meter integrates longer in the dark.
func TestNoise(t *testing.T) {
	for name, seconds := range map[string]func(level float64) float64{
		"nobody says":        func(float64) float64 { return 0 },
		"longer in the dark": func(level float64) float64 { return max(1, min(20, 1/max(level, 1e-9))) },
	} {
		for kind, of := range map[string][3]float64{"all three": {1e-6, 1e-5, 1e-6}, "counting": {0, 1e-4, 0}, "no change": {1e-4, 0, 0}, "a gain": {0, 0, 1e-6}} {
			r := rand.New(rand.NewPCG(9, 10))
			variance := func(l light) float64 { return (&shape{of: of}).variance(l.terms()) }
			got := noiseOf(seenOf(r, ladder(0.001, 1000, 1.03), variance, seconds), 0)
			for _, level := range []float64{0.01, 0.1, 1, 10, 100, 1000} {
				at := light{level, seconds(level)}
				if k, agreed := got.at(at); !(agreed && k.variance/variance(at) > 0.75 && k.variance/variance(at) < 1.33 && k.dof > 50) {
					t.Errorf("%s, %s: at %v cd/m2 the variance is %.2f of the true one, by %.0f degrees of freedom", name, kind, level, k.variance/variance(at), k.dof)
				}
			}
		}
	}
	if n := noiseOf([]levelled{{spread{dof: 4}, light{level: 100}}}, 0); len(n.shapes) > 0 || is(n, 1) != (known{}) {
		t.Errorf("of readings that do not scatter: %v", n)
	}
	if n := noiseOf(nil, 0); len(n.shapes) > 0 {
		t.Error("there is noise of no reading")
	}
}

func is(n noise, level float64) known {
	k, _ := n.at(light{level, 1})
	return k
}

// TestNoiseElsewhere: where a level was seen, it is known as well as it was seen. Of another one less
// is known, and far away only what a constant noise would have in the dark, and a gain in the light.
func TestNoiseElsewhere(t *testing.T) {
	seen := levelled{spread{dof: 4}, light{400, 1}}
	seen.cov[0][0] = 0.25
	n := noiseOf([]levelled{seen}, 0)
	if k := is(n, 400); math.Abs(k.variance/0.25-1) > 1e-6 || math.Abs(k.dof/4-1) > 1e-6 {
		t.Errorf("where it was seen it is %+v, want 0.25 by 4", k)
	}
	if k := is(n, 200); !(k.dof > 2 && k.dof < 3.9 && k.variance < 0.25 && k.variance > 0.25/4) {
		t.Errorf("at half of it it is %+v", k)
	}
	for _, level := range []float64{4, 0.04} { // a noise that is the same everywhere is a shape like others
		if k := is(n, level); !(k.dof == 4 && k.variance > 0.25*0.5 && k.variance <= 0.25*1.0000001) {
			t.Errorf("at %v cd/m2 it is %+v", level, k)
		}
	}
	if k := is(n, 40000); !(k.variance > 0.5*0.25*1e4 && k.variance <= 0.25*1.0000001e4) { // and so is a gain
		t.Errorf("at 100 times the light it is %+v", k)
	}
	// Whoever states a floor says what the dark has at most.
	if k := is(noiseOf([]levelled{seen}, 0.005), 0.04); !(k.variance > 0.003*0.003 && k.variance < 0.02*0.02) {
		t.Errorf("in the dark of a meter with a floor of 0.005 cd/m2 it is %+v", k)
	}
}

// TestDigamma: tables of the digamma and the trigamma function (M. Abramowitz and I. A. Stegun, Handbook of
// mathematical functions, tables 6.1 and 6.2 and 6.3.3, 6.4.4, from memory: psi(1) is minus Euler's constant, its slope π²/6;
// psi(1/2) = -γ - 2 ln 2, its slope π²/2).
func TestDigamma(t *testing.T) {
	const euler = 0.57721566490153286
	for x, want := range map[float64][2]float64{1: {-euler, math.Pi * math.Pi / 6}, 0.5: {-euler - 2*math.Ln2, math.Pi * math.Pi / 2}, 2: {1 - euler, math.Pi*math.Pi/6 - 1}} {
		psi, slope := digamma(x)
		if math.Abs(psi-want[0]) > 1e-9 || math.Abs(slope-want[1]) > 1e-9 {
			t.Errorf("at %v: %v and %v, want %v", x, psi, slope, want)
		}
		if got := trigammaInverse(want[1]); math.Abs(got-x) > 1e-6 {
			t.Errorf("the slope %v is at %v, want %v", want[1], got, x)
		}
	}
}

package builtins

import (
	"math"
	"testing"

	"candelua/engine/bench"
)

func near(got, want, tolerance float64) bool { return math.Abs(got-want) <= tolerance }

// The factor for few readings is Student's t for 68.27 %.
//
// Source: JCGM 100:2008, table G.2, column 68.27 %, by degrees of freedom
// (two decimals; 100: three). The values are from memory of the table.
func TestFewFactor(t *testing.T) {
	for degrees, want := range map[int]float64{
		1: 1.84, 2: 1.32, 3: 1.20, 4: 1.14, 5: 1.11, 6: 1.09, 7: 1.08, 8: 1.07, 9: 1.06, 10: 1.05,
		11: 1.05, 12: 1.04, 13: 1.04, 14: 1.04, 15: 1.03, 16: 1.03, 17: 1.03, 18: 1.03, 19: 1.03, 20: 1.03,
		25: 1.02, 30: 1.02, 35: 1.01, 40: 1.01, 45: 1.01, 50: 1.01,
	} {
		if got := fewFactor(degrees + 1); !near(got, want, 0.005) {
			t.Errorf("of %d degrees of freedom: %.4f, want %.2f", degrees, got, want)
		}
	}
	if got := fewFactor(101); !near(got, 1.005, 0.0005) {
		t.Errorf("of 100 degrees of freedom: %.4f, want 1.005", got)
	}
	// Exact: of one degree, t = tan(π(p - ½)) at the one-sided p of one sigma.
	if got, want := fewFactor(2), math.Tan(math.Pi*math.Erf(math.Sqrt2/2)/2); !near(got, want, 1e-9) {
		t.Errorf("of one degree of freedom: %v, want %v", got, want)
	}
	if fewFactor(200) != 1 || fewFactor(1000) != 1 {
		t.Error("many readings have a factor too")
	}
}

func coloured(x, y, z float64) sample { return sample{X: x, Y: y, Z: z, Colour: true} }

func TestAverage(t *testing.T) {
	samples := []sample{coloured(94, 99, 108), coloured(96, 101, 110), coloured(95, 100, 109)}
	samples[0].Began, samples[0].Ended, samples[2].Began, samples[2].Ended = 5, 6, 7, 9
	r := average(samples, bench.Accuracy{Repeatability: 50})
	if *r.X != 95 || r.Y != 100 || *r.Z != 109 || r.N != 3 || r.Began != 5 || r.Ended != 9 {
		t.Errorf("mean is %v %v %v of %d, %v to %v", *r.X, r.Y, *r.Z, r.N, r.Began, r.Ended)
	}
	// s = 1, so s/√3 times 1.32 of two degrees of freedom (JCGM 100, table G.2).
	for _, u := range []*float64{r.UX, r.UY, r.UZ} {
		if !near(*u, 1.32/math.Sqrt(3), 0.003) {
			t.Errorf("uncertainty is %v, want %v", *u, 1.32/math.Sqrt(3))
		}
	}
}

// Source: CIE 15:2004, table T.3, illuminant D65, 2 degree observer: X = 95.04,
// Y = 100, Z = 108.88; x = 0.3127, y = 0.3290, u' = 0.1978, v' = 0.4683.
func TestChromaticity(t *testing.T) {
	r := average([]sample{coloured(95.04, 100, 108.88)}, bench.Accuracy{})
	for name, c := range map[string][2]float64{"x": {*r.Cx, 0.3127}, "y": {*r.Cy, 0.3290}, "u'": {*r.U, 0.1978}, "v'": {*r.V, 0.4683}} {
		if !near(c[0], c[1], 0.00005) {
			t.Errorf("%s is %v, want %v", name, c[0], c[1])
		}
	}
	if r.Ucx != nil || r.UY != nil {
		t.Error("a single reading of a meter that states nothing has an uncertainty")
	}
	// Light adds: the mean's chromaticity is that of the mean light.
	two := average([]sample{coloured(95.04, 100, 108.88), coloured(0, 0, 0)}, bench.Accuracy{})
	if !near(*two.Cx, *r.Cx, 1e-15) || two.Ucx != nil {
		t.Errorf("with a dark reading x is %v, its uncertainty %v; want %v and none", *two.Cx, two.Ucx, *r.Cx)
	}
	spread := average([]sample{coloured(95, 100, 109), coloured(96, 100, 109), coloured(97, 100, 109)}, bench.Accuracy{})
	if spread.Ucx == nil || !(*spread.Ucx > 0) || spread.Ucy == nil || spread.Uu == nil || spread.Uv == nil {
		t.Error("scattered readings have no uncertainty of their chromaticity")
	}
	if dx := (97.0/306 - 95.0/304) / 2; !near(*spread.Ucx, 1.32*dx/math.Sqrt(3), 0.02*dx) {
		t.Errorf("uncertainty of x is %v, want about %v", *spread.Ucx, 1.32*dx/math.Sqrt(3))
	}
}

func TestAverageWithoutColour(t *testing.T) {
	for name, samples := range map[string][]sample{
		"no colour":      {{Y: 100}},
		"colour in part": {coloured(95, 100, 109), {Y: 100}},
	} {
		r := average(samples, bench.Accuracy{})
		if r.X != nil || r.Z != nil || r.Cx != nil || r.Y != 100 {
			t.Errorf("%s: %+v", name, r)
		}
	}
	for _, dark := range []sample{coloured(0, 0, 0), coloured(0.001, -0.001, 0.002)} {
		if r := average([]sample{dark}, bench.Accuracy{}); r.Cx != nil || r.X == nil {
			t.Errorf("darkness has the chromaticity %v", r.Cx)
		}
	}
	if r := average(nil, bench.Accuracy{}); r.N != 0 || r.UY != nil {
		t.Errorf("the mean of nothing is %+v", r)
	}
}

func TestSingleReading(t *testing.T) {
	r := average([]sample{coloured(40, 30, 20)}, bench.Accuracy{Repeatability: 1, Dark: 0.4})
	for name, c := range map[string][2]float64{"X": {*r.UX, math.Hypot(0.4, 0.4)}, "Y": {*r.UY, 0.5}, "Z": {*r.UZ, math.Hypot(0.2, 0.4)}} {
		if !near(c[0], c[1], 1e-12) {
			t.Errorf("u of %s is %v, want %v", name, c[0], c[1])
		}
	}
	noise := bench.Accuracy{Repeatability: 1, Noise: [][]float64{{0, 0.1}, {25, 0.2}, {100, 0.4}}}
	for level, want := range map[float64]float64{-0.1: 0.1, 0: 0.1, 25: 0.2, 50: 0.2 * math.Sqrt2, 200: 0.8} {
		if r := average([]sample{{Y: level}}, noise); r.UY == nil || math.Abs(*r.UY-want) > 1e-12 {
			t.Errorf("one of %v cd/m2, of which noise is stated: u_Y is %v, want %v", level, *r.UY, want)
		}
	}
	if r := average([]sample{{Y: 30}}, bench.Accuracy{Dark: 0.4}); r.UY != nil {
		t.Error("without a repeatability a single reading has an uncertainty")
	}
}

func TestFlags(t *testing.T) {
	all := []sample{{Flags: []bench.Flag{bench.BelowFloor, bench.Saturated}}, {Flags: []bench.Flag{bench.Underfilled}},
		{Flags: []bench.Flag{bench.Unsynchronised}}, {Flags: []bench.Flag{bench.Drifting}}, {Flags: []bench.Flag{bench.Unvarying}}}
	if f := average(all, bench.Accuracy{}).Flags; f != (Flags{true, true, true, true, true, true}) {
		t.Errorf("flags are %+v", f)
	}
	if f := average(all[1:2], bench.Accuracy{}).Flags; f != (Flags{Underfilled: true}) {
		t.Errorf("flags are %+v", f)
	}
}

func TestMeanSpectrum(t *testing.T) {
	of := func(from float64, values ...float64) sample {
		return sample{Spectrum: &bench.Spectrum{From: from, Step: 5, Values: values}}
	}
	r := average([]sample{of(380, 1, 2), of(380, 3, 6)}, bench.Accuracy{})
	if r.Spec == nil || r.Spec.From != 380 || r.Spec.Step != 5 || r.Spec.Values[0] != 2 || r.Spec.Values[1] != 4 {
		t.Errorf("spectrum is %+v", r.Spec)
	}
	for _, odd := range []sample{of(390, 1, 2), of(380, 1), {}} {
		if r := average([]sample{of(380, 1, 2), odd}, bench.Accuracy{}); r.Spec != nil {
			t.Errorf("spectra of different shape have the mean %+v", r.Spec)
		}
	}
	if r := average([]sample{{}, of(380, 1)}, bench.Accuracy{}); r.Spec != nil {
		t.Error("a spectrum was made up")
	}
}

func TestSettledMean(t *testing.T) {
	list := func(values ...float64) (out []sample) {
		for _, y := range values {
			out = append(out, sample{Y: y})
		}
		return out
	}
	// s = 1 of five, so the standard error is 1/√5 times 1.14 = 0.51.
	five := list(100-math.Sqrt2, 100, 100, 100, 100+math.Sqrt2)
	for _, c := range []struct {
		samples        []sample
		percent, floor float64
		want           bool
	}{
		{five, 0.52, 0, true}, {five, 0.50, 0, false}, {five, 0.1, 0.52, true}, {five, 0.1, 0.50, false},
		{list(100), 50, 1, false}, // one reading says nothing of its scatter
		{list(0, 0), 1, 0, true},
		{list(-0.01, 0.01), 1, 0, false}, {list(-0.01, 0.01), 1, 0.05, true}, // black is known to the floor
	} {
		if got := settledMean(c.samples, c.percent, c.floor); got != c.want {
			t.Errorf("%d readings, %v %%, floor %v: %v", len(c.samples), c.percent, c.floor, got)
		}
	}
}

// What a bench states of noise is in u_Y of a single reading since the rules 5.
func TestSingleByRules(t *testing.T) {
	for rules, want := range map[int]string{0: "0.4", 4: "1"} {
		r := newRig()
		r.rules, r.about.Accuracy = rules, bench.Accuracy{Repeatability: 1, Noise: [][]float64{{0, 0.1}, {100, 0.4}}}
		r.prints(t, "print(meter.read().u_Y)", want)
	}
}

package colour

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

func sharmaPair(t testing.TB, r row) (Lab, Lab) {
	return Lab{r.num(t, "L1"), r.num(t, "a1"), r.num(t, "b1")}, Lab{r.num(t, "L2"), r.num(t, "a2"), r.num(t, "b2")}
}

// [Sharma2005] table 1, to its last digit, and to the ten digits that the closed form gives.
func TestDeltaE2000AgainstSharma(t *testing.T) {
	rows := published(t, "ciede2000_sharma.csv")
	if len(rows) != 34 {
		t.Fatalf("%d pairs, want 34", len(rows))
	}
	for _, r := range rows {
		c, d := sharmaPair(t, r)
		for _, got := range []float64{DeltaE2000(c, d), DeltaE2000(d, c), DeltaE2000Weighted(c, d, ReferenceWeights)} {
			near(t, "pair "+r["pair"], got, r.num(t, "delta_e_00"), 5e-5)
			near(t, "pair "+r["pair"], got, r.num(t, "delta_e_00_10digits"), 5e-9*math.Max(got, 1))
		}
	}
}

func anyLab() *rapid.Generator[Lab] {
	return rapid.Custom(func(t *rapid.T) Lab {
		ab := rapid.Float64Range(-130, 130)
		return Lab{rapid.Float64Range(0, 100).Draw(t, "L"), ab.Draw(t, "a"), ab.Draw(t, "b")}
	})
}

// inAngles is CIEDE2000 as [Sharma2005] writes it, step by step in angles. It is kept apart
// from the vectors of the package, and slower.
func inAngles(c, d Lab) float64 {
	const rad = math.Pi / 180
	mean := (math.Hypot(c.A, c.B) + math.Hypot(d.A, d.B)) / 2
	m7 := math.Pow(mean, 7)
	g := 0.5 * (1 - math.Sqrt(m7/(m7+math.Pow(25, 7))))
	a1, a2 := (1+g)*c.A, (1+g)*d.A
	c1, c2 := math.Hypot(a1, c.B), math.Hypot(a2, d.B)
	h1, h2 := hueDegrees(a1, c.B), hueDegrees(a2, d.B)
	dh := h2 - h1
	hm := (h1 + h2) / 2
	over := math.Abs(h1-h2) > 180+1e-9 // the two angles of opposite colours are rounded
	switch {
	case c1*c2 == 0:
		dh, hm = 0, h1+h2
	case over && dh > 0:
		dh -= 360
	case over:
		dh += 360
	}
	if c1*c2 != 0 && over {
		hm += 180
		if h1+h2 >= 360 {
			hm -= 360
		}
	}
	if hm > 360-1e-9 { // likewise
		hm = 0
	}
	dH := 2 * math.Sqrt(c1*c2) * math.Sin(dh/2*rad)
	lm, cm := (c.L+d.L)/2, (c1+c2)/2
	tt := 1 - 0.17*math.Cos((hm-30)*rad) + 0.24*math.Cos(2*hm*rad) + 0.32*math.Cos((3*hm+6)*rad) - 0.20*math.Cos((4*hm-63)*rad)
	c7 := math.Pow(cm, 7)
	rt := -2 * math.Sqrt(c7/(c7+math.Pow(25, 7))) * math.Sin(60*rad*math.Exp(-math.Pow((hm-275)/25, 2)))
	l := (d.L - c.L) / (1 + 0.015*(lm-50)*(lm-50)/math.Sqrt(20+(lm-50)*(lm-50)))
	cc := (c2 - c1) / (1 + 0.045*cm)
	h := dH / (1 + 0.015*cm*tt)
	return math.Sqrt(l*l + cc*cc + h*h + rt*cc*h)
}

func TestDeltaE2000IsTheFormulaInAngles(t *testing.T) {
	check := func(t *rapid.T, c, d Lab) {
		cross, dot := c.A*d.B-c.B*d.A, c.A*d.A+c.B*d.B
		if dot < 0 && cross != 0 && math.Abs(cross) < -1e-10*dot {
			// The formula jumps where hues are opposite, and angles cannot tell on which side these are.
			t.Skip("opposite but for rounding")
		}
		got, want := DeltaE2000(c, d), inAngles(c, d)
		if math.Abs(got-want) > 1e-9*math.Max(want, 1) {
			t.Fatalf("%v, want %v", got, want)
		}
	}
	rapid.Check(t, func(t *rapid.T) { check(t, anyLab().Draw(t, "c"), anyLab().Draw(t, "d")) })
	rapid.Check(t, func(t *rapid.T) { // almost alike
		c := anyLab().Draw(t, "c")
		e := rapid.Float64Range(-0.5, 0.5)
		check(t, c, Lab{c.L + e.Draw(t, "L"), c.A + e.Draw(t, "a"), c.B + e.Draw(t, "b")})
	})
	rapid.Check(t, func(t *rapid.T) { // exactly opposite, on axes and off, and greys
		v := rapid.SampledFrom([]float64{0, 1, 3, 50, -1, -3, -50})
		c := Lab{50, v.Draw(t, "a"), v.Draw(t, "b")}
		check(t, c, Lab{60, -c.A, -c.B})
		check(t, c, Lab{60, 0, 0})
		check(t, Lab{60, 0, 0}, c)
		check(t, c, Lab{50, v.Draw(t, "a2"), v.Draw(t, "b2")})
	})
}

func TestDifferencesAreSymmetricAndZeroForTheSame(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c, d := anyLab().Draw(t, "c"), anyLab().Draw(t, "d")
		for name, f := range map[string]func(c, d Lab) float64{"76": DeltaE76, "2000": DeltaE2000} {
			if f(c, c) != 0 {
				t.Fatalf("%s: %v to itself", name, f(c, c))
			}
			if a, b := f(c, d), f(d, c); math.Abs(a-b) > 1e-12*a || math.IsNaN(a) || a < 0 {
				t.Fatalf("%s: %v there and %v back", name, a, b)
			}
		}
		if DeltaE94(c, c, GraphicArts) != 0 {
			t.Fatal("94: not zero to itself")
		}
	})
}

// Colours far out of any gamut, whose seventh power overflows, must still give a number.
func TestDifferencesAtExtremes(t *testing.T) {
	for _, c := range []Lab{{50, 1e60, 1}, {50, 1e-200, 1e-200}, {0, 0, 0}, {50, 1e50, -1e50}} {
		if got := DeltaE2000(c, Lab{50, 10, 10}); math.IsNaN(got) {
			t.Errorf("%v gives NaN", c)
		}
	}
	if got := DeltaE2000(Lab{math.NaN(), 0, 0}, Lab{}); !math.IsNaN(got) {
		t.Errorf("NaN gives %v", got)
	}
}

// The three parts of a CIELAB difference add up in quadrature, [CIE15] 8.2.1.
func TestLChPartsAddUp(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c, d := anyLab().Draw(t, "c"), anyLab().Draw(t, "d")
		p := c.Delta(d)
		if sum := math.Sqrt(p.L*p.L + p.C*p.C + p.H*p.H); math.Abs(sum-DeltaE76(c, d)) > 1e-10 {
			t.Fatalf("%v, want %v", sum, DeltaE76(c, d))
		}
		back := d.Delta(c)
		if back.L != -p.L || back.C != -p.C {
			t.Fatalf("%v there and %v back", p, back)
		}
	})
	p := (Lab{50, 10, 0}).Delta(Lab{60, 0, 20})
	if p.L != 10 || p.C != 10 || p.H <= 0 {
		t.Errorf("lighter, more saturated and counter-clockwise is %v", p)
	}
	if got := (Lab{50, 0, 0}).Delta(Lab{50, 3, 4}); got != (LChDelta{0, 5, 0}) {
		t.Errorf("from grey: %v", got)
	}
	if got := (Lab{50, 1, 0}).Delta(Lab{50, -1, -1e-3}).H; got >= 0 {
		t.Errorf("clockwise by almost half a turn has ΔH %v", got)
	}
}

func TestDelta2000Parts(t *testing.T) {
	c, d := Lab{50, 20, 20}, Lab{52, 22, 25} // far from blue: no rotation
	p := c.Delta2000(d)
	near(t, "sum of parts", math.Sqrt(p.L*p.L+p.C*p.C+p.H*p.H), DeltaE2000(c, d), 1e-9)
	if p.L <= 0 || p.C <= 0 || p.H <= 0 {
		t.Errorf("lighter, more saturated and counter-clockwise is %v", p)
	}
	// kL = 2 halves a difference of lightness, [CIE142].
	near(t, "kL = 2", DeltaE2000Weighted(Lab{50, 5, 5}, Lab{60, 5, 5}, Weights2000{2, 1, 1}), DeltaE2000(Lab{50, 5, 5}, Lab{60, 5, 5})/2, 1e-12)
	near(t, "kC = 2", DeltaE2000Weighted(Lab{50, 5, 5}, Lab{50, 6, 6}, Weights2000{1, 2, 1}), 0.5*DeltaE2000(Lab{50, 5, 5}, Lab{50, 6, 6}), 0.02)
}

// [CIE116], by hand: the reference has C = 5, so that S_C = 1.225 and S_H = 1.075.
func TestDeltaE94(t *testing.T) {
	ref := Lab{50, 3, 4}
	near(t, "lightness", DeltaE94(ref, Lab{52, 3, 4}, GraphicArts), 2, 1e-12)
	near(t, "lightness of textiles", DeltaE94(ref, Lab{52, 3, 4}, Textiles), 1, 1e-12)
	near(t, "chroma", DeltaE94(ref, Lab{50, 6, 8}, GraphicArts), 5/1.225, 1e-12)
	near(t, "hue", DeltaE94(ref, Lab{50, 4, 3}, GraphicArts), math.Sqrt2/1.075, 1e-12)
	if DeltaE94(ref, Lab{50, 6, 8}, GraphicArts) == DeltaE94(Lab{50, 6, 8}, ref, GraphicArts) {
		t.Error("is symmetric, which it must not be")
	}
}

func TestDeltaEuv(t *testing.T) {
	near(t, "ΔE*uv", DeltaEuv(Luv{50, 1, 2}, Luv{52, 4, 8}), 7, 1e-15)
}

func TestDifferencesDoNotAllocate(t *testing.T) {
	c, d := Lab{50, 20, 20}, Lab{52, 22, 25}
	if n := testing.AllocsPerRun(10, func() { sink = DeltaE2000(c, d) + DeltaE94(c, d, GraphicArts) }); n != 0 {
		t.Errorf("%v allocations", n)
	}
}

func BenchmarkDeltaE2000(b *testing.B) {
	c, d := Lab{50, 20, -30}, Lab{52, 22, -33}
	for b.Loop() {
		sink = DeltaE2000(c, d)
	}
}

// BenchmarkDeltaE2000InAngles is the formula as published, to compare with.
func BenchmarkDeltaE2000InAngles(b *testing.B) {
	c, d := Lab{50, 20, -30}, Lab{52, 22, -33}
	for b.Loop() {
		sink = inAngles(c, d)
	}
}

var sink float64

package colour

import (
	"errors"
	"math"
	"testing"

	"pgregory.net/rapid"
)

// A display that follows a power law has that gamma however it is taken; exact arithmetic.
func TestGammaOfAPowerLaw(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		gamma := rapid.Float64Range(1.2, 3).Draw(t, "gamma")
		black := rapid.Float64Range(0, 1).Draw(t, "black")
		p := PowerLaw{gamma, 200, black}
		var levels []Level
		for i := 0; i <= 10; i++ {
			v := float64(i) / 10
			levels = append(levels, Level{v, p.Decode(v)})
		}
		got, n, err := EffectiveGamma(levels, black)
		if err != nil || n != 10 || math.Abs(got-gamma) > 1e-8 {
			t.Fatalf("effective gamma %v of %d levels, error %v", got, n, err)
		}
		for i := 1; i < 10; i++ {
			point, err := PointGamma(levels[i], 200, black)
			if err != nil || math.Abs(point-gamma) > 1e-8 {
				t.Fatalf("point gamma %v, error %v", point, err)
			}
			local, err := LocalGamma(levels[i], levels[i+1], black)
			if err != nil || math.Abs(local-gamma) > 1e-8 {
				t.Fatalf("local gamma %v, error %v", local, err)
			}
		}
	})
}

func TestNoGamma(t *testing.T) {
	nan := math.NaN()
	for _, p := range []Level{{0, 1}, {1, 100}, {-0.1, 1}, {0.5, 0.1}, {0.5, 0}, {nan, 1}, {0.5, nan}, {0.5, math.Inf(1)}} {
		if g, err := PointGamma(p, 100, 0.1); !errors.Is(err, ErrNoGamma) {
			t.Errorf("%v: gamma %v, error %v", p, g, err)
		}
	}
	if g, err := PointGamma(Level{0.5, 20}, 0.1, 0.1); !errors.Is(err, ErrNoGamma) {
		t.Errorf("white is black: gamma %v, error %v", g, err)
	}
	good := Level{0.5, 20}
	for _, p := range []Level{{0.5, 30}, {0, 30}, {-1, 30}, {0.6, 0.1}, {nan, 30}, {0.6, nan}} {
		if g, err := LocalGamma(good, p, 0.1); !errors.Is(err, ErrNoGamma) {
			t.Errorf("to %v: gamma %v, error %v", p, g, err)
		}
		if g, err := LocalGamma(p, good, 0.1); !errors.Is(err, ErrNoGamma) {
			t.Errorf("from %v: gamma %v, error %v", p, g, err)
		}
	}
	for _, levels := range [][]Level{nil, {good}, {good, good}, {good, {0, 5}}, {good, {0.7, 0.05}}, {{0.5, nan}, good}} {
		if g, n, err := EffectiveGamma(levels, 0.1); !errors.Is(err, ErrNoGamma) {
			t.Errorf("%v: gamma %v of %d, error %v", levels, g, n, err)
		}
	}
}

func TestDeviation(t *testing.T) {
	target := must[PowerLaw](t)(NewPowerLaw(2.4, 100, 0))
	on := Deviation(Level{0.5, target.Decode(0.5)}, target, 100)
	if on.Ratio != 0 || on.DeltaL != 0 || on.DeltaITP != 0 {
		t.Errorf("on target: %v", on)
	}
	up := Deviation(Level{0.5, 1.1 * target.Decode(0.5)}, target, 100)
	near(t, "ratio", up.Ratio, 0.1, 1e-12)
	if up.DeltaL <= 0 || up.DeltaITP <= 0 || up.Target != target.Decode(0.5) {
		t.Errorf("too bright: %v", up)
	}
	// delta_e_itp.csv, row 7: 0.12 against 0.10 cd/m² is 3.566271519.
	flat := must[PowerLaw](t)(NewPowerLaw(1, 1, 0))
	near(t, "ΔI", Deviation(Level{0.1, 0.12}, flat, 1).DeltaITP, 3.566271519, 1e-8)
	black := Deviation(Level{0, 0}, target, 100)
	if black.Ratio != 0 {
		t.Errorf("black on black: %v", black)
	}
	if lit := Deviation(Level{0, 0.1}, target, 100); !math.IsInf(lit.Ratio, 1) {
		t.Errorf("light for black: %v", lit)
	}
}

// Along the daylight locus nothing is across, and higher temperatures are positive.
func TestDaylightOffset(t *testing.T) {
	at := func(kelvin float64) XY { return must[XY](t)(DaylightXY(kelvin)) }
	target := at(6504)
	hot, cold := DaylightOffset(at(6600), target), DaylightOffset(at(6400), target)
	if hot.Along <= 0 || cold.Along >= 0 || math.Abs(hot.Across) > 0.02*hot.Along || math.Abs(cold.Across) > -0.02*cold.Along {
		t.Errorf("hotter %v, colder %v", hot, cold)
	}
	green := DaylightOffset(XY{target.X, target.Y + 0.005}, target)
	if green.Across <= 0 {
		t.Errorf("greener: %v", green)
	}
	if same := DaylightOffset(D65, D65); same != (LocusOffset{}) {
		t.Errorf("same: %v", same)
	}
	rapid.Check(t, func(t *rapid.T) {
		c := realXY().Draw(t, "c")
		o := DaylightOffset(c, D65)
		want := c.UV().Distance(D65.UV())
		if math.Abs(math.Hypot(o.Along, o.Across)-want) > 1e-13 || math.Abs(o.Distance-want) > 1e-15 {
			t.Fatalf("%v, want a length of %v", o, want)
		}
	})
}

// The tangent must be that of the locus itself, by differences of two points of it.
func TestDaylightSlope(t *testing.T) {
	for _, kelvin := range []float64{4500, 6504, 6990, 9300, 20000} {
		a, b := daylightXY(kelvin-0.5).UV(), daylightXY(kelvin+0.5).UV()
		u, v := daylightTangent(daylightXY(kelvin).UV())
		d := a.Distance(b)
		near(t, "u", u, (b.U-a.U)/d, 1e-5)
		near(t, "v", v, (b.V-a.V)/d, 1e-5)
	}
}

func TestDescribeWhite(t *testing.T) {
	r := must[WhiteReport](t)(DescribeWhite(D65.XYZ(120), D65))
	// cct_duv.csv, D65_video.
	near(t, "CCT", r.CCT.Kelvin, 6504.34485, 0.05)
	near(t, "Duv", r.CCT.Duv, 0.00320720276, 2e-7)
	if r.CCTError != nil || r.Offset.Distance > 1e-15 {
		t.Errorf("%v", r)
	}
	nearXY(t, "white", r.XY, D65, 1e-15)
	red := must[WhiteReport](t)(DescribeWhite(XY{0.64, 0.33}.XYZ(20), D65))
	if red.CCTError == nil || red.Offset.Distance < 0.2 {
		t.Errorf("red: %v", red)
	}
	if _, err := DescribeWhite(XYZ{}, D65); !errors.Is(err, ErrNoChromaticity) {
		t.Errorf("black: error %v", err)
	}
}

// Laser lines lie on the boundary: purity 1 and their own wavelength.
func TestDominantWavelength(t *testing.T) {
	for nm := 420.0; nm <= 680; nm += 3.7 {
		d := must[Dominant](t)(must[XY](t)(SpectrumLocus(nm)).Dominant(D65))
		near(t, "wavelength", d.Nanometres, nm, 0.06)
		near(t, "purity", d.Purity, 1, 4e-4) // straight lines between whole nanometres
		if d.Complementary {
			t.Errorf("%v nm is a purple", nm)
		}
	}
}

func TestDominantOnTheWay(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		nm := rapid.Float64Range(400, 690).Draw(t, "nm")
		purity := rapid.Float64Range(0.01, 0.99).Draw(t, "purity")
		edge, err := SpectrumLocus(nm)
		if err != nil {
			t.Fatal(err)
		}
		c := XY{D65.X + purity*(edge.X-D65.X), D65.Y + purity*(edge.Y-D65.Y)}
		d, err := c.Dominant(D65)
		if err != nil || d.Complementary || math.Abs(d.Purity-purity) > 4e-4 {
			t.Fatalf("%v, error %v", d, err)
		}
		// Near both ends the locus hardly moves with the wavelength.
		if e, _ := SpectrumLocus(d.Nanometres); math.Hypot(e.X-edge.X, e.Y-edge.Y) > 2e-4 {
			t.Fatalf("%v nm, want %v", d.Nanometres, nm)
		}
		// The other way lies the complement.
		opposite := XY{D65.X - 0.05*(edge.X-D65.X), D65.Y - 0.05*(edge.Y-D65.Y)}
		if o, err := opposite.Dominant(D65); err == nil && o.Complementary {
			if e, _ := SpectrumLocus(o.Nanometres); math.Hypot(e.X-edge.X, e.Y-edge.Y) > 2e-4 {
				t.Fatalf("complement %v nm, want %v", o.Nanometres, nm)
			}
		}
	})
}

func TestPurple(t *testing.T) {
	d := must[Dominant](t)(XY{0.32, 0.15}.Dominant(D65))
	if !d.Complementary || d.Nanometres < 495 || d.Nanometres > 570 || d.Purity <= 0 || d.Purity >= 1 {
		t.Errorf("magenta is %v", d)
	}
}

func TestNoDominant(t *testing.T) {
	for name, c := range map[string][2]XY{
		"white itself": {D65, D65}, "beyond green": {{0.05, 0.9}, D65}, "beyond purple": {{0.5, 0.05}, D65},
		"white outside": {{0.3, 0.3}, {0.8, 0.8}}, "NaN": {{math.NaN(), 0.3}, D65},
	} {
		if d, err := c[0].Dominant(c[1]); !errors.Is(err, ErrNoDominant) {
			t.Errorf("%s: %v, error %v", name, d, err)
		}
	}
	for _, nm := range []float64{379, 701, math.NaN()} {
		if _, err := SpectrumLocus(nm); !errors.Is(err, ErrSpectrum) {
			t.Errorf("%v nm: error %v", nm, err)
		}
	}
}

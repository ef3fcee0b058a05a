package colour

import (
	"errors"
	"math"
	"testing"

	"pgregory.net/rapid"
)

// Exact arithmetic for equal energy; the others are [CIE15] values to their last digit.
func TestChromaticityOfKnownStimuli(t *testing.T) {
	e := XYZ{1, 1, 1}
	xy := must[XY](t)(e.XY())
	nearXY(t, "equal energy", xy, XY{1. / 3, 1. / 3}, 1e-15)
	uv := must[UV](t)(e.UV())
	near(t, "u′", uv.U, 4./19, 1e-15)
	near(t, "v′", uv.V, 9./19, 1e-15)

	// XYZ of ASTM E308, u′v′ of CIE 15 to 4 places.
	d65 := must[UV](t)(XYZ{95.047, 100, 108.883}.UV())
	near(t, "u′", d65.U, 0.1978, 5e-5)
	near(t, "v′", d65.V, 0.4683, 5e-5)
}

func TestChromaticityAgainstPublished(t *testing.T) {
	for _, r := range published(t, "lab_luv.csv") {
		uv := must[UV](t)(r.xyz(t, "X", "Y", "Z").UV())
		near(t, "u′", uv.U, r.num(t, "u_prime"), 1e-10)
		near(t, "v′", uv.V, r.num(t, "v_prime"), 1e-10)
	}
	for _, r := range published(t, "cct_duv.csv") {
		uv := XY{r.num(t, "x"), r.num(t, "y")}.UV1960()
		near(t, r["name"]+" u", uv.U, r.num(t, "u_1960"), 5e-9)
		near(t, r["name"]+" v", uv.V, r.num(t, "v_1960"), 5e-9)
	}
}

func TestNoChromaticity(t *testing.T) {
	for _, c := range []XYZ{
		{}, {-1, -1, -1}, {0.001, -0.002, 0.001}, {math.NaN(), 1, 1}, {math.Inf(1), 1, 1}, {1e308, 1e308, 1e308},
	} {
		if xy, err := c.XY(); !errors.Is(err, ErrNoChromaticity) {
			t.Errorf("%v has chromaticity %v, error %v", c, xy, err)
		}
		if uv, err := c.UV(); !errors.Is(err, ErrNoChromaticity) {
			t.Errorf("%v has chromaticity %v, error %v", c, uv, err)
		}
	}
}

// realXY draws a chromaticity inside the BT.2020 triangle.
func realXY() *rapid.Generator[XY] {
	return rapid.Custom(func(t *rapid.T) XY {
		rgb := linearRGB().Draw(t, "rgb")
		c, err := BT2020.ToXYZ(rgb).XY()
		if err != nil {
			t.Skip("black")
		}
		return c
	})
}

func linearRGB() *rapid.Generator[[3]float64] {
	return rapid.Custom(func(t *rapid.T) [3]float64 {
		channel := rapid.Float64Range(1e-4, 1)
		return [3]float64{channel.Draw(t, "r"), channel.Draw(t, "g"), channel.Draw(t, "b")}
	})
}

func TestChromaticityDiagramsInvert(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		xy := realXY().Draw(t, "xy")
		if got := xy.UV().XY(); math.Hypot(got.X-xy.X, got.Y-xy.Y) > 1e-14 {
			t.Fatalf("by u′v′: %v", got)
		}
		if got := xy.UV1960().XY(); math.Hypot(got.X-xy.X, got.Y-xy.Y) > 1e-14 {
			t.Fatalf("by uv1960: %v", got)
		}
		if got := xy.UV().UV1960().UV(); got.Distance(xy.UV()) > 1e-15 {
			t.Fatalf("between u′v′ and uv1960: %v", got)
		}
		Y := rapid.Float64Range(1e-6, 1e4).Draw(t, "Y")
		for _, c := range []XYZ{xy.XYZ(Y), xy.UV().XYZ(Y)} {
			back, err := c.XY()
			if err != nil || math.Hypot(back.X-xy.X, back.Y-xy.Y) > 1e-13 || c.Y != Y {
				t.Fatalf("by XYZ: %v, %v", back, err)
			}
		}
	})
}

func TestChromaticityDoesNotDependOnScale(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := BT2020.ToXYZ(linearRGB().Draw(t, "rgb"))
		k := rapid.Float64Range(1e-6, 1e6).Draw(t, "k")
		a, _ := c.UV()
		b, _ := c.Scale(k).UV()
		if a.Distance(b) > 1e-15 {
			t.Fatalf("%v and %v", a, b)
		}
	})
}

func TestDistanceIsAMetric(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a, b, c := realXY().Draw(t, "a").UV(), realXY().Draw(t, "b").UV(), realXY().Draw(t, "c").UV()
		if a.Distance(a) != 0 || a.Distance(b) != b.Distance(a) || a.Distance(c) > a.Distance(b)+b.Distance(c)+1e-15 {
			t.Fatal("not a metric")
		}
	})
}

func TestXYZArithmetic(t *testing.T) {
	a, b := XYZ{1, 2, 3}, XYZ{10, 20, 30}
	if got := a.Add(b); got != (XYZ{11, 22, 33}) {
		t.Error(got)
	}
	if got := b.Sub(a); got != (XYZ{9, 18, 27}) {
		t.Error(got)
	}
	if got := a.Scale(-2); got != (XYZ{-2, -4, -6}) {
		t.Error(got)
	}
}

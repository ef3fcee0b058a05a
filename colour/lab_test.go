package colour

import (
	"errors"
	"math"
	"testing"

	"pgregory.net/rapid"
)

func TestLabAndLuvAgainstPublished(t *testing.T) {
	for _, r := range published(t, "lab_luv.csv") {
		w := must[White](t)(NewWhite(r.xyz(t, "Xn", "Yn", "Zn")))
		c := r.xyz(t, "X", "Y", "Z")
		lab, luv := w.Lab(c), w.Luv(c)
		near(t, "L*", lab.L, r.num(t, "L_star"), 2e-7)
		near(t, "a*", lab.A, r.num(t, "a_star"), 3e-7)
		near(t, "b*", lab.B, r.num(t, "b_star"), 3e-7)
		near(t, "L* of CIELUV", luv.L, r.num(t, "L_star"), 2e-7)
		near(t, "u*", luv.U, r.num(t, "u_star"), 5e-7)
		near(t, "v*", luv.V, r.num(t, "v_star"), 5e-7)
	}
}

func d65White(t testing.TB) White { return must[White](t)(NewWhite(D65.XYZ(100))) }

func TestLabKnownPoints(t *testing.T) {
	w := d65White(t)
	if got := w.Lab(XYZ{}); got != (Lab{}) {
		t.Errorf("black is %v", got)
	}
	if got := w.Luv(XYZ{}); got != (Luv{}) {
		t.Errorf("black is %v", got)
	}
	near(t, "L* of white", w.Lab(w.XYZ()).L, 100, 1e-12)
	// By definition: the line below (6/29)³ ends at L* = 8.
	near(t, "L* at the threshold", Lightness(216.0/24389), 8, 1e-12)
	near(t, "L* just above", Lightness(216.0/24389+1e-12), 8, 1e-8)
	near(t, "middle grey", FromLightness(50), 0.1841865185, 1e-10) // lab_luv.csv, XYZ of the last D65 row
	if got := w.FromLuv(Luv{0, 5, -5}); got != (XYZ{}) {
		t.Errorf("L* = 0 is %v", got)
	}
}

// Below black the lines go on, so that noise around black keeps its sign.
func TestLabOfNegativeLight(t *testing.T) {
	near(t, "L*", Lightness(-0.001), -0.9032962963, 1e-9) // 24389/27 · Y/Yn
	l := d65White(t).Luv(XYZ{-1, -1, -1})
	if l.L >= 0 || l.U != 0 || l.V != 0 {
		t.Errorf("below black is %v", l)
	}
}

func TestLabAndLuvInvert(t *testing.T) {
	w := d65White(t)
	rapid.Check(t, func(t *rapid.T) {
		c := BT2020.ToXYZ(linearRGB().Draw(t, "rgb")).Scale(100)
		for name, back := range map[string]XYZ{
			"Lab": w.FromLab(w.Lab(c)), "LCh": w.FromLab(w.Lab(c).LCh().Lab()), "Luv": w.FromLuv(w.Luv(c)),
		} {
			d := back.Sub(c)
			if math.Abs(d.X)+math.Abs(d.Y)+math.Abs(d.Z) > 1e-10 {
				t.Fatalf("%s: %v, want %v", name, back, c)
			}
		}
		if d := FromLightness(Lightness(c.Y/100)) - c.Y/100; math.Abs(d) > 1e-15 {
			t.Fatalf("lightness is off by %v", d)
		}
	})
}

func TestLightnessRises(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a := rapid.Float64Range(-0.1, 2).Draw(t, "a")
		b := a + rapid.Float64Range(1e-9, 1).Draw(t, "more")
		if !(Lightness(b) > Lightness(a)) {
			t.Fatal("does not rise")
		}
	})
}

func TestHue(t *testing.T) {
	for _, c := range []struct{ a, b, want float64 }{
		{1, 0, 0}, {1, 1, 45}, {0, 1, 90}, {-1, 0, 180}, {0, -1, 270}, {0, 0, 0}, {1, -1e-300, 0},
	} {
		if got := (Lab{50, c.a, c.b}).LCh().H; got != c.want {
			t.Errorf("hue of %v, %v is %v, want %v", c.a, c.b, got, c.want)
		}
	}
	if got := (Luv{50, 3, 4}).LCh(); got.C != 5 || got.L != 50 || math.Abs(got.H-53.13010235415598) > 1e-12 {
		t.Error(got)
	}
}

func TestWhiteRefuses(t *testing.T) {
	for _, c := range []XYZ{{}, {0, 100, 100}, {95, 0, 100}, {95, 100, -1}, {math.NaN(), 100, 100}, {95, math.Inf(1), 100}} {
		if _, err := NewWhite(c); !errors.Is(err, ErrNoChromaticity) {
			t.Errorf("%v: error %v", c, err)
		}
	}
}

package colour

import (
	"errors"
	"math"
	"testing"

	"pgregory.net/rapid"
)

func TestSpacesAgainstPublished(t *testing.T) {
	spaces := map[string]*Space{"BT.709": BT709, "BT.2020": BT2020, "P3-D65": P3D65, "P3-DCI": P3DCI}
	rows := published(t, "rgb_xyz_matrices.csv")
	if len(rows) != 2*len(spaces) {
		t.Fatalf("%d rows", len(rows))
	}
	for _, r := range rows {
		s := spaces[r["space"]]
		m := s.Matrix()
		if r["direction"] == "XYZ_to_RGB" {
			m = s.fromXYZ
		}
		for i := range 3 {
			for j := range 3 {
				column := string([]byte{'m', byte('1' + i), byte('1' + j)})
				near(t, r["space"]+" "+r["direction"]+" "+column, m[i][j], r.num(t, column), 6e-13)
			}
		}
		if s.Name() != r["space"] {
			t.Errorf("%s is called %s", r["space"], s.Name())
		}
	}
}

// The Recommendations print the shares rounded to four digits.
func TestLuminanceShares(t *testing.T) {
	for s, want := range map[*Space][3]float64{BT709: {0.2126, 0.7152, 0.0722}, BT2020: {0.2627, 0.6780, 0.0593}} {
		for i, v := range s.LuminanceShares() {
			near(t, s.Name(), v, want[i], 5e-5)
		}
	}
}

func TestSpacesInvertAndKeepWhite(t *testing.T) {
	for _, s := range []*Space{BT709, BT2020, P3D65, P3DCI} {
		white := s.ToXYZ([3]float64{1, 1, 1})
		near(t, "Y of white", white.Y, 1, 1e-15)
		nearXY(t, "white", must[XY](t)(white.XY()), s.White(), 1e-15)
		for i, want := range s.Primaries() {
			var rgb [3]float64
			rgb[i] = 1
			nearXY(t, "primary", must[XY](t)(s.ToXYZ(rgb).XY()), want, 1e-15)
		}
		rapid.Check(t, func(t *rapid.T) {
			channel := rapid.Float64Range(-1, 2)
			rgb := [3]float64{channel.Draw(t, "r"), channel.Draw(t, "g"), channel.Draw(t, "b")}
			for i, v := range s.FromXYZ(s.ToXYZ(rgb)) {
				if math.Abs(v-rgb[i]) > 1e-14 {
					t.Fatalf("%v comes back as %v", rgb, s.FromXYZ(s.ToXYZ(rgb)))
				}
			}
		})
	}
}

func TestSpaceRefuses(t *testing.T) {
	r, g, b := XY{0.64, 0.33}, XY{0.30, 0.60}, XY{0.15, 0.06}
	if _, err := NewSpace("line", r, g, XY{0.47, 0.465}, D65); !errors.Is(err, ErrSingular) {
		t.Errorf("primaries on a line: error %v", err)
	}
	if _, err := NewSpace("twice", r, r, b, D65); !errors.Is(err, ErrSingular) {
		t.Errorf("two primaries alike: error %v", err)
	}
	if _, err := NewSpace("edge", r, g, b, XY{0.47, 0.465}); !errors.Is(err, ErrSingular) {
		t.Errorf("white between two primaries: error %v", err)
	}
	for _, y := range []float64{0, -0.1, math.NaN()} {
		if _, err := NewSpace("white", r, g, b, XY{0.3, y}); !errors.Is(err, ErrNoChromaticity) {
			t.Errorf("white with y = %v: error %v", y, err)
		}
	}
}

func TestMatrixInverse(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var m Matrix
		for i := range 3 {
			for j := range 3 {
				m[i][j] = rapid.Float64Range(-1, 1).Draw(t, "element")
			}
		}
		inverse, err := m.Inverse()
		if err != nil || math.Abs(m.Det()) < 1e-3 {
			t.Skip("close to singular")
		}
		p := m.Mul(&inverse)
		for i := range 3 {
			for j := range 3 {
				if math.Abs(p[i][j]-Identity[i][j]) > 1e-9 {
					t.Fatalf("%v", p)
				}
			}
		}
		transposed := m.Transpose()
		if math.Abs(transposed.Det()-m.Det()) > 1e-12 {
			t.Fatal("transposing changes the determinant")
		}
	})
	for name, m := range map[string]Matrix{
		"zero": {}, "two equal rows": {{1, 2, 3}, {1, 2, 3}, {0, 0, 1}}, "NaN": {{math.NaN(), 0, 0}, {0, 1, 0}, {0, 0, 1}},
		"infinite": {{math.Inf(1), 0, 0}, {0, 1, 0}, {0, 0, 1}},
	} {
		if _, err := m.Inverse(); !errors.Is(err, ErrSingular) {
			t.Errorf("%s: error %v", name, err)
		}
	}
	m := Matrix{{1, 2, 0}, {0, 1, 0}, {0, 0, 3}}
	if got := m.Scale(2); got != (Matrix{{2, 4, 0}, {0, 2, 0}, {0, 0, 6}}) {
		t.Error(got)
	}
}

func TestMustsPanic(t *testing.T) {
	for name, f := range map[string]func(){
		"space":  func() { mustSpace("line", D65, D65, D65, D65) },
		"matrix": func() { mustInverse(Matrix{}) },
	} {
		func() {
			defer func() {
				if recover() == nil {
					t.Errorf("%s does not panic", name)
				}
			}()
			f()
		}()
	}
}

func BenchmarkSpaceToXYZ(b *testing.B) {
	rgb := [3]float64{0.2, 0.3, 0.4}
	for b.Loop() {
		sinkXYZ = BT2020.ToXYZ(rgb)
	}
}

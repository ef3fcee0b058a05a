package colour

import (
	"errors"
	"math"
	"testing"

	"pgregory.net/rapid"
)

// [ICC1], annex E, prints the Bradford matrix from D65 to D50 to four digits; the whites
// are those of [CIE15] by four decimals of x and y, hence the tolerance.
func TestBradfordFromD65ToD50(t *testing.T) {
	got := must[Matrix](t)(Bradford.Adaptation(D65, XY{0.3457, 0.3585}))
	want := Matrix{{1.0479, 0.0229, -0.0502}, {0.0296, 0.9904, -0.0171}, {-0.0092, 0.0151, 0.7519}}
	for i := range 3 {
		for j := range 3 {
			near(t, "element", got[i][j], want[i][j], 2e-4)
		}
	}
}

func TestAdaptationMapsWhiteAndInverts(t *testing.T) {
	for _, s := range []*ConeSpace{Bradford, CAT02, CAT16} {
		rapid.Check(t, func(t *rapid.T) {
			a, b := realXY().Draw(t, "from"), realXY().Draw(t, "to")
			there, err := s.Adaptation(a, b)
			for _, white := range []XY{a, b} {
				if r, err := s.whiteResponse(white); err != nil || min(r[0], r[1], r[2]) < 0.05 {
					t.Skip("a white with next to no response")
				}
			}
			back, err2 := s.Adaptation(b, a)
			if err != nil || err2 != nil {
				t.Fatal(err, err2)
			}
			w, want := there.Apply(a.XYZ(1)), b.XYZ(1)
			if d := w.Sub(want); math.Abs(d.X)+math.Abs(d.Y)+math.Abs(d.Z) > 1e-10*(1+want.X+want.Z) {
				t.Fatalf("%s: white becomes %v, want %v", s.Name(), w, want)
			}
			same := there.Mul(&back)
			for i := range 3 {
				for j := range 3 {
					if math.Abs(same[i][j]-Identity[i][j]) > 1e-9 {
						t.Fatalf("%s: there and back is %v", s.Name(), same)
					}
				}
			}
		})
	}
}

func TestAdaptationRefuses(t *testing.T) {
	for _, bad := range []XY{{0.3, 0}, {0.3, -0.1}, {}, {0.9, 0.01}} {
		if _, err := CAT16.Adaptation(bad, D65); !errors.Is(err, ErrNoChromaticity) {
			t.Errorf("from %v: error %v", bad, err)
		}
		if _, err := CAT16.Adaptation(D65, bad); !errors.Is(err, ErrNoChromaticity) {
			t.Errorf("to %v: error %v", bad, err)
		}
	}
	// Rows of an adaptation to equal energy sum to about 1: each matrix maps E to 1, 1, 1.
	for _, s := range []*ConeSpace{Bradford, CAT02, CAT16} {
		m := s.Matrix()
		r := m.MulVec([3]float64{1, 1, 1})
		for _, v := range r {
			near(t, s.Name(), v, 1, 3e-4)
		}
	}
}

package colour

import "fmt"

// ConeSpace is a space of cone-like responses in which a white is adapted to
// another by scaling each response.
type ConeSpace struct {
	name          string
	toCone, toXYZ Matrix
}

// The cone spaces in use for chromatic adaptation. Prefer CAT16: Bradford is the one
// of ICC profiles, and CAT02 fails for some saturated blues.
//
// Source: [ICC1], annex E, for Bradford; [CIE159] for CAT02; [Li2017] for CAT16.
var (
	Bradford = newConeSpace("Bradford", Matrix{
		{0.8951, 0.2664, -0.1614},
		{-0.7502, 1.7135, 0.0367},
		{0.0389, -0.0685, 1.0296},
	})
	CAT02 = newConeSpace("CAT02", Matrix{
		{0.7328, 0.4296, -0.1624},
		{-0.7036, 1.6975, 0.0061},
		{0.0030, 0.0136, 0.9834},
	})
	CAT16 = newConeSpace("CAT16", Matrix{
		{0.401288, 0.650173, -0.051461},
		{-0.250268, 1.204414, 0.045854},
		{-0.002079, 0.048952, 0.953127},
	})
)

func newConeSpace(name string, m Matrix) *ConeSpace {
	return &ConeSpace{name, m, mustInverse(m)}
}

// Name returns the name of the space.
func (s *ConeSpace) Name() string { return s.name }

// Matrix returns the matrix from XYZ to cone responses.
func (s *ConeSpace) Matrix() Matrix { return s.toCone }

// Adaptation returns the matrix that maps XYZ seen under one white to the XYZ that
// looks the same under another, at full adaptation.
//
//	M = C⁻¹ diag(C·to / C·from) C
//
// Both whites are taken at Y = 1, so that the luminance of white is kept. A white with
// y = 0 or less, or with a cone response that is not above zero, has no adaptation: the
// error wraps [ErrNoChromaticity].
//
// Source: [CIE159]; [ICC1], annex E.
func (s *ConeSpace) Adaptation(from, to XY) (Matrix, error) {
	a, err := s.whiteResponse(from)
	if err != nil {
		return Matrix{}, err
	}
	b, err := s.whiteResponse(to)
	if err != nil {
		return Matrix{}, err
	}
	m := s.toCone
	for i := range 3 {
		for j := range 3 {
			m[i][j] *= b[i] / a[i]
		}
	}
	return s.toXYZ.Mul(&m), nil
}

func (s *ConeSpace) whiteResponse(white XY) ([3]float64, error) {
	c := white.XYZ(1)
	r := s.toCone.MulVec([3]float64{c.X, c.Y, c.Z})
	if !(white.Y > 0 && r[0] > 0 && r[1] > 0 && r[2] > 0) {
		return r, fmt.Errorf("white %v, %v has no %s response above 0: %w", white.X, white.Y, s.name, ErrNoChromaticity)
	}
	return r, nil
}

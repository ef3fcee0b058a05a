package colour

import (
	"fmt"
	"math"
)

// D65 is the white of video: x = 0.3127, y = 0.3290 by definition. It is not
// quite the chromaticity of the spectrum of illuminant D65, for which see [Daylight].
//
// Source: [BT709], 1.3; [BT2020], table 3.
var D65 = XY{0.3127, 0.3290}

// DCIWhite is the white of cinema projectors.
//
// Source: [RP431], from memory.
var DCIWhite = XY{0.314, 0.351}

// Space is an additive RGB colour space: three primaries, a white, and the
// matrices that follow from them. The components of a colour are linear light,
// (1, 1, 1) is white and has Y = 1.
type Space struct {
	name            string
	primaries       [3]XY
	white           XY
	toXYZ, fromXYZ  Matrix
	luminanceShares [3]float64
}

// The RGB spaces of television and cinema. BT709 is also the space of sRGB.
//
// Source: [BT709], 1.3; [BT2020], table 3; [RP431] for the primaries of P3 and
// [EG432] for P3 with D65.
var (
	BT709  = mustSpace("BT.709", XY{0.64, 0.33}, XY{0.30, 0.60}, XY{0.15, 0.06}, D65)
	BT2020 = mustSpace("BT.2020", XY{0.708, 0.292}, XY{0.170, 0.797}, XY{0.131, 0.046}, D65)
	P3D65  = mustSpace("P3-D65", XY{0.680, 0.320}, XY{0.265, 0.690}, XY{0.150, 0.060}, D65)
	P3DCI  = mustSpace("P3-DCI", XY{0.680, 0.320}, XY{0.265, 0.690}, XY{0.150, 0.060}, DCIWhite)
)

// NewSpace derives an RGB space from the chromaticities of its primaries and white.
//
// The columns of the matrix to XYZ are the primaries, scaled so that their sum
// is the white with Y = 1. The measured primaries and white of a display may be
// given too; then the space is the display as it would be if it were additive.
//
// The error wraps [ErrSingular] where the primaries lie on a line or the white on the line
// between two of them, and [ErrNoChromaticity] where the white has y = 0 or less. A white outside
// the triangle is accepted; it takes a negative amount of a primary.
//
// Source: [RP177], 3.3.
func NewSpace(name string, red, green, blue, white XY) (*Space, error) {
	s := &Space{name: name, primaries: [3]XY{red, green, blue}, white: white}
	if !(white.Y > 0) {
		return nil, fmt.Errorf("white of %s has y = %v; it must be above 0: %w", name, white.Y, ErrNoChromaticity)
	}
	var m Matrix
	for j, p := range s.primaries {
		// The columns need no luminance here: x, y and z themselves will do, and
		// a primary on the line y = 0 is no trouble then.
		m[0][j], m[1][j], m[2][j] = p.X, p.Y, 1-p.X-p.Y
	}
	inverse, err := m.Inverse()
	if err != nil {
		return nil, fmt.Errorf("primaries of %s: %w", name, err)
	}
	w := white.XYZ(1)
	k := inverse.MulVec([3]float64{w.X, w.Y, w.Z})
	for j, v := range k {
		if !(math.Abs(v) > singularRatio*(math.Abs(k[0])+math.Abs(k[1])+math.Abs(k[2]))) {
			return nil, fmt.Errorf("white of %s needs no %s: %w", name, colourNames[j], ErrSingular)
		}
	}
	for i := range 3 {
		for j := range 3 {
			s.toXYZ[i][j] = m[i][j] * k[j]
		}
	}
	if s.fromXYZ, err = s.toXYZ.Inverse(); err != nil {
		return nil, fmt.Errorf("primaries and white of %s: %w", name, err)
	}
	s.luminanceShares = s.toXYZ[1]
	return s, nil
}

func mustSpace(name string, red, green, blue, white XY) *Space {
	s, err := NewSpace(name, red, green, blue, white)
	if err != nil {
		panic("colour: " + err.Error())
	}
	return s
}

// Name returns the name that the space was made with.
func (s *Space) Name() string { return s.name }

// Primaries returns the chromaticities of red, green and blue.
func (s *Space) Primaries() [3]XY { return s.primaries }

// White returns the chromaticity of (1, 1, 1).
func (s *Space) White() XY { return s.white }

// LuminanceShares returns what red, green and blue contribute to the luminance
// of white; the sum is 1. The Recommendations print them rounded to four digits.
func (s *Space) LuminanceShares() [3]float64 { return s.luminanceShares }

// Matrix returns the matrix from linear RGB to XYZ.
func (s *Space) Matrix() Matrix { return s.toXYZ }

// ToXYZ returns the tristimulus values of linear RGB, on a scale where the white
// of the space has Y = 1. Components outside 0 to 1 are taken as they are.
//
// Source: [RP177], 3.3.
func (s *Space) ToXYZ(linear [3]float64) XYZ {
	v := s.toXYZ.MulVec(linear)
	return XYZ{v[0], v[1], v[2]}
}

// FromXYZ returns the linear RGB of c, on a scale where the white of the space
// has Y = 1. A colour outside the gamut has a component below 0 or above 1.
//
// Source: [RP177], 3.3, inverted.
func (s *Space) FromXYZ(c XYZ) [3]float64 {
	return s.fromXYZ.MulVec([3]float64{c.X, c.Y, c.Z})
}

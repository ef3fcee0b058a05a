package colour

import (
	"errors"
	"math"
)

// ErrNoChromaticity is the error for a stimulus that has no chromaticity: black,
// or noise around black that happens to sum to zero or less.
var ErrNoChromaticity = errors.New("no chromaticity: the stimulus is black, measure something brighter")

// XYZ holds CIE tristimulus values. Unless said otherwise they are those of the
// CIE 1931 observer on a scale where Y is a luminance in cd/m².
//
// Source: [CIE15], 7.1.
type XYZ struct{ X, Y, Z float64 }

// Add returns the sum of c and d: the light of both at once, by Grassmann's laws.
func (c XYZ) Add(d XYZ) XYZ { return XYZ{c.X + d.X, c.Y + d.Y, c.Z + d.Z} }

// Sub returns c less d, for example a reading less the dark or the room's light.
func (c XYZ) Sub(d XYZ) XYZ { return XYZ{c.X - d.X, c.Y - d.Y, c.Z - d.Z} }

// Scale returns c with every component multiplied by k.
func (c XYZ) Scale(k float64) XYZ { return XYZ{k * c.X, k * c.Y, k * c.Z} }

// XY is a CIE 1931 chromaticity.
type XY struct{ X, Y float64 }

// UV is a CIE 1976 chromaticity, u′ and v′.
type UV struct{ U, V float64 }

// XY returns the CIE 1931 chromaticity of c.
//
//	x = X / (X + Y + Z)    y = Y / (X + Y + Z)
//
// X, Y and Z may be in any one unit; x and y have none. If the sum is not
// positive or not finite there is no chromaticity and the error is [ErrNoChromaticity].
//
// Source: [CIE15], 7.3.
func (c XYZ) XY() (XY, error) {
	s := c.X + c.Y + c.Z
	if !(s > 0) || math.IsInf(s, 0) {
		return XY{}, ErrNoChromaticity
	}
	return XY{c.X / s, c.Y / s}, nil
}

// UV returns the CIE 1976 u′v′ chromaticity of c.
//
//	u′ = 4X / (X + 15Y + 3Z)    v′ = 9Y / (X + 15Y + 3Z)
//
// X, Y and Z may be in any one unit; u′ and v′ have none. If the divisor is not
// positive or not finite there is no chromaticity and the error is [ErrNoChromaticity].
//
// Source: [CIE15], 8.1.
func (c XYZ) UV() (UV, error) {
	d := c.X + 15*c.Y + 3*c.Z
	if !(d > 0) || math.IsInf(d, 0) {
		return UV{}, ErrNoChromaticity
	}
	return UV{4 * c.X / d, 9 * c.Y / d}, nil
}

// XYZ returns the stimulus of chromaticity c and luminance Y.
//
//	X = Y x/y    Z = Y (1 - x - y)/y
//
// The result is on the scale of Y. A chromaticity on the line y = 0 (the
// alychne) has no luminance: for it X and Z are infinite, or NaN where Y or x is 0 too.
//
// Source: [CIE15], 7.3.
func (c XY) XYZ(Y float64) XYZ {
	return XYZ{Y * c.X / c.Y, Y, Y * (1 - c.X - c.Y) / c.Y}
}

// UV returns c in the CIE 1976 diagram.
//
//	u′ = 4x / (-2x + 12y + 3)    v′ = 9y / (-2x + 12y + 3)
//
// The divisor is positive for every chromaticity of a real stimulus.
//
// Source: [CIE15], 8.1.
func (c XY) UV() UV {
	d := -2*c.X + 12*c.Y + 3
	return UV{4 * c.X / d, 9 * c.Y / d}
}

// XY returns c in the CIE 1931 diagram.
//
//	x = 9u′ / (6u′ - 16v′ + 12)    y = 4v′ / (6u′ - 16v′ + 12)
//
// The divisor is positive for every chromaticity of a real stimulus.
//
// Source: [CIE15], 8.1, inverted.
func (c UV) XY() XY {
	d := 6*c.U - 16*c.V + 12
	return XY{9 * c.U / d, 4 * c.V / d}
}

// XYZ returns the stimulus of chromaticity c and luminance Y, on the scale of Y.
//
//	X = 9Y u′/4v′    Z = Y (12 - 3u′ - 20v′)/4v′
//
// Source: [CIE15], 8.1, inverted.
func (c UV) XYZ(Y float64) XYZ {
	return XYZ{9 * Y * c.U / (4 * c.V), Y, Y * (12 - 3*c.U - 20*c.V) / (4 * c.V)}
}

// Distance returns Δu′v′, the distance of two chromaticities in the CIE 1976 diagram.
//
//	Δu′v′ = sqrt((u′₁ - u′₂)² + (v′₁ - v′₂)²)
//
// It is symmetric, has no unit and says nothing of luminance. Steps of about
// 0.004 are seen side by side (common practice, no source).
//
// Source: [CIE15], 8.1.
func (c UV) Distance(d UV) float64 { return math.Hypot(c.U-d.U, c.V-d.V) }

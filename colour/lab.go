package colour

import (
	"fmt"
	"math"
)

// White is the reference white of [Lab] and [Luv] colours: what they take for L* = 100.
// Make it with [NewWhite]; for a display, of the reading of its white.
type White struct {
	xyz    XYZ
	un, vn float64
}

// NewWhite returns a reference white. Its components must be above zero and finite, or
// the error wraps [ErrNoChromaticity].
func NewWhite(white XYZ) (White, error) {
	for _, v := range [3]float64{white.X, white.Y, white.Z} {
		if !(v > 0) || math.IsInf(v, 0) {
			return White{}, fmt.Errorf("white has X, Y, Z = %v, %v, %v; each must be above 0: %w",
				white.X, white.Y, white.Z, ErrNoChromaticity)
		}
	}
	uv, err := white.UV()
	return White{white, uv.U, uv.V}, err
}

// XYZ returns the white's tristimulus values.
func (w White) XYZ() XYZ { return w.xyz }

// Lab is a colour in CIELAB. L* is 0 for black and 100 for the reference white.
type Lab struct{ L, A, B float64 }

// LCh is a colour in CIELAB, or in CIELUV, by lightness, chroma and hue. H is an
// angle in degrees from 0 to 360; a colour without chroma has hue 0.
type LCh struct{ L, C, H float64 }

// Where the cube root of CIELAB gives way to a line, and the line's slope, as exact fractions.
const (
	labThreshold = 216.0 / 24389 // (6/29)³
	labKappa     = 24389.0 / 27  // (29/3)³
)

// labF is the compressive function of CIELAB.
func labF(t float64) float64 {
	if t > labThreshold {
		return math.Cbrt(t)
	}
	return (labKappa*t + 16) / 116
}

// labInverseF undoes labF.
func labInverseF(f float64) float64 {
	if f > 6.0/29 {
		return f * f * f
	}
	return (116*f - 16) / labKappa
}

// Lab returns c in CIELAB.
//
//	L* = 116 f(Y/Yn) - 16    a* = 500 (f(X/Xn) - f(Y/Yn))    b* = 200 (f(Y/Yn) - f(Z/Zn))
//	f(t) = t^(1/3) for t > (6/29)³, else (841/108) t + 4/29
//
// c must be on the scale of the white. Negative values go on along the line.
// There is no chromatic adaptation: the display's own white is the white.
//
// Source: [CIE15], 8.2.1; [CIE11664], part 4.
func (w White) Lab(c XYZ) Lab {
	x, y, z := labF(c.X/w.xyz.X), labF(c.Y/w.xyz.Y), labF(c.Z/w.xyz.Z)
	return Lab{116*y - 16, 500 * (x - y), 200 * (y - z)}
}

// FromLab returns the tristimulus values of a CIELAB colour, on the scale of the white.
//
// Source: [CIE15], annex D.
func (w White) FromLab(c Lab) XYZ {
	y := (c.L + 16) / 116
	return XYZ{
		w.xyz.X * labInverseF(y+c.A/500),
		w.xyz.Y * labInverseF(y),
		w.xyz.Z * labInverseF(y-c.B/200),
	}
}

// Lightness returns L* of a luminance relative to white, 1 for white.
//
// Source: [CIE15], 8.2.1.
func Lightness(relative float64) float64 { return 116*labF(relative) - 16 }

// FromLightness returns the luminance relative to white of an L*. It undoes [Lightness].
//
// Source: [CIE15], annex D.
func FromLightness(l float64) float64 { return labInverseF((l + 16) / 116) }

// LCh returns c by lightness, chroma and hue.
//
//	C* = sqrt(a*² + b*²)    h = atan2(b*, a*)
//
// Source: [CIE15], 8.2.1.
func (c Lab) LCh() LCh { return LCh{c.L, math.Hypot(c.A, c.B), hueDegrees(c.A, c.B)} }

// Lab undoes [Lab.LCh].
func (c LCh) Lab() Lab {
	sin, cos := math.Sincos(c.H * math.Pi / 180)
	return Lab{c.L, c.C * cos, c.C * sin}
}

// hueDegrees returns the angle of (a, b) in degrees, from 0 up to but not including 360.
func hueDegrees(a, b float64) float64 {
	if a == 0 && b == 0 {
		return 0
	}
	h := math.Atan2(b, a) * 180 / math.Pi
	if h < 0 {
		h += 360
	}
	if h >= 360 { // a tiny negative angle rounds up to the full turn
		return 0
	}
	return h
}

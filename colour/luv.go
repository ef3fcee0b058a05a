package colour

import "math"

// Luv is a colour in CIELUV. L* is 0 for black and 100 for the reference white.
type Luv struct{ L, U, V float64 }

// Luv returns c in CIELUV.
//
//	u* = 13 L* (u′ - u′n)    v* = 13 L* (v′ - v′n)    L* as in CIELAB
//
// c must be on the scale of the white. A colour without a chromaticity (black) has
// u* = v* = 0.
//
// Source: [CIE15], 8.2.2; [CIE11664], part 5.
func (w White) Luv(c XYZ) Luv {
	l := Lightness(c.Y / w.xyz.Y)
	uv, err := c.UV()
	if err != nil {
		return Luv{l, 0, 0}
	}
	return Luv{l, 13 * l * (uv.U - w.un), 13 * l * (uv.V - w.vn)}
}

// FromLuv returns the tristimulus values of a CIELUV colour, on the scale of the
// white. Where L* is 0 the colour is black whatever u* and v* say.
//
// Source: [CIE15], annex D.
func (w White) FromLuv(c Luv) XYZ {
	if c.L == 0 {
		return XYZ{}
	}
	uv := UV{c.U/(13*c.L) + w.un, c.V/(13*c.L) + w.vn}
	return uv.XYZ(w.xyz.Y * FromLightness(c.L))
}

// LCh returns c by lightness, chroma and hue.
//
// Source: [CIE15], 8.2.2.
func (c Luv) LCh() LCh { return LCh{c.L, math.Hypot(c.U, c.V), hueDegrees(c.U, c.V)} }

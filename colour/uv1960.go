package colour

// UV1960 is a CIE 1960 chromaticity, u and v. Its diagram is obsolete except for colour
// temperature, which is defined in it.
type UV1960 struct{ U, V float64 }

// UV1960 returns c in the CIE 1960 diagram.
//
//	u = 4x / (-2x + 12y + 3)    v = 6y / (-2x + 12y + 3)
//
// Source: [CIE15], 9.5.
func (c XY) UV1960() UV1960 {
	d := -2*c.X + 12*c.Y + 3
	return UV1960{4 * c.X / d, 6 * c.Y / d}
}

// UV1960 returns c in the CIE 1960 diagram: u = u′, v = 2/3 v′.
//
// Source: [CIE15], 9.5.
func (c UV) UV1960() UV1960 { return UV1960{c.U, c.V * 2 / 3} }

// XY returns c in the CIE 1931 diagram.
//
//	x = 3u / (2u - 8v + 4)    y = 2v / (2u - 8v + 4)
//
// Source: [CIE15], 9.5, inverted.
func (c UV1960) XY() XY {
	d := 2*c.U - 8*c.V + 4
	return XY{3 * c.U / d, 2 * c.V / d}
}

// UV returns c in the CIE 1976 diagram: u′ = u, v′ = 3/2 v.
//
// Source: [CIE15], 9.5.
func (c UV1960) UV() UV { return UV{c.U, c.V * 3 / 2} }

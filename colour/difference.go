package colour

import "math"

// DeltaE76 returns the colour difference ΔE*ab of 1976: the plain distance in
// CIELAB. It overstates differences of saturated colours; prefer [DeltaE2000].
//
//	ΔE*ab = sqrt(ΔL*² + Δa*² + Δb*²)
//
// Source: [CIE15], 8.2.1.
func DeltaE76(c, d Lab) float64 {
	l, a, b := d.L-c.L, d.A-c.A, d.B-c.B
	return math.Sqrt(l*l + a*a + b*b)
}

// DeltaEuv returns the colour difference ΔE*uv of 1976: the plain distance in CIELUV.
//
// Source: [CIE15], 8.2.2.
func DeltaEuv(c, d Luv) float64 {
	l, u, v := d.L-c.L, d.U-c.U, d.V-c.V
	return math.Sqrt(l*l + u*u + v*v)
}

// LChDelta is a CIELAB difference by its parts: lightness, chroma and hue. H is the
// metric hue difference ΔH*, a length and no angle, positive counter-clockwise.
type LChDelta struct{ L, C, H float64 }

// Delta returns d less c by parts: positive L is lighter, positive C more saturated.
//
//	ΔH* = 2 sqrt(C*₁ C*₂) sin(Δh/2), so that ΔE*ab² = ΔL*² + ΔC*² + ΔH*²
//
// Where the hues are opposite the sign of H is that of the cross product, which is
// positive at exactly 180°.
//
// Source: [CIE15], 8.2.1.
func (c Lab) Delta(d Lab) LChDelta {
	c1, c2 := math.Hypot(c.A, c.B), math.Hypot(d.A, d.B)
	return LChDelta{d.L - c.L, c2 - c1, hueDifference(c.A, c.B, c1, d.A, d.B, c2)}
}

// greyChroma is the product of two chromas below which one of them counts as grey: far
// below anything that matters, and far above where squares of it underflow.
const greyChroma = 1e-60

// hueDifference returns ΔH from (a1, b1), of length c1, to (a2, b2), of length c2. Both
// forms below are 2 sqrt(c1 c2) sin(Δh/2); each is exact where the other cancels.
func hueDifference(a1, b1, c1, a2, b2, c2 float64) float64 {
	cc := c1 * c2
	if cc < greyChroma {
		return 0
	}
	dot, cross := a1*a2+b1*b2, a1*b2-b1*a2
	if dot > 0 {
		return cross / math.Sqrt((cc+dot)/2)
	}
	h := math.Sqrt(2 * (cc - dot))
	if cross < 0 {
		return -h
	}
	return h
}

// Weights94 are the parametric factors of ΔE94: those of lightness, chroma and hue, and
// the two constants that go with the trade.
type Weights94 struct{ KL, KC, KH, K1, K2 float64 }

// The two sets of weights for ΔE94: GraphicArts is the one for light and displays.
//
// Source: [CIE116]; the values for textiles from memory.
var (
	GraphicArts = Weights94{1, 1, 1, 0.045, 0.015}
	Textiles    = Weights94{2, 1, 1, 0.048, 0.014}
)

// DeltaE94 returns the colour difference ΔE*94 of a sample from a reference. It is not
// symmetric: the weights follow the chroma of the reference. Prefer [DeltaE2000].
//
//	ΔE = sqrt((ΔL/kL)² + (ΔC/(kC (1 + K₁C₁)))² + (ΔH/(kH (1 + K₂C₁)))²)
//
// Source: [CIE116].
func DeltaE94(reference, sample Lab, w Weights94) float64 {
	e := reference.Delta(sample)
	c := math.Hypot(reference.A, reference.B)
	l := e.L / w.KL
	chroma := e.C / (w.KC * (1 + w.K1*c))
	hue := e.H / (w.KH * (1 + w.K2*c))
	return math.Sqrt(l*l + chroma*chroma + hue*hue)
}

package draw

import "math"

// The functions of this file give the same bits on every platform. Go may fuse
// a product and a sum into one operation that rounds once, where the processor
// has it, and the library's logarithm is other code on some; so the products
// are rounded explicitly, and what is not exactly rounded by IEEE 754 (as the
// square root is) is computed here.

// log returns the natural logarithm of a normal number x > 0, to 2e-16
// relative or, near 1, absolute.
//
//	x = 2^e m with √½ ≤ m < √2,  s = (m-1)/(m+1),  ln m = 2 (s + s³/3 + s⁵/5 + …)
func log(x float64) float64 {
	const ln2High, ln2Low = 0x1.62e42fee00000p-1, 0x1.a39ef35793c76p-33 // ln 2, the first part in 32 bits
	bits := math.Float64bits(x)
	e := int(bits>>52) - 1022
	m := math.Float64frombits(bits&(1<<52-1) | 1022<<52) // from ½ to 1
	if m < math.Sqrt2/2 {
		m, e = m*2, e-1
	}
	s := (m - 1) / (m + 1)
	s2 := s * s
	sum := float64((1. / 21) * s2)
	sum = float64((sum + 1./19) * s2)
	sum = float64((sum + 1./17) * s2)
	sum = float64((sum + 1./15) * s2)
	sum = float64((sum + 1./13) * s2)
	sum = float64((sum + 1./11) * s2)
	sum = float64((sum + 1./9) * s2)
	sum = float64((sum + 1./7) * s2)
	sum = float64((sum + 1./5) * s2)
	sum = float64((sum + 1./3) * s2)
	return float64(float64(e)*ln2High) + (float64(float64(e)*ln2Low) + 2*(s+float64(s*sum)))
}

// exp returns e^x for x from -745 to 709, to 4e-16 relative; 0 below.
//
//	x = e ln 2 + r with |r| ≤ ½ ln 2,  e^r = 1 + r + r²/2 + …
func exp(x float64) float64 {
	const ln2High, ln2Low = 0x1.62e42fee00000p-1, 0x1.a39ef35793c76p-33
	if x < -745 {
		return 0
	}
	e := math.Round(x / math.Ln2)
	r := (x - float64(e*ln2High)) - float64(e*ln2Low)
	sum := 1.
	for i := 14.; i >= 1; i-- {
		sum = 1 + float64(sum*r/i)
	}
	return math.Ldexp(sum, int(e))
}

// ratio returns the ratio of two polynomials a[0] + a[1] x + … and b[0] +
// b[1] x + …, in pairs (Estrin's scheme), of which a processor computes several at once.
func ratio(a, b *[8]float64, x float64) float64 {
	x2 := float64(x * x)
	x4 := float64(x2 * x2)
	return polynomial(a, x, x2, x4) / polynomial(b, x, x2, x4)
}

func polynomial(c *[8]float64, x, x2, x4 float64) float64 {
	low := c[0] + float64(c[1]*x) + float64((c[2]+float64(c[3]*x))*x2)
	high := c[4] + float64(c[5]*x) + float64((c[6]+float64(c[7]*x))*x2)
	return low + float64(high*x4)
}

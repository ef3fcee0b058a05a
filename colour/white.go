package colour

import "math"

// WhiteReport describes a white or a grey.
type WhiteReport struct {
	XY XY
	UV UV
	// CCT is valid where CCTError is nil; a grey far from white has none.
	CCT      CCT
	CCTError error
	// Offset is the displacement from the target.
	Offset LocusOffset
}

// LocusOffset is a displacement in the CIE 1976 diagram in terms of the daylight locus.
type LocusOffset struct {
	// Along is the displacement in u′v′ along the locus: positive towards higher temperatures (bluer).
	Along float64
	// Across is the displacement at right angles to it: positive towards green.
	Across float64
	// Distance is Δu′v′.
	Distance float64
}

// DescribeWhite compares a white or grey with a target such as [D65].
//
// A reading that is black has no chromaticity, and the error is [ErrNoChromaticity].
func DescribeWhite(c XYZ, target XY) (WhiteReport, error) {
	xy, err := c.XY()
	if err != nil {
		return WhiteReport{}, err
	}
	r := WhiteReport{XY: xy, UV: xy.UV(), Offset: DaylightOffset(xy, target)}
	r.CCT, r.CCTError = xy.CCT()
	return r, nil
}

// DaylightOffset returns the displacement of c from a target, along and across the
// daylight locus. The direction is that of the locus at its point nearest to the target.
//
//	Along = d·t    Across = d·n    d = (u′, v′) - target
//
// with t the unit tangent towards higher temperature and n at right angles, towards green.
//
// Source: [CIE15], 3.1, for the locus; the split is common practice, no source.
func DaylightOffset(c, target XY) LocusOffset {
	a, b := c.UV(), target.UV()
	tu, tv := daylightTangent(b)
	du, dv := a.U-b.U, a.V-b.V
	return LocusOffset{
		Along:    du*tu + dv*tv,
		Across:   du*tv - dv*tu,
		Distance: math.Hypot(du, dv),
	}
}

// daylightTangent returns the unit tangent of the daylight locus, towards higher temperature,
// at the point nearest to c in the CIE 1976 diagram. The locus is a curve of its x alone.
func daylightTangent(c UV) (u, v float64) {
	distance := func(x float64) float64 { return c.Distance(XY{x, daylightY(x)}.UV()) }
	const golden = 0.6180339887498949
	lo, hi := daylightXY(DaylightTo).X, daylightXY(DaylightFrom).X
	p, q := hi-golden*(hi-lo), lo+golden*(hi-lo)
	dp, dq := distance(p), distance(q)
	for range 48 {
		if dp < dq {
			hi, q, dq = q, p, dp
			p = hi - golden*(hi-lo)
			dp = distance(p)
		} else {
			lo, p, dp = p, q, dq
			q = lo + golden*(hi-lo)
			dq = distance(q)
		}
	}
	return daylightSlope((lo + hi) / 2)
}

// daylightSlope returns the unit tangent of the daylight locus at x, in the CIE 1976
// diagram. Temperature rises as x falls.
func daylightSlope(x float64) (u, v float64) {
	y, dy := daylightY(x), 2.870-6*x
	d, dd := -2*x+12*y+3, -2+12*dy
	u = -(4*d - 4*x*dd) / (d * d)
	v = -(9*dy*d - 9*y*dd) / (d * d)
	r := math.Hypot(u, v)
	return u / r, v / r
}

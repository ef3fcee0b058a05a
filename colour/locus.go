package colour

import (
	"math"
	"sync"
)

// The Planckian locus is kept at knots that are evenly spaced in reciprocal
// temperature, in which it runs at an even pace, with its first and second derivatives. Between
// them the quintic that meets all of these is off by less than 1e-12.
const (
	locusFrom  = 5.0 // in mired, MK⁻¹: 200000 K
	locusStep  = 5.0
	locusCount = 203 // up to 1015 mired: 985 K
)

// locusPoint is a point of the locus in the CIE 1960 diagram, with its derivatives by mired.
type locusPoint struct{ u, v, du, dv, ddu, ddv float64 }

// planckianLocus is computed once, when it is first needed: it takes some 2 ms.
var planckianLocus = sync.OnceValue(func() *[locusCount]locusPoint {
	var knots [locusCount]locusPoint
	for i := range knots {
		knots[i] = exactLocus(locusFrom + locusStep*float64(i))
	}
	return &knots
})

// exactLocus sums the locus at a reciprocal temperature in mired from Planck's law
// and the CIE 1931 observer.
func exactLocus(mired float64) locusPoint {
	var s, d, dd XYZ // the stimulus and its derivatives
	for i := range cmfCount {
		nm := float64(cmfFrom + i)
		k := planckC2 * 1e3 / nm // c₂/λT = k · mired
		m := math.Expm1(k * mired)
		e := m + 1
		r := 560 / nm
		w := r * r * r * r * r / m
		first := -w * k * e / m
		second := w * k * k * e * (e + 1) / (m * m)
		c := XYZ{CIE1931.x[i], CIE1931.y[i], CIE1931.z[i]}
		s, d, dd = s.Add(c.Scale(w)), d.Add(c.Scale(first)), dd.Add(c.Scale(second))
	}
	den := func(c XYZ) float64 { return c.X + 15*c.Y + 3*c.Z }
	u, du, ddu := quotient(4*s.X, 4*d.X, 4*dd.X, den(s), den(d), den(dd))
	v, dv, ddv := quotient(6*s.Y, 6*d.Y, 6*dd.Y, den(s), den(d), den(dd))
	return locusPoint{u, v, du, dv, ddu, ddv}
}

// quotient returns a/b with its first and second derivatives.
func quotient(a, da, dda, b, db, ddb float64) (q, dq, ddq float64) {
	q = a / b
	dq = (da - q*db) / b
	ddq = (dda - 2*dq*db - q*ddb) / b
	return q, dq, ddq
}

// at returns the locus between two knots, h apart, at the fraction t of the way.
func (p *locusPoint) at(q *locusPoint, t, h float64) locusPoint {
	u, du, ddu := hermite5(p.u, p.du*h, p.ddu*h*h, q.u, q.du*h, q.ddu*h*h, t)
	v, dv, ddv := hermite5(p.v, p.dv*h, p.ddv*h*h, q.v, q.dv*h, q.ddv*h*h, t)
	return locusPoint{u, v, du / h, dv / h, ddu / (h * h), ddv / (h * h)}
}

// hermite5 returns the quintic on 0 to 1 with the given values and derivatives at
// its ends, and its own derivatives, at t.
func hermite5(f0, d0, s0, f1, d1, s1, t float64) (f, d, s float64) {
	df := f1 - f0
	c3 := 10*df - 6*d0 - 4*d1 - 1.5*s0 + 0.5*s1
	c4 := -15*df + 8*d0 + 7*d1 + 1.5*s0 - s1
	c5 := 6*df - 3*d0 - 3*d1 - 0.5*s0 + 0.5*s1
	f = f0 + t*(d0+t*(s0/2+t*(c3+t*(c4+t*c5))))
	d = d0 + t*(s0+t*(3*c3+t*(4*c4+t*5*c5)))
	s = s0 + t*(6*c3+t*(12*c4+t*20*c5))
	return f, d, s
}

// PlanckianXY returns the chromaticity of a black body of a temperature in kelvin,
// from 1000 to 100000 K, for the CIE 1931 observer summed from 360 to 830 nm.
// Outside that range the error wraps [ErrTemperature].
//
// Source: [CIE15], 3.1 and 7.1.
func PlanckianXY(kelvin float64) (XY, error) {
	if err := checkCCT(kelvin); err != nil {
		return XY{}, err
	}
	p := locusAt(1e6 / kelvin)
	return UV1960{p.u, p.v}.XY(), nil
}

// locusAt returns the locus at a reciprocal temperature in mired, within its range.
func locusAt(mired float64) locusPoint {
	knots := planckianLocus()
	p := (mired - locusFrom) / locusStep
	i := min(max(int(p), 0), locusCount-2)
	return knots[i].at(&knots[i+1], p-float64(i), locusStep)
}

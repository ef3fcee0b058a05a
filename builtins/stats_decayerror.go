package builtins

import "math"

// decayFit is what a fitted decay's standard errors follow from.
type decayFit struct {
	m   *decayModel
	p   []float64
	cov [][]float64 // (JᵀJ)⁻¹, there where the fit converged
	s2  float64     // variance of a point of weight 1, from the residuals
}

// slope adds factor times the derivatives of the curve at a moment by the fit's
// parameters to g.
func (f *decayFit) slope(g []float64, t, factor float64) {
	if f.m.fixed == nil {
		g[0] += factor
	}
	s := t - f.m.origin
	for k := range f.m.terms {
		b, l := f.m.linear()+2*k, f.m.linear()+2*k+1
		tau := math.Exp(f.p[l])
		e := math.Exp(-s / tau)
		g[b] += factor * e
		g[l] += factor * f.p[b] * e * s / tau
	}
}

// deviation is the standard error of what depends on the parameters by g, nil
// where that is no number:
//
//	u² = s² gᵀ (JᵀJ)⁻¹ g
//
// Source: JCGM 100:2008, 5.2.2, in first order.
func (f *decayFit) deviation(g []float64) *float64 {
	inner := 0.0
	for i, row := range f.cov {
		inner += g[i] * dot(row, g)
	}
	u := root(f.s2 * inner)
	if u != nil && !finite(*u) {
		return nil
	}
	return u
}

// uAt is the standard error of the fitted curve at a moment, nil of a fit that
// did not converge.
func (d *Decay) uAt(t float64) *float64 {
	if !d.Converged {
		return nil
	}
	g := make([]float64, len(d.fit.p))
	d.fit.slope(g, t, 1)
	return d.fit.deviation(g)
}

type decaySpanSelf struct {
	Self *Decay  `lua:"self"`
	A    float64 `lua:"a" pos:"1" unit:"s" help:"first time, on the scale of from and to"`
	B    float64 `lua:"b" pos:"2" unit:"s" help:"second time"`
}

// uChange is the standard error of the fitted curve's change between two
// moments, in which what both share cancels; nil of a fit that did not converge.
func (d *Decay) uChange(a, b float64) *float64 {
	if !d.Converged {
		return nil
	}
	g := make([]float64, len(d.fit.p))
	d.fit.slope(g, b, 1)
	d.fit.slope(g, a, -1)
	return d.fit.deviation(g)
}

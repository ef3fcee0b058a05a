package draw

import "math"

// uniform returns the number of a draw from the uniform distribution between 0
// and 1, neither included. It is an odd multiple of 2⁻⁵³, so that 1 less it is
// exact too.
//
// Of each hundred draws, 0 to 99, 100 to 199 and so on, one falls into each
// hundredth, in an order that belongs to the key. So what a value does in
// proportion to one cause has its mean, its spread and its ends right with some hundred
// draws, and a meter whose scale is in all that it reads is not always wrong by the
// same luck. Between keys all is as by chance.
//
// Source: M. D. McKay, R. J. Beckman and W. J. Conover, "A comparison of three methods
// for selecting values of input variables", Technometrics 21 (1979) 239-245
// (Latin hypercube sampling); that each hundred is one is our own.
func (k Key) uniform(draw int) float64 {
	in := k.stratum(draw/strata, uint64(draw%strata))<<57 | k.bits(draw)>>7
	return float64(float64(in/strata>>5<<1|1) * 0x1p-53)
}

// rectangular returns the number of a draw from the rectangular distribution
// with mean 0 and half-width 1; its standard deviation is 1/√3.
//
// Source: [JCGM101], 6.4.2.
func (k Key) rectangular(draw int) float64 {
	return float64(2*k.uniform(draw)) - 1
}

// normal returns the number of a draw from the standard normal distribution:
// the quantile of Key.uniform, so that a larger uniform number always is a
// larger normal one. The largest that it can give is 8.2.
//
// Source: [JCGM101], 6.4.7 and C.4, there by another method.
func (k Key) normal(draw int) float64 {
	return normalQuantile(k.uniform(draw))
}

// tScale returns √(dof/χ²), which makes normal numbers those of Student's t
// distribution with dof ≥ 1 degrees of freedom; 1 where dof is infinite. The normal
// numbers must be of other parts of the key.
//
// Source: [JCGM101], 6.4.9 and C.6.
func (k Key) tScale(dof float64, draw int) float64 {
	if math.IsInf(dof, 1) {
		return 1
	}
	return math.Sqrt(dof / k.chiSquare(dof, draw))
}

// chiSquare returns the number of a draw from the χ² distribution with dof ≥ 1
// degrees of freedom, which need not be whole. A dof below 1, or infinite, is
// our own mistake and panics.
//
// It is twice a gamma variate, had by rejection: of (1+cx)³d with x normal,
// d = dof/2 - 1/3 and c = 1/√(9d), some 2 to 5 % are drawn again, each time
// from parts of the key of their own.
//
// Source: G. Marsaglia and W. W. Tsang, "A simple method for generating gamma
// variables", ACM Trans. Math. Softw. 26 (2000) 363-372.
func (k Key) chiSquare(dof float64, draw int) float64 {
	if !(dof >= 1) || math.IsInf(dof, 1) {
		panic("draw: degrees of freedom must be finite and at least 1")
	}
	if dof < 2 { // χ² of dof is that of dof + 2 times U^(2/dof)
		u := k.uniform(draw)
		return k.part(1).chiSquare(dof+2, draw) * exp(2/dof*log(u))
	}
	d := float64(dof/2) - 1./3
	c := 1 / math.Sqrt(9*d)
	for ; ; k = k.part(2) {
		x := k.normal(draw)
		v := 1 + float64(c*x)
		if v <= 0 {
			continue
		}
		v = float64(v * v * v)
		u, xx := k.part(1).uniform(draw), x*x
		if u < 1-float64(0.0331*xx*xx) || log(u) < float64(0.5*xx)+float64(d*(1-v+log(v))) {
			return 2 * d * v
		}
	}
}
